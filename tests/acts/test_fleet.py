"""Vehicles, housings, bays; the types a bay accepts and its use, each from an instant on."""

import pytest

from tests.acts.stage import Stage

VEHICLE = {"hull_number": "HN-9", "hull": "torpedo", "length_m": "5", "site": "shed"}
REFUSED = {
    "a vehicle of that name": ("add_vehicle", "piet", {"vehicle": "Teasel", **VEHICLE}, {"already_known": "vehicle"}),
    "a vehicle of no length": ("add_vehicle", "piet", {"vehicle": "Sorrel", **VEHICLE, "length_m": "0"}, {"wrong_form": "length_m"}),
    "a vehicle longer than any": ("add_vehicle", "piet", {"vehicle": "Sorrel", **VEHICLE, "length_m": "201"}, {"wrong_form": "length_m"}),
    "a length in words": ("add_vehicle", "piet", {"vehicle": "Sorrel", **VEHICLE, "length_m": "five"}, {"wrong_form": "length_m"}),
    "a housing of that name": ("add_housing", "piet", {"vehicle": "teasel", "housing": "forward", "closing_method": "gasket"}, {"already_known": "housing"}),
    "a bay of that letter": ("add_bay", "piet", {"housing": "teasel forward", "letter": "A", "from_bow_m": "2"}, {"already_known": "letter"}),
    "a bay of a small letter": ("add_bay", "piet", {"housing": "teasel forward", "letter": "c", "from_bow_m": "2"}, {"wrong_form": "letter"}),
    "a bay beyond the stern": ("add_bay", "piet", {"housing": "teasel forward", "letter": "C", "from_bow_m": "5.3"}, {"wrong_form": "from_bow_m"}),
    "a bay before the bow": ("add_bay", "piet", {"housing": "teasel forward", "letter": "C", "from_bow_m": "-1"}, {"wrong_form": "from_bow_m"}),
    "a type that is accepted": ("accept_type", "oda", {"bay": "teasel A", "unit_type": "reed"}, {"already_so": "unit_type"}),
    "a type that is not accepted": ("stop_accepting_type", "oda", {"bay": "teasel A", "unit_type": "sedge"}, {"already_so": "unit_type"}),
    "a tolerance of nothing": ("set_bay_use", "piet", {"bay": "teasel A", "use": "camera", "heading_tolerance_deg": "0"}, {"wrong_form": "heading_tolerance_deg"}),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_refused(name: str, stage: Stage):
    act, by, fields, told = REFUSED[name]
    assert stage.refusal(stage.sent(act, **fields), by) == told


def test_a_type_is_not_stopped_before_it_was_accepted(stage: Stage):
    sent = stage.sent("stop_accepting_type", "2025-01-01T09:00:00Z", bay="teasel A", unit_type="reed")
    assert stage.refusal(sent, "oda") == {"overlaps_history": "happened_at"}


def test_a_bay_stands_in_the_vehicle_of_its_housing_with_its_types_and_use(stages: Stage):
    done = stages.do(
        "add_bay",
        by="piet",
        housing="teasel forward",
        letter="C",
        from_bow_m="5.2",
        accepts=["reed", "sedge", "reed"],
        use="camera",
    )
    row = stages.row("bay", id=done.entry.id)
    assert (row.vehicle_id, row.letter, row.from_bow_m) == (stages.ids["teasel"], "C", "5.2")
    assert {row.unit_type_id for row in stages.rows("bay_type", bay_id=done.entry.id)} == {
        stages.ids["reed"],
        stages.ids["sedge"],
    }
    use = stages.row("bay_use", bay_id=done.entry.id)
    assert (use.use, use.heading_tolerance_deg) == ("camera", "0.1")
    assert stages.unlike() == []


@pytest.mark.parametrize(
    ("use", "told", "kept"),
    [("transit", None, "0.3"), ("multibeam", None, "0.1"), ("other", None, None), ("transit", "0.25", "0.25")],
)
def test_a_tolerance_is_that_of_the_use_unless_another_is_told(
    use: str, told: str | None, kept: str | None, stage: Stage
):
    done = stage.do("set_bay_use", by="piet", bay="teasel A", use=use, heading_tolerance_deg=told)
    assert stage.row("bay_use", id=done.entry.id).heading_tolerance_deg == kept


def test_a_type_may_be_accepted_stopped_and_accepted_again(stages: Stage):
    stages.do("stop_accepting_type", "10 09:00", by="oda", bay="teasel A", unit_type="reed")
    stages.do("accept_type", "12 09:00", by="oda", bay="teasel A", unit_type="reed")
    assert [row.ended_at for row in sorted(stages.rows("bay_type", bay_id="teasel A"), key=lambda row: row.seq)] == [
        "2026-05-10T09:00:00.000000Z",
        None,
    ]


def test_what_sits_in_a_bay_stays_when_its_type_is_no_longer_accepted(stage: Stage):
    stage.install("p1")
    stage.do("stop_accepting_type", "10 10:00", by="oda", bay="teasel A", unit_type="reed")
    stage.remove("p1", when="10 12:00")
    assert "type_not_accepted" in stage.refused(
        "install_pair", "10 13:00", bay="teasel A", sensor="p1 s", electronics="p1 e"
    )


def test_a_vehicle_begins_at_its_site(stage: Stage):
    done = stage.do("add_vehicle", by="piet", vehicle="Sorrel", **VEHICLE)
    place = stage.row("vehicle_place", vehicle_id=done.entry.id)
    assert (place.site_id, place.since_at, place.by_act) == (
        stage.ids["shed"],
        "2026-05-10T12:00:00.000000Z",
        done.entry.id,
    )


def test_a_type_is_not_accepted_into_a_time_it_was_accepted(stage: Stage):

    stage.do("stop_accepting_type", "10 09:00", by="oda", bay="teasel A", unit_type="reed")
    assert stage.refusal(stage.sent("accept_type", "9 09:00", bay="teasel A", unit_type="reed"), "oda") == {
        "overlaps_history": "happened_at"
    }
