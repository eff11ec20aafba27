"""The pages of mountings, axis and sign checks and alignments, and the way from one step to the next."""

import pytest

from registry.output.residuals import Dot, residual_plot, said
from tests.lived import MOUNTED, RIGHT, SHEET
from tests.web.doors import PIN, Doors

LATE = {"happened_at": "2026-05-20T11:00"}


def test_an_alignment_says_its_verdict_and_what_became_of_it(untouched: Doors):
    page = untouched.visitor("ida").get(f"/alignments/{untouched.world.ids['alignment']}")
    assert page.heading == "Confirmed by a run."
    assert "Alignment · p1 in Teasel, bay A · transit" in page.words
    for told in (
        "Residual of the yaw 0.02° to starboard ± 0.06°",
        "fitted to pairs of directions",
        "measured with the bay. yard survey 41, 4 May 2026",
        "derived: the fit less the plate. inclinometer and boresight. Method: direction-fit 2026-1.",
        "North true north",
    ):
        assert told in page.words, told


def test_what_to_enter_in_the_unit_stands_on_its_page_and_on_the_bay_s(untouched: Doors):
    ida = untouched.visitor("ida")
    for path in (f"/alignments/{untouched.world.ids['alignment']}", f"/bays/{untouched.code('teasel A')}"):
        page = ida.get(path)
        tables = [node for node in page.root.all("table") if "Enter in the unit" in node.words]
        assert len(tables) == 1, path
        for row in ("Mounting x to starboard, y aft, z down", "0.62 m aft", "to starboard", "bow"):
            assert row in tables[0].words, (path, row)


def test_residuals_are_drawn_and_told_in_words(untouched: Doors):
    page = untouched.visitor("ida").get(f"/alignments/{untouched.world.ids['alignment']}")
    drawing = page.root.one("svg", cls="plot")
    assert drawing.attrs["aria-label"].startswith("2 residuals, from ")
    assert drawing.attrs["aria-label"] in page.root.one("figcaption").words
    rows = [node for node in page.root.all("table") if node.words.startswith("Which Left Sigma")]
    assert "pair 1" in rows[0].words


def test_the_sentence_of_a_plot_names_what_lies_outside():
    dots = [Dot("leg 1", 0.02, 0.01), Dot("leg 2", -0.12, 0.01)]
    assert said(dots, 0.1) == (
        "2 residuals, from −0.120 to +0.020 degrees; the tolerance is plus or minus 0.1 degrees, outside it: leg 2."
    )
    assert said(dots[:1], 0.1).endswith("all lie within it.")
    assert said(dots, None).endswith("no tolerance is stated.")


def test_a_dot_is_drawn_where_its_figure_is():
    """Read off the drawing: zero on the middle line, the tolerance on its edge, more above it."""
    drawn = str(residual_plot([Dot("leg 1", 0.0, 0.01), Dot("leg 2", 0.1, 0.01), Dot("leg 3", 0.2, 0.01)], 0.1))
    heights = [float(part.split('"')[0]) for part in drawn.split('cy="')[1:]]
    assert heights[0] == 114.0  # halfway between top 22 and foot 206
    assert heights[0] - heights[1] == pytest.approx((heights[0] - heights[2]) / 2, abs=0.11)
    assert f"V{heights[1]}H" in drawn  # the lower edge of the hatched part


def test_the_bay_shows_its_mounting_and_the_steps_to_do(doors: Doors):
    world = doors.world
    page = doors.visitor("ida").get(f"/bays/{doors.code('teasel A')}")
    assert "Nobody entered how the bay is mounted" in page.words
    world.do("record_mounting", "18 09:00", bay="teasel A", measured_by="vera", **MOUNTED)
    world.install("p1", "teasel A", "20 08:30")
    page = doors.visitor("ida").get(f"/bays/{doors.code('teasel A')}")
    assert "roll 0.08° starboard down (sigma 0.02°)" in page.words
    assert "yard survey 41, 4 May 2026, Vera." in page.words
    assert "Missing since this install. A standing test does not prove orientation." in page.words
    steps = [words for words, to in page.links("act").items() if "/act/" in to]
    for step in (
        "Enter a lever arm",
        "Enter the axis and sign check",
        "Carry the alignment over",
        "Enter an alignment",
        "Fit a DVL run",
    ):
        assert step in steps, step


def test_one_step_leads_to_the_next_until_nothing_stands_against_the_bay(doors: Doors):
    world, ida = doors.world, doors.visitor("ida")
    world.do("record_mounting", "18 09:00", bay="teasel A", **MOUNTED)
    world.install("p1", "teasel A", "20 08:30")
    bay = doors.code("teasel A")
    page = ida.follow(ida.act("record_axis_check", bay=bay, **RIGHT, **LATE))
    assert "Right, 20 May 2026, 11:00 UTC." in page.words
    assert any("Right. The unit sits x to starboard" in told for told in page.flashes)
    page = ida.follow(ida.act("record_alignment", bay=bay, **SHEET, **LATE))
    assert page.heading == "Within tolerance."
    page = ida.get(f"/bays/{bay}")
    assert "Entered from a certificate on 20 May 2026, 11:00 UTC: within." in page.words
    assert not [fact for fact in ("axis and sign check missing", "no alignment") if fact in page.words]


def test_wrong_signs_stop_the_vehicle_until_the_pair_comes_out(doors: Doors):
    world, ida = doors.world, doors.visitor("ida")
    world.do("record_mounting", "18 09:00", bay="teasel A", **MOUNTED)
    world.install("p1", "teasel A", "20 08:30")
    wrong = RIGHT | {"bow_down": "pitch_up", "roll_right": "roll_left"}
    ida.follow(ida.act("record_axis_check", bay=doors.code("teasel A"), **wrong, **LATE))
    page = ida.get(f"/vehicles/{doors.code('teasel')}")
    assert "Bay A: a sign is wrong" in page.words
    assert "Found: x to port, y forward, z down." in page.words
    assert "Pair p1 is on hold since 20 May 2026" in page.words
    world.remove("p1", "teasel A", "20 11:30", already_done=True, why_out_of_order="it must come out")
    page = ida.get(f"/vehicles/{doors.code('teasel')}")
    assert "a sign is wrong" not in page.words
    assert "Pair p1 is on hold" not in page.words


def test_no_sign_and_no_north_is_chosen_for_anybody(untouched: Doors):
    ida = untouched.visitor("ida")
    for act, names in (
        ("record_axis_check", ("bow_down", "roll_right", "turn")),
        ("record_mounting", ("orientation", "dowels")),
        ("fit_dvl_run", ("heading_north", "reference_north")),
        ("record_alignment", ("north",)),
    ):
        form = ida.get(f"/act/{act}").form(f"/act/{act}")
        assert [form.value(name) for name in names] == [""] * len(names), act


def test_a_refused_sign_check_names_what_is_missing(lived: Doors):
    refused = lived.visitor("ida").act("record_axis_check", bay=lived.code("teasel A"), pin=PIN, bow_down="pitch_down")
    assert refused.status == 422
    assert refused.beside("roll_right") and refused.beside("turn")


def test_an_alignment_of_a_stay_that_is_over_says_that_it_counts_for_nothing(lived: Doors):
    world, ida = lived.world, lived.visitor("ida")
    path = f"/alignments/{world.ids['alignment']}"
    assert "Withdraw it" in ida.get(path).links("act")
    world.do("record_alignment", "18 10:00", bay="teasel A", **SHEET)
    assert "A newer alignment of this stay holds." in ida.get(path).words
    world.sign("ida", "20 07:00", station="kit")
    world.remove("p1", "teasel A", "20 08:00")
    page = ida.get(path)
    assert "Ended 20 May 2026, 08:00 UTC, when p1 came out. It counts for nothing since." in page.words
    assert "Withdraw it" not in page.links("act")


def test_a_past_page_shows_what_stood_then_and_no_act(untouched: Doors):
    ida, id_ = untouched.visitor("ida"), untouched.world.ids["alignment"]
    page = ida.get(f"/alignments/{id_}?at=2026-05-13T12:00")
    assert page.heading == "Cannot decide."
    assert not [to for to in page.links().values() if "/act/" in to]
    assert ida.get(f"/alignments/{id_}?at=2026-05-12T12:00").status == 404
    bay = ida.get(f"/bays/{untouched.code('teasel A')}?at=2026-05-12T12:00")
    assert "Missing since this install." in bay.words


def test_what_is_not_there_is_not_found(untouched: Doors):
    for id_ in ("nothing", untouched.world.ids["p1"]):
        assert untouched.visitor("ida").get(f"/alignments/{id_}").status == 404


def test_the_history_of_a_pair_tells_its_checks_and_alignments(untouched: Doors):
    words = untouched.visitor("ida").get("/pairs/p1").words
    assert "Axis and sign check of p1 in Teasel, bay A: right." in words
    assert "Alignment of p1 in Teasel, bay A, fitted to pairs of directions: cannot decide." in words
    assert "Alignment of p1 in Teasel, bay A confirmed." in words


def test_angles_that_rest_on_an_older_plate_are_out_of_date_and_typed_into_nothing(doors: Doors):
    world, ida = doors.world, doors.visitor("ida")
    world.do("record_mounting", "18 09:00", bay="teasel A", **MOUNTED)
    world.install("p1", "teasel A", "20 08:30")
    world.do("record_axis_check", "20 09:00", bay="teasel A", **RIGHT)
    world.do("record_alignment", "20 09:10", bay="teasel A", **SHEET)
    world.do("record_mounting", "20 10:00", bay="teasel A", **(MOUNTED | {"orientation": "port forward down"}))
    page = ida.get(f"/bays/{doors.code('teasel A')}")
    table = next(node.words for node in page.root.all("table") if "Enter in the unit" in node.words)
    assert "Mounting x to port, y forward, z down" in table
    assert "Yaw" not in table
    for told in (
        "axis and sign check no longer counts",
        "alignment out of date",
        "Out of date: The mounting was entered anew",
    ):
        assert told in page.words, told


def test_what_was_before_in_the_bay_and_of_the_pair_stands_beside_an_alignment(lived: Doors):
    ida = lived.visitor("ida")
    done = ida.act("record_alignment", bay="Teasel A", **SHEET)
    shown = ida.follow(done)
    section = next(one for one in shown.root.all("section", cls="part") if one.one("h2").words == "Before it")
    assert "In this bay" in section.words and "Fitted to pairs of directions on 13 May 2026" in section.words
    told = lived.api("ida").get(shown.path.split("?")[0]).json
    assert [one["id"] for one in told["earlier_in_bay"]] == [lived.world.ids["alignment"]]
    # the first of them has nothing before it
    first = ida.get(f"/alignments/{lived.world.ids['alignment']}")
    assert not [one for one in first.root.all("section", cls="part") if one.one("h2").words == "Before it"]
