"""The verdict of an alignment, what its state stands against, what may be carried over, and what is entered in the unit."""

import pytest

from registry.domain.alignments import (
    Alignment,
    Carrying,
    Left,
    finding_of_alignment,
    judge,
    judge_residual,
    reasons_not_to_carry,
    reasons_of_roll,
    settings_to_enter,
)

AT = "2026-05-10T10:00:00.000000Z"


def one(found="0.35", sigma="0.02", entered="0.35", tolerance="0.1", what="yaw"):
    return judge([Left(what, found, sigma, entered, tolerance)])[0]


# The rule is guarded on both sides (JCGM 106:2012, 8.3): its edges are reckoned by hand.
@pytest.mark.parametrize(
    ("told", "verdict"),
    [
        ({"entered": "0.35"}, "within"),
        ({"entered": "0.29"}, "within"),  # 0.06 left + 0.04 fill 0.1 to the edge
        ({"entered": "0.289"}, "cannot_decide"),
        ({"entered": "0.21"}, "cannot_decide"),  # 0.14 left - 0.04 is 0.1: not beyond it
        ({"entered": "0.209"}, "outside"),
        ({"entered": "0.491"}, "outside"),
        ({"sigma": "0.051"}, "cannot_decide"),
        ({"entered": None}, "cannot_decide"),
        ({"tolerance": None}, "cannot_decide"),
    ],
)
def test_the_angle_left_and_its_uncertainty_are_held_against_the_tolerance(told, verdict):
    assert one(**told).verdict == verdict


def test_the_next_step_is_said_in_words_with_its_sign():
    assert one(entered="0.00").next == "Enter +0.35° (0.35° to starboard) and read it back. It reads 0° now."
    assert one(found="-0.4", entered="0", what="roll").next.startswith("Enter −0.4° (0.4° port down)")
    assert one(sigma="0.06").next == "Measure it again, better: the uncertainty fills the tolerance."
    assert "nobody said what stands in the unit" in one(entered=None).told
    assert one(tolerance=None).next == "Set the use of the bay with its tolerance."


def alignment(found_by="certificate", verdict="within", answer=None):
    return Alignment("id", found_by, verdict, "Told.", "Do.", AT, 9, answer, AT if answer else None, "Answered.", 12)


@pytest.mark.parametrize(
    ("standing", "severity", "code", "act"),
    [
        (None, "care", "alignment_missing", "record_alignment"),
        (alignment(answer="withdrawn"), "care", "alignment_withdrawn", "record_alignment"),
        (alignment("carried"), "care", "alignment_carried", "confirm_alignment"),
        (alignment("carried", "cannot_decide"), "care", "alignment_carried", "confirm_alignment"),
        (alignment("carried", "outside"), "stops", "alignment_outside", "confirm_alignment"),
        (alignment(verdict="outside"), "stops", "alignment_outside", "confirm_alignment"),
        (alignment(verdict="cannot_decide"), "care", "alignment_undecided", "confirm_alignment"),
    ],
)
def test_what_an_alignment_stands_against(standing, severity, code, act):
    finding = finding_of_alignment(standing, "A", "bay", dowels=False)
    assert (finding.severity, finding.code, finding.offer.act) == (severity, code, act)


@pytest.mark.parametrize(
    "standing",
    [alignment(), alignment("carried", answer="confirmed"), alignment(verdict="outside", answer="confirmed")],
)
def test_what_is_within_or_confirmed_says_nothing(standing):
    assert finding_of_alignment(standing, "A", "bay", dowels=True) is None


def test_an_alignment_whose_plate_was_entered_anew_is_out_of_date_whatever_it_said():
    stale = Alignment("id", "certificate", "within", "Told.", "Do.", AT, 9, outdated="The mounting was entered anew.")
    finding = finding_of_alignment(stale, "A", "bay", dowels=True)
    assert (finding.severity, finding.code) == ("care", "alignment_outdated")
    assert (
        finding.told
        == "The mounting was entered anew. The alignment of 10 May 2026, 10:00 UTC rests on the one before."
    )


def test_dowels_offer_to_carry_the_last_one_over():
    assert finding_of_alignment(None, "A", "bay", dowels=True).offer.act == "carry_alignment"


GOOD = {"dowels": True, "faces_clean": True, "before": "QH-1", "same_type": True, "aligned": True, "withdrawn": False, "same_mounting": True, "measured_since": False, "bay_id": "bay"}  # fmt: skip


@pytest.mark.parametrize(
    ("but", "told"),
    [
        ({"dowels": False}, "no dowels"),
        ({"faces_clean": False}, "not seen clean"),
        ({"same_type": False}, "QH-1, which sat in this bay before, is of another type."),
        ({"aligned": False}, "QH-1 had no alignment here"),
        ({"withdrawn": True}, "was withdrawn"),
        ({"same_mounting": False}, "entered anew"),
        ({"measured_since": True}, "has an alignment already"),
        ({"before": None, "aligned": False, "same_type": False}, "No pair sat in this bay before"),
    ],
)
def test_each_thing_that_must_be_so_to_carry_is_told_alone(but, told):
    (reason,) = reasons_not_to_carry(Carrying(**(GOOD | but)))
    assert told in reason.message
    assert (reason.code, reason.next, reason.offer.act) == ("cannot_carry", "Measure it.", "record_alignment")


def test_on_dowels_with_clean_faces_and_the_same_type_nothing_stands_against_it():
    assert reasons_not_to_carry(Carrying(**GOOD)) == []


def test_a_residual_confirms_only_within_the_tolerance():
    assert judge_residual("yaw", "0.02", "0.03", "0.1").verdict == "within"
    assert judge_residual("yaw", "0.2", "0.03", "0.1").verdict == "outside"
    wide = judge_residual("yaw", "0.02", "0.06", "0.1")
    assert (wide.verdict, wide.next) == ("cannot_decide", "Make a longer run: the residual must be known better.")
    assert judge_residual("roll", "0.02", "0.01", None).verdict == "cannot_decide"


def test_a_heading_does_not_answer_for_a_roll():
    assert reasons_of_roll(["within"]) == reasons_of_roll([]) == []
    assert reasons_of_roll(["cannot_decide"])[0].code == "outside_tolerance"


def test_what_is_entered_in_the_unit_has_its_signs_in_words():
    whole = {
        f"{n}{e}": v
        for n, v in (("roll", "0.09"), ("pitch", "-0.14"), ("yaw", "0.4"))
        for e, v in (("_deg", v), ("_sigma_deg", "0.0283"))
    }
    dvl = {"yaw_deg": "-0.65", "yaw_sigma_deg": "0.02", "scale": "-0.004", "scale_sigma": "0.0005"}
    arms = {"dvl": {"forward_m": "-0.62", "starboard_m": "0.04", "down_m": "0.31", "sigma_m": "0.005"}}
    rows = settings_to_enter("starboard aft down", whole, dvl, arms)
    told = {row.what: (row.figure, row.words, row.sigma) for row in rows}
    assert told == {
        "Mounting": ("x to starboard, y aft, z down", "as the unit’s marks point", ""),
        "Roll": ("+0.09°", "0.09° starboard down", "0.028°"),
        "Pitch": ("−0.14°", "0.14° bow down", "0.028°"),
        "Yaw": ("+0.4°", "0.4° to starboard", "0.028°"),
        "DVL, yaw": ("−0.65°", "0.65° to port", "0.02°"),
        "DVL, scale": ("0.996", "it reads long", "0.0005"),
        "Lever arm to the DVL, forward": ("−0.62 m", "0.62 m aft", "0.005 m"),
        "Lever arm to the DVL, starboard": ("0.04 m", "0.04 m to starboard", "0.005 m"),
        "Lever arm to the DVL, down": ("0.31 m", "0.31 m down", "0.005 m"),
    }
    assert settings_to_enter(None, None, None, {}) == []
