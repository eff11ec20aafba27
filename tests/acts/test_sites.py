"""Sites and stations: added once, under one name each."""

import pytest

from tests.acts.stage import Stage

REFUSED = {
    "a site of that name": ("add_site", "maren", {"site": "North shed", "kind": "shore"}, {"already_known": "site"}),
    "a kind of site nobody knows": ("add_site", "maren", {"site": "Elsewhere", "kind": "moon"}, {"wrong_form": "kind"}),
    "an offset beyond a day": (
        "add_site",
        "maren",
        {"site": "Elsewhere", "kind": "shore", "offset_min": 1440},
        {"wrong_form": "offset_min"},
    ),
    "a station of that name at the site": (
        "add_station",
        "oda",
        {"site": "shed", "station": "Bench 2", "kind": "field_kit"},
        {"already_known": "station"},
    ),
    "a kind of station nobody knows": (
        "add_station",
        "oda",
        {"site": "shed", "station": "Bench 9", "kind": "table"},
        {"wrong_form": "kind"},
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refused(name: str, stage: Stage):
    act, by, fields, told = REFUSED[name]
    assert stage.refusal(stage.sent(act, **fields), by) == told


def test_the_same_name_at_another_site_is_another_station(stages: Stage):
    done = stages.do("add_station", by="oda", site="vessel", station="Bench 2", kind="protected_area")
    row = stages.row("station", id=done.entry.id)
    assert (row.site_id, row.kind, row.code) == (stages.ids["vessel"], "protected_area", done.entry.decided["code"])


def test_a_site_is_found_by_its_name_whatever_its_case(stage: Stage):
    done = stage.do("add_station", by="oda", site="north SHED", station="Bench 7", kind="protected_area")
    assert done.entry.ids["site"] == stage.ids["shed"]
