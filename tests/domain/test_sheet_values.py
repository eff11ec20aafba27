"""A settings sheet beside what its bay gives now: one finding, both figures with their units, and the act that clears it."""

from registry.domain.settings import Line
from registry.domain.sheet_values import (
    Given,
    SheetValues,
    findings_of_values,
    given_by_alignment,
    given_by_arm,
)

ALIGNED = {
    "seq": 40, "roll_deg": "0.1000", "pitch_deg": "-0.05", "yaw_deg": "0.412", "roll_sigma_deg": "0.02", "pitch_sigma_deg": "0.02", "yaw_sigma_deg": "0.02",
}  # fmt: skip
ARM = {"seq": 41, "leads_to": "dvl", "forward_m": "1.20", "starboard_m": "0.00", "down_m": "0.31", "sigma_m": "0.01"}
GIVEN = (*given_by_alignment(ALIGNED, {"yaw_deg": "1.5", "yaw_sigma_deg": "0.05"}), *given_by_arm(ARM))


def sheet(**other: str) -> SheetValues:
    """A sheet that says what the bay gives, but for these."""
    lines = {one.line.name: one.line for one in GIVEN}
    for name, value in other.items():
        told = next(line for line in lines.values() if line.name.lower().replace(", ", "_").replace(" ", "_") == name)
        lines[told.name] = Line(told.part, told.name, value, told.unit)
    return SheetValues(3, lines, GIVEN)


def test_a_sheet_that_says_what_its_bay_gives_is_no_finding():
    assert findings_of_values(sheet(), "A", "bay") == []
    assert findings_of_values(sheet(lever_arm_to_the_dvl_forward="1.2"), "A", "bay") == []
    assert findings_of_values(None, "A", "bay") == []


def test_an_angle_measured_anew_is_care_with_both_figures_and_the_sheet_to_write():
    (found,) = findings_of_values(sheet(yaw="0.3"), "A", "bay")
    assert (found.severity, found.code, found.seq) == ("care", "sheet_outdated", 40)
    assert found.fact == "Bay A: yaw is 0.3 deg on the sheet, 0.412 deg as it stands now"
    assert found.told == "Version 3 holds; since it was written: alignment, entry 40."
    assert (found.offer.act, found.offer.fields) == ("write_settings_sheet", {"bay": "bay"})


def test_a_lever_arm_measured_anew_is_told_by_its_axis():
    (found,) = findings_of_values(sheet(lever_arm_to_the_dvl_forward="1.5"), "A", "bay")
    assert found.fact == "Bay A: lever arm to the DVL, forward is 1.5 m on the sheet, 1.20 m as it stands now"
    assert found.seq == 41


def test_what_lies_within_twice_its_sigma_is_a_note():
    (found,) = findings_of_values(sheet(yaw="0.372"), "A", "bay")
    assert (found.severity, "within 2 sigma" in found.told) == ("note", True)
    (found,) = findings_of_values(sheet(yaw="0.371"), "A", "bay")
    assert found.severity == "care"


def test_the_gravest_comes_first_and_the_rest_is_told():
    (found,) = findings_of_values(sheet(roll="0.11", dvl_yaw="2"), "A", "bay")
    assert found.fact == "Bay A: DVL, yaw is 2 deg on the sheet, 1.5 deg as it stands now"
    assert found.told.startswith("roll is 0.11 deg on the sheet, 0.1 deg as it stands now. Version 3 holds")


def test_what_the_sheet_does_not_say_and_another_mounting_are_care():
    lines = {name: line for name, line in sheet().lines.items() if name != "Yaw"}
    (found,) = findings_of_values(SheetValues(3, lines, GIVEN), "A", "bay")
    assert (found.severity, found.fact) == ("care", "Bay A: yaw is not on the sheet, 0.412 deg as it stands now")
    now = Given(Line("mounting", "Mounting", "on its side"), None, 42)
    before = {"Mounting": Line("mounting", "Mounting", "upright")}
    (found,) = findings_of_values(SheetValues(1, before, (now,)), "A", "bay")
    assert (found.severity, found.fact) == (
        "care",
        "Bay A: mounting is upright on the sheet, on its side as it stands now",
    )
