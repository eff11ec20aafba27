"""No page is an island: from the scan line every page is reached by links, and every link leads somewhere."""

from urllib.parse import urljoin, urlsplit

from werkzeug.exceptions import HTTPException

from tests.web.doors import Doors, Visitor

#: Reached in other ways: by a stranger, by a label's address, by the forms of the swap, or while long work runs.
OTHERWISE = {
    "static",
    "account.sign_in",
    "scan.labelled",
    "swap.lift",
    "swap.seat",
    "swap.sign",
    "labels.png",
    "attachments.small",
    "calendars.feed",
    "imports.one",
    "imports.report",
    "imports.spreadsheet",
    "acts.under_way",
}


#: Who looks, and at how many addresses of one route; the rest are of the same make.
OF_EACH = {"maren": 8, "oda": 1, "rosa": 1}


def crawled(doors: Doors, visitor: Visitor, of_each: int) -> dict[str, dict[str, int]]:
    """Endpoint -> {address: status} of the pages that links lead to; `nothing` stands for addresses without a route."""
    found: dict[str, dict[str, int]] = {}
    routes, waiting, seen = doors.app.url_map.bind("localhost"), ["/"], {"/"}
    while waiting:
        path = waiting.pop(0)
        try:
            endpoint = routes.match(urlsplit(path).path)[0]
        except HTTPException:
            endpoint = "nothing"
        looked_at = found.setdefault(endpoint, {})
        if len(looked_at) >= of_each:
            continue
        page = visitor.get(path)
        looked_at[path] = page.status
        for node in page.root.all("a"):
            target = urljoin(path, node.attrs.get("href", "")).partition("#")[0]
            if target.startswith("/") and target not in seen:
                seen.add(target)
                waiting.append(target)
    return found


def test_every_page_is_reached_from_the_scan_line_and_no_link_leads_nowhere(untouched: Doors):
    endpoints: set[str] = set()
    for who, of_each in OF_EACH.items():
        found = crawled(untouched, untouched.visitor(who), of_each)
        endpoints |= set(found)
        assert {
            path: status for pages in found.values() for path, status in pages.items() if status not in (200, 303)
        } == {}, who
    pages = {
        rule.endpoint
        for rule in untouched.app.url_map.iter_rules()
        if "GET" in rule.methods and not rule.endpoint.startswith("api.")
    }
    assert pages - endpoints - OTHERWISE == set()
