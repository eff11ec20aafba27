"""Readings over JSON: what is where, now and then, as it was and as it was known."""

import pytest

from tests.web.doors import Doors, codes_of

NOW = "2026-05-20T12:00:00.000000Z"


def get(doors: Doors, path: str, **query: str) -> dict:
    answer = doors.api("piet").get(path, **query)
    assert answer.status_code == 200, answer.text[:300]
    assert answer.mimetype == "application/json"
    return answer.json


# scans


@pytest.mark.parametrize(
    ("text", "kind", "name"),
    [
        ("{p1 s}", "half", "p1 s"),
        ("S-p1", "half", "p1 s"),
        ("{teasel A}", "bay", "teasel A"),
        ("Teasel", "vehicle", "teasel"),
        ("{bench}", "station", "bench"),
        ("{ida}", "person", "ida"),
        ("p1", "pair", "p1"),
    ],
)
def test_a_scan_is_resolved_to_the_one_thing_it_names(text: str, kind: str, name: str, untouched: Doors):
    text = untouched.code(text.strip("{}")) if text.startswith("{") else text
    told = get(untouched, "/resolve", text=text)
    assert (told["kind"], told["id"], told["text"]) == (kind, untouched.world.ids[name], text)
    assert told["message"] is None


def test_a_scan_that_is_not_known_says_so_and_lists_what_is_near(untouched: Doors):
    told = get(untouched, "/resolve", text="S-pl")
    assert (told["kind"], told["id"], told["code"]) == ("unknown", None, None)
    assert told["near"] == [untouched.code("p1 s")]
    assert told["message"] == "Nothing in the registry bears this label."
    assert told["next"] == "Scan it again; if it is new, receive it."


def test_a_printed_label_is_shown_field_by_field(untouched: Doors):
    label = get(untouched, "/resolve", text="[)>{RS}06{GS}17V1A2B3{GS}1PRS-100{GS}S77{RS}{EOT}")["label"]
    assert (label["syntax"], label["format"]) == ("iso15434", "06")
    assert label["elements"] == [["17V", "1A2B3"], ["1P", "RS-100"], ["S", "77"]]
    assert label["identity"]["serial"] == "77"


MATCHES = [
    (("p1 s", "p1 e"), "whole"), (("p1 s", "p2 e"), "mixed"), (("p1 s", "p2 s"), "same_kind"), (("gone s", "gone e"), "former"), (("p1 s",), "alone"), (("lone s", "lone e"), "alone"),
    (("p1 s", "p1 e", "p2 s"), "heap"),
]  # fmt: skip


@pytest.mark.parametrize(("names", "verdict"), MATCHES)
def test_any_number_of_scans_gets_a_verdict(names: tuple[str, ...], verdict: str, untouched: Doors):
    answer = untouched.api("oda").post("/match", {"labels": [untouched.code(name) for name in names]})
    assert answer.status_code == 200
    assert answer.json["verdict"] == verdict
    assert [half["code"] for half in answer.json["halves"]] == [untouched.code(name) for name in names]


def test_a_match_names_the_partner_and_where_it_is(untouched: Doors):
    half = untouched.api("oda").post("/match", {"labels": [untouched.code("p1 s")]}).json["halves"][0]
    assert half == {
        "code": untouched.code("p1 s"), "kind": "sensor", "pair": "p1", "partner": untouched.code("p1 e"),
        "partner_where": "in Teasel, bay A, since 10 May 2026", "on_hold": None, "not_accepted": None,
    }  # fmt: skip


def test_a_match_says_what_receiving_has_not_let_in(untouched: Doors):
    told = untouched.api("oda").post("/match", {"labels": [untouched.code("p6 s"), untouched.code("p6 e")]}).json
    assert (told["verdict"], [half["not_accepted"] for half in told["halves"]]) == (
        "whole",
        ["not inspected: it stands sealed in carton 1 of DN-7", "not inspected: carton 2 of DN-7 is open"],
    )


def test_a_heap_is_sorted_into_pairs(untouched: Doors):
    names = ("p1 s", "p5 e", "p1 e", "p5 s", "lone s")
    told = untouched.api("oda").post("/match", {"labels": [untouched.code(name) for name in names]}).json
    assert {pair["pair"]: pair["halves"] for pair in told["whole"]} == {
        name: [untouched.code(f"{name} s"), untouched.code(f"{name} e")] for name in ("p1", "p5")
    }


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"labels": []},
        {"labels": "x"},
        {"labels": [1]},
        {"labels": [None]},
        {"labels": ["x"] * 201},
        {"labels": {"a": 1}},
    ],
)
def test_labels_of_another_form_are_refused(body: dict, untouched: Doors):
    answer = untouched.api("oda").post("/match", body)
    assert (answer.status_code, codes_of(answer)) == (422, ["wrong_form"])


@pytest.mark.parametrize(
    "text",
    ["x" * 100_000, "\x00", "\x1d\x1e\x04", "'; DROP TABLE half; --", "%", "\u202e", "[)>", "http://", "🙂"],
    ids=range(9),
)
def test_whatever_is_scanned_is_answered(text: str, untouched: Doors):
    assert untouched.api("oda").post("/match", {"labels": [text, text]}).status_code == 200
    assert untouched.api("oda").get("/resolve", text=text[:5000]).status_code == 200


# where


def test_where_a_half_and_a_pair_are(untouched: Doors):
    one = get(untouched, "/where", thing=untouched.code("p1 s"))
    assert one["at"] == NOW
    assert one["halves"][0] | {"bay_id": None, "bay_code": None, "vehicle_id": None} == {
        "code": untouched.code("p1 s"), "kind": "sensor", "where": "in Teasel, bay A, since 10 May 2026", "half_id": untouched.world.ids["p1 s"], "bay_id": None, "bay_code": None,
        "vehicle_id": None, "vehicle": "Teasel", "letter": "A", "site_id": None, "site": None, "spot": None, "away": None, "since_at": "2026-05-10T09:30:00.000000Z",
    }  # fmt: skip
    both = get(untouched, "/where", thing="p1")
    assert [half["kind"] for half in both["halves"]] == ["sensor", "electronics"]
    assert get(untouched, "/where", thing="S-p1")["halves"][0]["code"] == untouched.code("p1 s")


WHERE = [
    ("2026-05-09T10:00:00Z", "in Teasel, bay B, since 9 May 2026"),
    ("2026-05-09T11:00:00Z", "at North shed"),
    ("2026-05-12T09:00:00Z", "in Burdock, bay B, since 12 May 2026"),
    ("2026-05-09T12:30:00+02:00", "in Teasel, bay B, since 9 May 2026"),
]


@pytest.mark.parametrize(("at", "where"), WHERE)
def test_where_it_was_at_an_instant(at: str, where: str, untouched: Doors):
    assert {half["where"] for half in get(untouched, "/where", thing="p2", at=at)["halves"]} == {where}


def test_where_it_was_said_to_be_on_a_day(doors: Doors):
    doors.world.later(days=2)
    doors.world.sign("ida", "21 08:00")
    doors.world.install("p1", "teasel A", "21 09:00")
    asked = {
        day: get(doors, "/where", thing="p1", known_on=day)["halves"][0]["where"]
        for day in ("2026-05-20", "2026-05-22")
    }
    assert asked == {"2026-05-20": "at North shed, shelf 2", "2026-05-22": "in Teasel, bay A, since 21 May 2026"}


# vehicles, bays, pairs, halves, holds


def test_the_fleet_is_told_worst_first_with_bays_and_findings(untouched: Doors):
    told = get(untouched, "/fleet")
    assert [vehicle["name"] for vehicle in told["vehicles"]] == ["Burdock", "Spare hull", "Teasel"]
    teasel = told["vehicles"][2]
    assert [(bay["letter"], bay["pair"]) for bay in teasel["bays"]] == [("A", "p1"), ("B", None)]
    assert teasel["severity"] == "stops"
    assert {finding["code"] for finding in teasel["findings"]} >= {"discrepancy", "recheck", "housing_open"}


def test_the_fleet_as_it_stood(untouched: Doors):
    told = get(untouched, "/fleet", at="2026-05-09T10:00:00Z")
    carried = {(vehicle["name"], bay["letter"]): bay["pair"] for vehicle in told["vehicles"] for bay in vehicle["bays"]}
    assert carried == {("Burdock", "A"): None, ("Burdock", "B"): None, ("Teasel", "A"): None, ("Teasel", "B"): "p2"}
    assert get(untouched, "/fleet", known_on="2026-05-19")["vehicles"] == []


@pytest.mark.parametrize("ref", ["teasel", "Teasel", "HN-teasel", "id", "code"])
def test_a_vehicle_is_found_by_every_name_it_has(ref: str, untouched: Doors):
    ref = {"id": untouched.world.ids["teasel"], "code": untouched.code("teasel")}.get(ref, ref)
    assert get(untouched, f"/vehicles/{ref}")["name"] == "Teasel"


def test_a_bay_tells_what_it_holds_and_its_history(untouched: Doors):
    told = get(untouched, f"/bays/{untouched.code('teasel A')}")
    assert (told["vehicle"], told["letter"], told["pair"], told["sensor_code"]) == (
        "Teasel",
        "A",
        "p1",
        untouched.code("p1 s"),
    )
    assert "installed" in [event["kind"] for event in told["history"]]


def test_a_pair_tells_its_halves_stays_and_holds(untouched: Doors):
    told = get(untouched, "/pairs/p2")
    assert (told["name"], told["state"], told["statement"]) == ("p2", "hold", "ST-p2")
    assert [(stay["vehicle"], stay["letter"], stay["removed_at"] is None) for stay in told["stays"]] in (
        [("Teasel", "B", False), ("Burdock", "B", True)],
        [("Burdock", "B", True), ("Teasel", "B", False)],
    )
    assert [hold["cause"] for hold in told["holds"]] == ["out_of_order"]
    assert told["sensor"]["where"]["vehicle"] == "Burdock"
    assert get(untouched, "/pairs/p2", at="2026-05-10T12:00:00Z")["state"] == "whole"


def test_the_history_of_a_pair_is_told_newest_first(untouched: Doors):
    told = get(untouched, "/pairs/p2/history")
    instants = [event["at"] for event in told["events"]]
    assert instants == sorted(instants, reverse=True)
    assert [event["kind"] for event in told["events"]].count("installed") == 2
    assert all(event["seq"] <= untouched.size() for event in told["events"])


def test_a_half_tells_its_labels_pairs_and_place(untouched: Doors):
    told = get(untouched, f"/halves/{untouched.code('p1 e')}")
    assert (told["kind"], told["serial"], told["part"], told["firmware"]) == ("electronics", "E-p1", "RE-200", "2.4.1")
    assert [label["printed_serial"] for label in told["labels"]] == ["E-p1"]
    assert [pair["name"] for pair in told["pairs"]] == ["p1"]


def test_open_holds_are_listed_with_what_they_lie_on(untouched: Doors):
    told = get(untouched, "/holds")
    assert [(hold["cause"], hold["on"]) for hold in told["holds"]][1] == ("out_of_order", "pair p2")
    assert get(untouched, "/holds", at="2026-05-11T09:00:00Z")["holds"] == []


NOT_YET = [
    (path, turn)
    for path in ("/vehicles/teasel", "/bays/teasel A", "/pairs/p1", "/pairs/p1/history")
    for turn in ({"at": "2001-01-01T00:00:00Z"}, {"known_on": "2001-01-01"})
]


@pytest.mark.parametrize(("path", "turn"), [*NOT_YET, ("/halves/S-p1", {"known_on": "2001-01-01"})])
def test_what_was_not_known_then_is_not_found(path: str, turn: dict[str, str], untouched: Doors):
    answer = untouched.api("piet").get(path, **turn)
    assert (answer.status_code, codes_of(answer)) == (404, ["not_found"])


@pytest.mark.parametrize(
    "query",
    [
        {"at": "yesterday"},
        {"at": "2026-05-10"},
        {"at": "1969-01-01T00:00:00Z"},
        {"at": "2026-05-10T12:00:00-00:00"},
        {"known_on": "never"},
        {"known_on": "2026-02-30"},
    ],
)
@pytest.mark.parametrize("path", ["/fleet", "/vehicles/teasel", "/pairs/p1", "/holds"])
def test_a_time_that_cannot_be_is_refused(path: str, query: dict[str, str], untouched: Doors):
    answer = untouched.api("piet").get(path, **query)
    assert (answer.status_code, codes_of(answer)) == (422, ["wrong_form"])
    assert answer.json["reasons"][0]["field"] == next(iter(query))


def test_half_a_character_in_a_scan_is_answered(untouched: Doors):
    assert untouched.api("ida").post("/match", {"labels": ["\ud800", "p1"]}).status_code in (200, 422)


def test_a_half_that_was_not_received_yet_is_not_found(untouched: Doors):
    answer = untouched.api("ida").get("/halves/S-p1", at="2001-01-01T00:00:00Z")
    assert (answer.status_code, codes_of(answer)) == (404, ["not_found"])
