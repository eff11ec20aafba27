"""The swap: go / no-go with the hull shut, lift, seat, sign. Every step is a page, and nothing is written before the last."""

from typing import Any

import pytest

from tests.web.doors import PIN, Doors, Page, Visitor

A, B = "teasel A", "teasel B"


def start(doors: Doors, bay: str = A, **scans: str) -> Page:
    return doors.visitor("ida").get(f"/bays/{doors.code(bay)}/swap", query_string=coded(doors, scans))


def coded(doors: Doors, scans: dict[str, str]) -> dict[str, str]:
    """Names of halves become their codes; everything else is sent as it is."""
    return {field: doors.code(name) if name in doors.world.ids else name for field, name in scans.items()}


def ask(doors: Doors, page: Page, **scans: str) -> Page:
    """Fill the two scan fields of a step and send them."""
    return doors.visitor("ida").send(page, page.form(method="get"), **coded(doors, scans))


def go_on(visitor: Visitor, page: Page, words: str) -> Page:
    return visitor.get(page.links()[words])


def sign(visitor: Visitor, page: Page, **told: Any) -> Page:
    return visitor.send(page, page.form(method="post"), **{"pin": PIN, **told})


def spoken(doors: Doors, name: str) -> str:
    return f"{doors.code(name)[:4]} {doors.code(name)[4:]}"


@pytest.fixture
def seated(doors: Doors) -> Doors:
    """p1 sits in Teasel A since this morning; p2 is the spare."""
    doors.world.install("p1", A, "20 09:00")
    return doors


def signed_page(doors: Doors, out: str = "p1", into: str = "p2") -> Page:
    """Walk the flow to its last page."""
    ida = doors.visitor("ida")
    go = ask(doors, start(doors), sensor_in=f"{into} s", electronics_in=f"{into} e")
    lifted = ask(doors, go_on(ida, go, "Lift the old pair"), sensor_out=f"{out} s", electronics_out=f"{out} e")
    placed = ask(doors, go_on(ida, lifted, "Seat the next pair"), sensor_seen=f"{into} s", electronics_seen=f"{into} e")
    return go_on(ida, placed, "Sign it")


# the lawful way


def test_a_swap_from_go_to_the_log(seated: Doors):
    ida, before = seated.visitor("ida"), seated.record()
    begun = start(seated)
    assert begun.heading == "Swap: go / no-go"
    assert "p1 is in, since 20 May 2026, 09:00 UTC." in begun.words
    go = ask(seated, begun, sensor_in="p2 s", electronics_in="p2 e")
    assert go.heading == "Go. p2 may go into Teasel, bay A."
    assert "Hull still shut. Nothing was written." in go.words
    lift = go_on(ida, go, "Lift the old pair")
    assert lift.heading == "Lift"
    lifted = ask(seated, lift, sensor_out="p1 s", electronics_out="p1 e")
    assert lifted.heading == "Lifted: p1."
    seat = go_on(ida, lifted, "Seat the next pair")
    placed = ask(seated, seat, sensor_seen="p2 s", electronics_seen="p2 e")
    assert placed.heading == "Whole. p2 is seated."
    last = go_on(ida, placed, "Sign it")
    assert (last.heading, seated.record()) == ("Swap", before)
    assert "Lifted: p1" in last.words and "Seated: p2 Whole." in last.words
    done = sign(ida, last)
    assert done.status == 303
    bay = ida.follow(done)
    assert bay.heading == "Teasel, bay A holds p2."
    assert bay.flashes == [f"In the log as entry {seated.size()}: swap pairs, 20 May 2026, 12:00 UTC."]


def test_the_last_page_says_what_the_swap_leaves_to_do(seated: Doors):
    page = signed_page(seated)
    left = page.root.one("section", cls="redo")
    assert left.one("h2").words == "This leaves to do"
    assert "A test before this opening no longer counts." in left.words


def test_the_form_token_and_the_pin_are_needed(seated: Doors):
    page = signed_page(seated)
    assert sign(seated.visitor("ida"), page, pin="").status == 422
    assert sign(seated.visitor("ida"), page, pin="0000").status == 401
    assert seated.visitor("ida").post(page.path, {"pin": PIN}).status == 400


def test_signing_twice_is_one_entry(seated: Doors):
    ida, page = seated.visitor("ida"), signed_page(seated)
    first = sign(ida, page)
    size = seated.size()
    second = sign(ida, page)
    assert (first.status, second.status, seated.size()) == (303, 303, size)
    assert ida.follow(second).flashes[-1].endswith("It was there already.")


def test_a_page_that_is_older_than_what_happened_is_stale(seated: Doors):
    ida, page = seated.visitor("ida"), signed_page(seated)
    seated.world.swap("p1", "p3", A, "20 10:00", by="yusuf")
    answer = sign(ida, page)
    assert answer.status == 409
    assert any(
        "was changed by entry" in told and "Look at the page again before you sign." in told for told in answer.told()
    )


def test_an_install_into_an_empty_bay_skips_the_lift(doors: Doors):
    ida = doors.visitor("ida")
    begun = start(doors, B)
    assert begun.heading == "Install: go / no-go"
    go = ask(doors, begun, sensor_in="p1 s", electronics_in="p1 e")
    seat = go_on(ida, go, "Seat the pair")
    assert [node.words for node in seat.root.one("ol", cls="steps").all("li")] == ["Seat", "Sign"]
    placed = ask(doors, seat, sensor_seen="p1 s", electronics_seen="p1 e")
    last = go_on(ida, placed, "Sign it")
    assert last.heading == "Install"
    assert ida.follow(sign(ida, last)).heading == "Teasel, bay B holds p1."
    assert ida.get(f"/bays/{doors.code(A)}/swap/lift").status == 303


def test_the_lift_alone_may_be_signed_and_the_bay_waits(seated: Doors):
    ida = seated.visitor("ida")
    lifted = ask(seated, ida.get(f"/bays/{seated.code(A)}/swap/lift"), sensor_out="p1 s", electronics_out="p1 e")
    last = go_on(ida, lifted, "Stop here: sign the lift alone")
    assert last.heading == "Lift"
    bay = ida.follow(sign(ida, last))
    assert bay.heading == "Teasel, bay A waits: lifted, none seated."
    assert "Bay A: lifted, none seated" in ida.get(f"/vehicles/{seated.code('teasel')}").words


def test_out_and_in_may_be_two_people_and_two_hours(seated: Doors):
    ida, page = seated.visitor("ida"), signed_page(seated)
    done = sign(
        ida,
        page,
        removed_at="2026-05-20T09:30",
        removed_by=seated.world.ids["yusuf"],
        reason="suspect",
        condition="suspect",
        words="jumped twice",
        happened_at="2026-05-20T11:00",
    )
    bay = ida.follow(done)
    assert "It came out suspect. Yusuf." in bay.words
    removal = seated.rows("removal")[-1]
    assert (removal.done_by_id, removal.reason, removal.condition) == (seated.world.ids["yusuf"], "suspect", "suspect")
    assert [row.cause for row in seated.rows("hold")] == ["suspect"]


# refused before the hull is opened


def test_a_mixed_pair_is_refused_naming_both_right_partners_and_where_they_are(seated: Doors):
    no = ask(seated, start(seated), sensor_in="p2 s", electronics_in="p3 e")
    assert no.heading == "Mixed. Do not join."
    told = no.told()[0]
    assert told.startswith("These halves belong to different pairs.")
    for half, partner in (("p2 s", "p2 e"), ("p3 e", "p3 s")):
        assert f"{spoken(seated, half)}: its partner is" in told
        assert f"{spoken(seated, partner)}, at North shed, shelf 2." in told
    assert not [words for words in no.links() if words.startswith(("Lift", "It has already happened"))]


def test_the_refusal_offers_to_record_what_is_in_the_hull_and_that_works(seated: Doors):
    ida = seated.visitor("ida")
    no = ask(seated, start(seated), sensor_in="p2 s", electronics_in="p1 e")
    page = go_on(ida, no, "Record what is in the hull")
    form = page.form("/act/record_sighting")
    assert form.value("bay") == seated.world.ids[A]
    done = ida.send(page, form, sensor=seated.code("p2 s"), electronics=seated.code("p1 e"))
    bay = ida.follow(done)
    assert any(told.startswith("Teasel, bay A: the record has") for told in bay.flashes)
    assert bay.root.one("section", cls="verdict").has(cls="stops")
    assert ida.get(f"/vehicles/{seated.code('teasel')}").heading == "Teasel: must not deploy."


@pytest.mark.parametrize(
    ("into", "heading", "told"),
    [
        (("p2 s", "p3 s"), "No go.", "Both are sensor halves"),
        (("p2 e", "p3 e"), "No go.", "Both are electronics halves"),
        (("p2 s", "p2 s"), "No go.", "Both scans are the same unit"),
        (("p2 s", "QQ-17"), "No go.", "No half in the registry bears “QQ-17”."),
        (("p4 s", "p4 e"), "No go.", "does not accept Ardlune Sedge"),
        (("p1 s", "p1 e"), "No go.", "it cannot go in again"),
    ],
)
def test_what_else_is_no_go_says_why(into: tuple[str, str], heading: str, told: str, seated: Doors):
    no = ask(seated, start(seated), sensor_in=into[0], electronics_in=into[1])
    assert no.heading == heading
    assert any(told in reason for reason in no.told()), no.told()


def test_every_reason_is_told_at_once(seated: Doors):
    seated.world.do("place_hold", "20 09:30", half="p4 s", cause="wet", reason="a wet patch")
    seated.world.do("leave_station", "20 10:00", esd_signoff="ida signed")
    no = ask(seated, start(seated), sensor_in="p4 s", electronics_in="p4 e")
    codes = " ".join(no.told())
    for part in (
        "does not accept Ardlune Sedge",
        "is on hold since 20 May 2026: a wet patch",
        "held from 20 May 2026, 08:00 UTC to 20 May 2026, 10:00 UTC",
    ):
        assert part in codes


def test_what_the_go_no_go_promised_is_decided_again_at_the_door(seated: Doors):
    ida, page = seated.visitor("ida"), signed_page(seated)
    seated.world.do("place_hold", "20 11:00", pair="p2", cause="dropped", reason="fell")
    answer = sign(ida, page)
    assert answer.status == 409
    assert answer.told() == [
        "Pair p2 is on hold since 20 May 2026: fell Ask a release authority to look at the evidence and release it."
    ]


# refused or warned in mid-step


def test_found_other_is_said_aloud_and_the_work_goes_on(seated: Doors):
    ida = seated.visitor("ida")
    other = ask(seated, ida.get(f"/bays/{seated.code(A)}/swap/lift"), sensor_out="p3 s", electronics_out="p3 e")
    assert other.heading == "Found other."
    assert (
        "The record has p1 here." in other.words
        and "Both ends are told when you sign; the work goes on." in other.words
    )
    placed = ask(seated, go_on(ida, other, "Go on: seat the next pair"), sensor_seen="p2 s", electronics_seen="p2 e")
    last = go_on(ida, placed, "Sign it")
    refused = sign(ida, last)
    assert refused.status == 409
    assert any("The record has p1 in Teasel, bay A, and you hold" in told for told in refused.told())
    done = ida.send(
        refused, refused.form(method="post"), pin=PIN, already_done="y", why_out_of_order="they were in there"
    )
    assert done.status == 303
    assert len(seated.rows("discrepancy")) >= 2


@pytest.mark.parametrize(
    ("seen", "heading"),
    [
        (("p2 s", "p3 e"), "Mixed. Do not join."),
        (("p2 s", "p3 s"), "Both are sensor halves."),
        (("QQ-1", "p2 e"), "Nothing in the registry bears this label."),
    ],
)
def test_what_is_seated_wrongly_is_said_before_the_lid_is_on(seen: tuple[str, str], heading: str, seated: Doors):
    page = seated.visitor("ida").get(f"/bays/{seated.code(A)}/swap/seat")
    told = ask(seated, page, sensor_seen=seen[0], electronics_seen=seen[1])
    assert told.heading == heading
    assert "Sign it" not in told.links()


def test_a_pair_on_hold_is_told_at_the_seat(seated: Doors):
    seated.world.do("place_hold", "20 09:30", pair="p2", cause="dropped", reason="fell")
    page = seated.visitor("ida").get(f"/bays/{seated.code(A)}/swap/seat")
    told = ask(seated, page, sensor_seen="p2 s", electronics_seen="p2 e")
    assert (told.heading, "Sign it" in told.links()) == ("On hold. Do not install.", False)


# the way out of what has already happened


def test_what_was_done_out_of_order_is_entered_with_a_reason_and_stops_the_vehicle(seated: Doors):
    """Nobody signed for ESD handling, at night at sea: refused first, then recorded as it was."""
    yusuf = seated.visitor("yusuf")
    seated.world.do("leave_station", "20 08:30", by="yusuf", esd_signoff="yusuf signed")
    page = yusuf.get(
        f"/bays/{seated.code(A)}/swap", query_string=coded(seated, {"sensor_in": "p2 s", "electronics_in": "p2 e"})
    )
    assert page.heading == "No go."
    last = go_on(yusuf, page, "It has already happened: enter it out of order")
    scans = coded(seated, {"sensor_out": "p1 s", "electronics_out": "p1 e"})
    refused = sign(yusuf, last, **scans)
    assert (refused.status, len(refused.told())) == (409, 1)
    details = refused.form(method="post").node.one("details")
    assert "open" in details.attrs
    unreasoned = yusuf.send(refused, refused.form(method="post"), pin=PIN, already_done="y")
    assert unreasoned.status == 422
    assert unreasoned.beside("why_out_of_order") == [
        "What was done out of order needs a reason. Say in your words why it was done so."
    ]
    done = yusuf.send(
        unreasoned, unreasoned.form(method="post"), pin=PIN, why_out_of_order="the tester was on the other deck"
    )
    bay = yusuf.follow(done)
    assert any(told.startswith("Out of order: The last sign-off") for told in bay.flashes)
    assert bay.root.one("section", cls="verdict").has(cls="stops")
    assert [(row.cause, row.released_at) for row in seated.rows("hold")] == [("out_of_order", None)]
    assert yusuf.get(f"/vehicles/{seated.code('teasel')}").heading == "Teasel: must not deploy."


def test_a_mixed_pair_stays_refused_whatever_anyone_says(seated: Doors):
    ida, size = seated.visitor("ida"), seated.size()
    page = ida.get(
        f"/bays/{seated.code(A)}/swap/sign",
        query_string=coded(
            seated, {"sensor_in": "p2 s", "electronics_in": "p3 e", "sensor_out": "p1 s", "electronics_out": "p1 e"}
        ),
    )
    assert "Seated: not a pair Not whole." in page.words
    answer = sign(ida, page, already_done="y", why_out_of_order="it is in there")
    assert (answer.status, seated.size()) == (409, size)
    assert answer.told()[0].startswith("These halves belong to different pairs.")
    assert answer.beside("electronics_in")


def test_a_swap_at_the_wrong_bay_names_the_bay_where_the_pair_is(seated: Doors):
    seated.world.install("p3", "burdock A", "20 09:30")
    told = {"sensor_out": "p1 s", "electronics_out": "p1 e", "sensor_in": "p2 s", "electronics_in": "p2 e"}
    page = seated.visitor("ida").get(f"/bays/{seated.code('burdock A')}/swap/sign", query_string=coded(seated, told))
    answer = sign(seated.visitor("ida"), page)
    assert answer.status == 409
    assert any("in Teasel, bay A" in reason for reason in answer.told())


def test_a_bay_that_is_not_there_has_no_swap(untouched: Doors):
    for path in (
        "/bays/K0000000/swap",
        "/bays/nothing/swap/lift",
        "/bays/nothing/swap/seat",
        "/bays/nothing/swap/sign",
    ):
        assert untouched.visitor("ida").get(path).status == 404


@pytest.mark.parametrize("step", ["lift", "seat"])
@pytest.mark.parametrize("scans", [("p1 s", "p1 s"), ("p1 s", "teasel A"), ("teasel A", "teasel B")])
def test_the_wrong_thing_scanned_at_the_hull_is_said(step: str, scans: tuple[str, str], untouched: Doors):
    """The same half twice, or the label of the bay: the page must say what is wrong and not go on."""
    names = ("sensor_out", "electronics_out") if step == "lift" else ("sensor_seen", "electronics_seen")
    page = untouched.visitor("ida").get(
        f"/bays/{untouched.code('teasel A')}/swap/{step}",
        query_string=coded(untouched, dict(zip(names, scans, strict=True))),
    )
    band = page.root.one("section", cls="verdict")
    assert set(band.classes) & {"stops", "unsure"}
    assert page.heading
    assert "You hold ." not in page.words
    assert not [words for words in page.links() if words.startswith(("Go on", "Sign it", "Seat the next"))]


def test_a_lift_alone_does_not_say_that_anything_was_seated(untouched: Doors):
    told = coded(untouched, {"sensor_out": "p1 s", "electronics_out": "p1 e"})
    page = untouched.visitor("ida").get(
        f"/bays/{untouched.code('teasel A')}/swap/sign", query_string={"only": "lift", **told}
    )
    assert "Seat done" not in page.words


# numbered copies: on the bag they say which pair, at the hull they prove nothing


@pytest.mark.parametrize("copy", [2, 17])
def test_the_copies_on_the_bags_are_enough_to_ask_before_the_hull_is_opened(copy: int, seated: Doors):
    address = f"https://pairbook.example/i/{seated.code('p2 s')}/{copy}"
    go = ask(seated, start(seated), sensor_in=address, electronics_in="p2 e")
    assert go.heading == "Go. p2 may go into Teasel, bay A."
    other = f"https://pairbook.example/i/{seated.code('p1 s')}/{copy}"
    no = ask(seated, start(seated), sensor_in=other, electronics_in="p2 e")
    assert no.heading == "Mixed. Do not join."


@pytest.mark.parametrize("copy", [2, 17])
@pytest.mark.parametrize(
    ("step", "first", "second", "pair"),
    [("seat", "sensor_seen", "electronics_seen", "p2"), ("lift", "sensor_out", "electronics_out", "p1")],
)
def test_a_copy_in_place_of_the_half_s_own_label_is_told_at_once(
    step: str, first: str, second: str, pair: str, copy: int, seated: Doors
):
    address = f"https://pairbook.example/i/{seated.code(f'{pair} s')}/{copy}"
    page = seated.visitor("ida").get(f"/bays/{seated.code(A)}/swap/{step}")
    told = ask(seated, page, **{first: address, second: f"{pair} e"})
    assert told.heading.startswith(f"This is copy {copy} of the label of sensor half")
    assert "Scan the label on the half itself." in told.words
    assert not set(told.links()) & {"Sign it", "Seat the next pair", "Stop here: sign the lift alone"}


def test_a_copy_that_reaches_the_signature_is_refused_and_nothing_is_written(seated: Doors):
    copy, before, visitor = f"https://pairbook.example/i/{seated.code('p2 s')}/2", seated.size(), seated.visitor("ida")
    scans = coded(seated, {"electronics_in": "p2 e", "sensor_out": "p1 s", "electronics_out": "p1 e"})
    page = visitor.get(f"/bays/{seated.code(A)}/swap/sign", query_string={"sensor_in": copy, **scans})
    refused = sign(visitor, page)
    assert (refused.status, seated.size()) == (422, before)
    assert "This is copy 2 of the label" in refused.told()[0]


# what receiving has not let in


def test_a_sealed_half_is_no_go_and_is_not_signed_for_at_the_seat(lived: Doors):
    lived.world.sign("ida", "20 08:00")
    no = ask(lived, start(lived, "burdock A"), sensor_in="p6 s", electronics_in="p6 e")
    assert no.heading == "No go."
    assert any(
        "is not inspected: it stands sealed in carton 1 of DN-7. Inspect it first." in told for told in no.told()
    )
    assert any("is not inspected: carton 2 of DN-7 is open." in told for told in no.told())
    assert no.links()["Open the carton"] == f"/act/open_carton?carton={lived.world.ids['sealed carton']}"
    assert "It has already happened: enter it out of order" in no.links()
    ida = lived.visitor("ida")
    seat = ida.get(f"/bays/{lived.code('burdock A')}/swap/seat")
    placed = ask(lived, seat, sensor_seen="p6 s", electronics_seen="p6 e")
    assert placed.heading == "Not accepted. Do not install."
    assert "Sign it" not in placed.links()
    signed = ask(lived, seat, sensor_seen="p5 s", electronics_seen="p5 e")
    assert "Sign it" in signed.links()


# heard and felt


@pytest.mark.parametrize(
    ("step", "scans", "tone"),
    [
        ("seat", ("p2 s", "p2 e"), "whole"), ("seat", ("p2 s", "p3 e"), "stops"), ("seat", ("p2 s", "p3 s"), "stops"),
        ("seat", ("p2 s", "QQ-1"), "read"), ("seat", ("p2 s", "p2 s"), "read"), ("seat", ("", ""), ""),
        ("lift", ("p1 s", "p1 e"), "whole"), ("lift", ("p1 s", "p2 e"), "stops"), ("lift", ("p1 s", "QQ-1"), "read"),
        ("lift", ("", ""), ""), ("", ("p2 s", "p2 e"), "whole"), ("", ("p2 s", "p3 e"), "stops"), ("", ("", ""), ""),
    ],
)  # fmt: skip
def test_each_step_of_a_swap_says_what_to_sound(step: str, scans: tuple[str, str], tone: str, seated: Doors):
    names = {"seat": ("sensor_seen", "electronics_seen"), "lift": ("sensor_out", "electronics_out")}
    fields = names.get(step, ("sensor_in", "electronics_in"))
    given = coded(seated, dict(zip(fields, scans, strict=True)))
    page = seated.visitor("ida").get(f"/bays/{seated.code(A)}/swap/{step}".rstrip("/"), query_string=given)
    assert page.root.one("div", id="verdict").attrs["data-tone"] == tone
    assert page.root.one("input", id="sound")
    assert any("tones.js" in node.attrs.get("src", "") for node in page.root.all("script"))


@pytest.mark.parametrize(("pair", "tone"), [("p5", "whole"), ("p6", "stops"), ("p3", "stops")])
def test_a_whole_pair_that_is_held_or_not_accepted_does_not_sound_whole_at_the_seat(
    pair: str, tone: str, untouched: Doors
):
    seen = coded(untouched, {"sensor_seen": f"{pair} s", "electronics_seen": f"{pair} e"})
    page = untouched.visitor("ida").get(f"/bays/{untouched.code('burdock A')}/swap/seat", query_string=seen)
    assert page.root.one("div", id="verdict").attrs["data-tone"] == tone


def test_a_copy_of_a_label_does_not_sound_whole_at_the_seat(untouched: Doors):
    seen = {
        "sensor_seen": f"https://pairbook.example/i/{untouched.code('p5 s')}/2",
        "electronics_seen": untouched.code("p5 e"),
    }
    page = untouched.visitor("ida").get(f"/bays/{untouched.code('burdock A')}/swap/seat", query_string=seen)
    assert page.root.one("div", id="verdict").attrs["data-tone"] == "read"
