"""One page of every route, found as a reader finds it: by following the links of pages, from the first one on."""

from collections import Counter, deque
from urllib.parse import urlsplit

from playwright.sync_api import APIRequestContext
from werkzeug.exceptions import HTTPException
from werkzeug.routing import MapAdapter

from registry.app import create_app
from registry.config import Settings
from registry.instance import Instance
from tests.journeys.server import Sea
from tests.web.html import read_html


def routes_of(sea: Sea) -> MapAdapter:
    return create_app(Instance(Settings.read({"PAIRBOOK_HOME": str(sea.home)}))).url_map.bind("")


#: So many of each are opened for their links: not every pair has a certificate, not every delivery a carton.
EACH = 12


def walked(request: APIRequestContext, routes: MapAdapter, begin: list[str]) -> dict[str, str]:
    """Route -> the first path met that answers it with a page."""
    pages: dict[str, str] = {}
    met: Counter[str] = Counter()
    to_see, seen = deque(begin), set(begin)

    def led_to(paths: list[str]) -> None:
        fresh = [path for path in paths if path.startswith("/") and path not in seen]
        seen.update(fresh)
        to_see.extend(fresh)

    while to_see:
        path = to_see.popleft()
        try:
            route = str(routes.match(urlsplit(path).path)[0])
        except HTTPException:
            continue
        if met[route] == EACH:
            continue
        met[route] += 1
        answer = request.get(path, max_redirects=0)
        if 300 <= answer.status < 400:
            led_to([answer.headers["location"]])
        if answer.ok and answer.headers["content-type"].startswith("text/html"):
            pages.setdefault(route, path)
            led_to([node.attrs.get("href", "") for node in read_html(answer.text())[0].all("a")])
    return pages
