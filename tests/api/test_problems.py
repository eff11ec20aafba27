"""One shape of refusal, whatever went wrong and whoever asked: RFC 9457 with every reason below."""

from collections.abc import Callable

import pytest
from werkzeug.test import TestResponse

from registry.errors import CODES
from tests.web.doors import Doors, new_id, problem_of

Ask = Callable[[Doors], TestResponse]


def sent(doors: Doors, **told: object) -> dict:
    return {
        "act": "note_fault",
        "version": 1,
        "id": new_id(),
        "happened_at": "2026-05-18T09:00:00Z",
        "half": doors.code("p1 s"),
        "words": "hums",
    } | told


FAILURES: dict[str, Ask] = {
    "no token": lambda d: d.api().get("/fleet"),
    "wrong token": lambda d: d.app.test_client().get("/api/v1/fleet", headers={"Authorization": "Bearer x"}),
    "nothing there": lambda d: d.api("ida").get("/nothing"),
    "wrong method": lambda d: d.api("ida").client.delete("/api/v1/fleet", headers=d.api("ida").headers),
    "not json": lambda d: d.api("ida").post("/acts", data=b"{", content_type="application/json"),
    "too large": lambda d: d.api("ida").post("/acts", data=b"x" * 3_000_000, content_type="application/json"),
    "no act": lambda d: d.api("ida").act({}),
    "unknown act": lambda d: d.api("ida").act(sent(d, act="nothing")),
    "unknown version": lambda d: d.api("ida").act(sent(d, version=9)),
    "missing field": lambda d: d.api("ida").act({"act": "note_fault", "id": new_id()}),
    "unknown field": lambda d: d.api("ida").act(sent(d, colour="red")),
    "wrong form": lambda d: d.api("ida").act(sent(d, words=7)),
    "unknown label": lambda d: d.api("ida").act(sent(d, half="nothing")),
    "ahead": lambda d: d.api("ida").act(sent(d, happened_at="2027-01-01T00:00:00Z")),
    "not allowed": lambda d: d.api("ida").act(sent(d, act="add_site", site="X", kind="shore", half=None) | {}),
    "mixed": lambda d: d.api("ida").act(
        d.world.sent("install_pair", "18 09:00", bay="burdock A", sensor="p5 s", electronics="p1 e")
    ),
    "unknown vehicle": lambda d: d.api("ida").get("/vehicles/nothing"),
    "unknown bay": lambda d: d.api("ida").get("/bays/nothing"),
    "unknown pair": lambda d: d.api("ida").get("/pairs/nothing"),
    "unknown history": lambda d: d.api("ida").get("/pairs/nothing/history"),
    "unknown half": lambda d: d.api("ida").get("/halves/nothing"),
    "nothing to look for": lambda d: d.api("ida").get("/where"),
    "nothing known": lambda d: d.api("ida").get("/where", thing="nothing"),
    "nothing scanned": lambda d: d.api("ida").get("/resolve"),
    "wrong instant": lambda d: d.api("ida").get("/fleet", at="yesterday"),
    "wrong day": lambda d: d.api("ida").get("/fleet", known_on="2026-02-30"),
    "no entry": lambda d: d.api("ida").get("/log/999"),
    "no such proof": lambda d: d.api("ida").get("/log/proof", seq=999),
    "no number": lambda d: d.api("ida").get("/log", after="x"),
    "no labels": lambda d: d.api("ida").post("/match", {"labels": []}),
    "not known then": lambda d: d.api("ida").get("/pairs/p1", at="2020-01-01T00:00:00Z"),
}


@pytest.mark.parametrize("name", FAILURES)
def test_every_refusal_has_the_one_shape(name: str, untouched: Doors):
    told = problem_of(FAILURES[name](untouched))
    assert told["type"] == "about:blank"
    assert told["title"] == "Refused. Nothing was written."
    for reason in told["reasons"]:
        assert {"code", "message", "field"} <= set(reason) <= {"code", "message", "field", "next", "offer"}
        assert reason["code"] in CODES
        assert reason["message"].strip() == reason["message"] != ""
        assert reason["message"][-1] in ".?!…", reason["message"]
    top = next(reason for reason in told["reasons"] if reason["code"] == told["code"])
    assert told["detail"] == top["message"]


@pytest.mark.parametrize(
    "name", [name for name in FAILURES if name not in ("not allowed", "missing field", "wrong form", "unknown field")]
)
def test_every_refusal_says_what_to_do_next(name: str, untouched: Doors):
    for reason in problem_of(FAILURES[name](untouched))["reasons"]:
        assert reason.get("next", "").endswith((".", "}", "…")), reason


@pytest.mark.parametrize(
    ("name", "status"),
    [
        ("no token", 401),
        ("wrong token", 401),
        ("nothing there", 404),
        ("wrong method", 405),
        ("not json", 400),
        ("too large", 413),
        ("unknown label", 422),
        ("ahead", 409),
        ("mixed", 409),
        ("unknown pair", 404),
        ("wrong instant", 422),
    ],
)
def test_the_status_says_who_can_mend_it(name: str, status: int, untouched: Doors):
    assert FAILURES[name](untouched).status_code == status


def test_reasons_are_told_all_at_once(untouched: Doors):
    told = problem_of(untouched.api("ida").act({"act": "record_leak_test", "id": "x", "colour": 1, "start_mbar": "y"}))
    assert {reason["field"] for reason in told["reasons"]} == {
        "id",
        "happened_at",
        "housing",
        "start_mbar",
        "start_c",
        "end_mbar",
        "end_c",
        "hold_min",
        "colour",
    }
