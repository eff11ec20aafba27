"""Closing sheets: what is missing and what cannot be left so."""

from dataclasses import replace

import pytest

from registry.domain.closing_sheets import ClosingSheet, ClosingStanding, findings_of_closing, judge

WHOLE = ClosingSheet("new", "B-7", "clean", "12", "latched", "latched", "new", "-4", "2", 6, 6, True)


def test_a_whole_sheet_is_complete():
    assert judge(WHOLE, True) == judge(WHOLE, False)
    assert (judge(WHOLE, True).verdict, judge(WHOLE, True).told) == ("complete", ())


@pytest.mark.parametrize(
    ("changed", "verdict", "told"),
    [
        ({"seals": "damaged"}, "contradicts", "A damaged seal was kept"),
        ({"seal_batch": None}, "incomplete", "The batch of the new seals"),
        ({"faces": "marked"}, "contradicts", "marked or dirty"),
        ({"faces": "not_looked"}, "incomplete", "Nobody looked"),
        ({"torque_nm": None}, "incomplete", "The torque is not stated"),
        ({"data_cable": "loose"}, "contradicts", "internal data cable is not latched"),
        ({"power_cable": "loose"}, "contradicts", "internal power cable is not latched"),
        ({"tools_in": 5}, "contradicts", "6 tools went in and 5 came back"),
        ({"tools_in": None}, "incomplete", "The tools were not counted"),
        ({"desiccant": "old"}, "incomplete", "neither new nor regenerated"),
        ({"dew_point_c": None}, "incomplete", "Dew point inside and coldest water"),
        # 5 °C below the coldest water (common practice, no source): −2.9 °C is not below −3 °C.
        ({"dew_point_c": "-2.9"}, "contradicts", "for water of 2 °C it must be −3 °C or lower"),
        ({"seen": False}, "incomplete", "Neither a second person nor a photo"),
    ],
)
def test_each_thing_is_told_alone(changed, verdict, told):
    found = judge(replace(WHOLE, **changed), True)
    assert found.verdict == verdict and len(found.told) == 1 and told in found.told[0]


def test_the_dew_point_may_lie_on_the_limit_and_kept_seals_need_no_batch():
    assert judge(replace(WHOLE, dew_point_c="-3", seals="kept", seal_batch=None), True).verdict == "complete"


def test_a_housing_that_is_neither_sealed_by_vacuum_nor_by_gasket_is_asked_for_cables_and_tools_alone():
    bare = ClosingSheet("kept", None, "not_looked", None, "latched", "none", "none", None, None, 3, 3, False)
    assert judge(bare, False).verdict == "complete"
    assert judge(replace(bare, data_cable="loose"), False).verdict == "contradicts"


def test_a_contradiction_outweighs_what_is_missing_and_both_are_told():
    found = judge(replace(WHOLE, tools_in=5, torque_nm=None), True)
    assert (found.verdict, len(found.told)) == ("contradicts", 2)


def test_its_findings():
    def told(one):
        return [(f.severity, f.code, f.offer.act) for f in findings_of_closing(one, "Main housing", "h")]

    act = "record_closing_sheet"
    assert told(None) == [("note", "no_closing_sheet", act)]
    assert told(ClosingStanding("complete", "", 4)) == []
    assert told(ClosingStanding("incomplete", "The torque is not stated.", 4)) == [("care", "closing_incomplete", act)]
    assert told(ClosingStanding("contradicts", "A tool is missing.", 4)) == [("stops", "closing_contradicts", act)]
