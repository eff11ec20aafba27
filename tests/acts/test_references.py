"""From whatever a scan gives to one thing: ids, codes, addresses, labels, names; never a guess between two."""

import pytest

from registry.acts.references import resolve
from registry.errors import Reason
from tests.acts.stage import Stage

AT = "2026-05-12T09:00:00.000000Z"


def found(stage: Stage, kind: str, text: str, **more) -> str:
    got = resolve(stage.db, kind, text, AT, "field", **more)
    if isinstance(got, Reason):
        assert got.field == "field"
        return got.code
    return next(name for name, id_ in stage.ids.items() if id_ == got)


def code(stage: Stage, table: str, name: str) -> str:
    return stage.row(table, id=name).code


CODED = {"half": "p1 s", "bay": "teasel A", "vehicle": "teasel", "station": "bench", "person": "ida", "site": "shed"}


@pytest.mark.parametrize("kind", CODED)
def test_a_thing_is_found_by_its_code_however_it_is_read(kind: str, stages: Stage):
    name = CODED[kind]
    text = code(stages, kind, name)
    spelt = [
        text,
        text.lower(),
        f"{text[:4]} {text[4:]}",
        f"{text[:4]}-{text[4:]}",
        f" {text}\n",
        f"HTTPS://PAIRBOOK.EXAMPLE/I/{text}",
        f"https://pairbook.example/i/{text}",
        f"HTTPS://PAIRBOOK.EXAMPLE/I/{text}/3",
        stages.ids[name],
    ]
    assert {found(stages, kind, one) for one in spelt} == {name}


NAMED = {
    "site": ["North shed", "north  SHED"],
    "vehicle": ["Teasel", "HN-teasel", "teasel"],
    "unit_type": ["Reed", "Ardlune Reed", "ardlune, reed"],
    "person": ["Ida"],
    "bay": ["Teasel A", "Teasel, bay A", "teasel/a"],
    "housing": ["Teasel forward", "teasel · forward"],
    "station": ["Bench 2", "North shed, Bench 2"],
    "pairing": ["p1"],
}
MEANT = {
    "site": "shed",
    "vehicle": "teasel",
    "unit_type": "reed",
    "person": "ida",
    "bay": "teasel A",
    "housing": "teasel forward",
    "station": "bench",
    "pairing": "p1",
}


@pytest.mark.parametrize(("kind", "text"), [(kind, text) for kind, texts in NAMED.items() for text in texts])
def test_a_thing_is_found_by_what_people_call_it(kind: str, text: str, stage: Stage):
    assert found(stage, kind, text) == MEANT[kind]


UNKNOWN = {
    "an id that nothing has": ("half", "0190f5d2-0000-7000-8000-000000000000", "unknown_label"),
    "a serial that no half bears": ("half", "ZZ-991", "unknown_label"),
    "an address of another house": ("half", "https://elsewhere.example/I/K0000000", "foreign_address"),
    "a name that nothing has": ("vehicle", "Sorrel", "unknown_label"),
    "a hold by its name": ("hold", "the wet one", "unknown_label"),
    "a bay without its vehicle": ("bay", "A", "unknown_label"),
    "a pair by nothing": ("pairing", "p99", "unknown_label"),
}


@pytest.mark.parametrize("name", UNKNOWN)
def test_what_names_nothing_is_refused(name: str, stage: Stage):
    kind, text, told = UNKNOWN[name]
    assert found(stage, kind, text) == told


def test_a_code_of_another_kind_of_thing_is_told(stage: Stage):
    got = resolve(stage.db, "bay", code(stage, "half", "p1 s"), AT)
    assert (got.code, got.next) == ("unknown_label", "Scan the bay.")
    assert "is a half, not a bay" in got.message


def test_a_misread_code_is_told_and_never_mended(stage: Stage):
    text = code(stage, "bay", "teasel A")
    wrong = text[:-1] + ("0" if text[-1] != "0" else "1")
    assert found(stage, "bay", wrong) == "unreadable_label"


def test_two_things_of_one_name_are_ambiguous(stage: Stage):
    stage.do("add_station", by="oda", site="vessel", station="Bench 2", kind="protected_area")
    assert found(stage, "station", "Bench 2") == "ambiguous_label"
    assert found(stage, "station", "North shed, Bench 2") == "bench"


def test_bare_digits_that_two_halves_bear_are_ambiguous_and_both_are_listed(stage: Stage):
    for name, part in (("one", "RS-100"), ("two", "SS-100")):
        stage.do(
            "receive_half",
            by="oda",
            name=name,
            kind="sensor",
            unit_type="reed" if name == "one" else "sedge",
            site="shed",
            maker="Ardlune",
            part=part,
            serial="004711",
        )
    got = resolve(stage.db, "half", "004711", AT)
    assert got.code == "ambiguous_label"
    assert "RS-100" in got.message
    assert "SS-100" in got.message


def receive_one(stage: Stage) -> None:
    """A sensor half in no pair, by the name `one`."""
    label = {"maker": "Ardlune", "part": "RS-100", "serial": "B0815"}
    stage.do("receive_half", by="oda", name="one", kind="sensor", unit_type="reed", site="shed", **label)


def test_a_serial_one_half_bears_is_that_half_and_a_near_one_is_only_listed(stage: Stage):
    receive_one(stage)
    assert found(stage, "half", "B0815") == "one"
    got = resolve(stage.db, "half", "BO815", AT)
    assert got.code == "unknown_label"
    assert "B0815" in got.message
    assert "None of them is taken for it" in got.message


def test_a_copy_of_a_label_says_which_half_and_not_where(stage: Stage):
    address = f"HTTPS://PAIRBOOK.EXAMPLE/I/{code(stage, 'half', 'p1 s')}"
    assert found(stage, "half", f"{address}/2") == "p1 s"
    assert found(stage, "half", f"{address}/2", evidence=True) == "copy_label"
    assert found(stage, "half", address, evidence=True) == "p1 s"


def test_a_pair_is_found_by_a_half_as_it_stood_at_that_instant(stage: Stage):
    stage.do("end_pairing", "12 08:00", by="oda", pair="p1", why="lost")
    stage.do(
        "record_pairing",
        "12 08:30",
        by="oda",
        name="later",
        pair="later",
        sensor="p1 s",
        electronics="p2 e",
        grade="calibration_sheet",
        statement="ST",
        stated_on="2026-05-12",
        paired_at="2026-05-12T08:00:00Z",
        replaces=True,
    )
    text = code(stage, "half", "p1 s")
    assert stage.ids["later"] == resolve(stage.db, "pairing", text, AT)
    assert stage.ids["p1"] == resolve(stage.db, "pairing", text, "2026-05-11T09:00:00.000000Z")


def test_a_half_in_no_pair_names_none(stage: Stage):
    receive_one(stage)
    assert found(stage, "pairing", code(stage, "half", "one")) == "half_alone"


def test_every_host_the_outfit_ever_printed_is_its_own(stage: Stage):
    assert found(stage, "half", f"HTTPS://PAIRBOOK.EXAMPLE:443/I/{code(stage, 'half', 'p1 s')}") == "p1 s"
    assert found(stage, "half", f"HTTPS://PAIRBOOK.EXAMPLE.EVIL/I/{code(stage, 'half', 'p1 s')}") == "foreign_address"
