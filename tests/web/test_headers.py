"""What every answer carries: a policy that lets nothing in from elsewhere, no copy kept, and a guarded cookie."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask

from registry.access import HEADERS
from registry.app import create_app
from registry.config import Settings
from registry.downloads import SANDBOX
from registry.instance import Instance
from tests.web.addresses import addresses
from tests.web.doors import Doors

POLICY = {
    "default-src": "'none'", "style-src": "'self'", "script-src": "'self'", "img-src": "'self'", "connect-src": "'self'",
    "form-action": "'self'", "base-uri": "'none'", "frame-ancestors": "'none'",
}  # fmt: skip


#: Files that people sent: they carry a stricter policy (test_attachments.py).
HANDED_OUT = re.compile(r"/(files|spreadsheets)/[0-9a-f]")


def directives(text: str) -> dict[str, str]:
    return {name: rest for name, _, rest in (part.strip().partition(" ") for part in text.split(";"))}


def answers(doors: Doors) -> Iterator[tuple[str, object]]:
    """One answer of every kind: pages, readings, files, and each way of saying no."""
    maren, stranger, api = doors.visitor("maren"), doors.stranger(), doors.api("maren")
    for one in addresses(doors, "GET"):
        yield one.path, maren.client.get(one.path)
    yield "stranger", stranger.client.get("/fleet")
    for path in ("/nowhere", "/api/v1/nowhere", "/static/nowhere.css"):
        yield path, maren.client.get(path)
    yield "wrong method", api.client.delete("/fleet", headers=api.headers)
    yield "no token", maren.client.post("/light")
    yield (
        "too large",
        api.client.post("/api/v1/acts", data=b"x" * 3_000_000, headers=api.headers, content_type="application/json"),
    )
    yield "not json", api.client.post("/api/v1/acts", data=b"{", headers=api.headers, content_type="application/json")
    yield "wrong token", api.client.get("/api/v1/fleet", headers={"Authorization": "Bearer x"})
    yield "options", maren.client.options("/fleet")
    yield "head", maren.client.head("/fleet")


def test_the_policy_lets_nothing_in_from_elsewhere_and_nothing_inline():
    assert directives(HEADERS["Content-Security-Policy"]) == POLICY


def test_every_answer_carries_the_headers(untouched: Doors):
    seen = set()
    for what, answer in answers(untouched):
        seen.add(answer.status_code)
        wanted = HEADERS | ({"Content-Security-Policy": SANDBOX} if HANDED_OUT.search(answer.request.path) else {})
        assert {name: answer.headers.get(name) for name in HEADERS} == wanted, what
        if not answer.request.path.startswith("/static/"):
            assert (answer.headers["Cache-Control"], "Cookie" in answer.headers["Vary"]) == ("no-store", True), what
        assert "Server" not in answer.headers, what
        answer.close()
    assert {200, 303, 400, 401, 404, 405, 413} <= seen


def test_an_answer_to_a_fault_of_ours_carries_them_too(untouched: Doors, monkeypatch: pytest.MonkeyPatch):
    def broken() -> None:
        raise ZeroDivisionError("a secret of the house")

    for endpoint, path in (("fleet.every", "/fleet"), ("api.every", "/api/v1/fleet")):
        monkeypatch.setitem(untouched.app.view_functions, endpoint, broken)
        answer = untouched.visitor("ida").client.get(path)
        assert answer.status_code == 500
        assert {name: answer.headers.get(name) for name in HEADERS} == HEADERS
        assert "a secret of the house" not in answer.text
        assert "Traceback" not in answer.text


def test_style_script_and_sign_are_served_as_what_they_are(untouched: Doors):
    for name, kind in (("look.css", "text/css"), ("scan.js", "text/javascript"), ("icon.svg", "image/svg+xml")):
        with untouched.stranger().client.get(f"/static/{name}") as answer:
            assert (answer.status_code, answer.mimetype) == (200, kind)


@pytest.mark.parametrize("path", ["../config.py", "..%2fconfig.py", "%2e%2e/config.py", "/etc/passwd", "..\\config.py"])
def test_files_beside_the_served_ones_are_not_served(path: str, untouched: Doors):
    answer = untouched.stranger().client.get(f"/static/{path}")
    assert answer.status_code in (303, 308, 404)
    assert "PAIRBOOK" not in answer.text


# the cookie


def cookie(app: Flask) -> str:
    return app.test_client().get("/sign-in").headers["Set-Cookie"]


def test_the_cookie_is_out_of_reach_of_scripts_and_of_other_sites(untouched: Doors):
    told = {part.strip().split("=")[0].lower(): part.strip() for part in cookie(untouched.app).split(";")}
    assert {"httponly", "samesite", "path"} <= set(told)
    assert told["samesite"] == "SameSite=Lax"
    assert "domain" not in told
    assert "secure" not in told
    assert "Strict-Transport-Security" not in untouched.stranger().client.get("/sign-in").headers


@pytest.fixture(scope="module")
def behind_tls(migrated: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Flask]:
    home = tmp_path_factory.mktemp("tls")
    instance = Instance(
        Settings.read(
            {"PAIRBOOK_HOME": str(home), "PAIRBOOK_DATABASE_URL": f"sqlite:///{migrated}", "PAIRBOOK_HTTPS": "yes"}
        )
    )
    yield create_app(instance)
    instance.database.dispose()


def test_behind_tls_the_cookie_travels_no_other_way(behind_tls: Flask):
    assert "secure" in [part.strip().lower() for part in cookie(behind_tls).split(";")]
    answer = behind_tls.test_client().get("/sign-in")
    assert answer.headers["Strict-Transport-Security"] == "max-age=31536000"


def test_a_reading_by_token_sets_no_cookie(untouched: Doors):
    assert "Set-Cookie" not in untouched.api("ida").get("/fleet").headers
