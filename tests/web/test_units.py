"""Pairs, halves and unit types: their pages and lists, receiving a half and entering its statement."""

import pytest

from registry.web import units
from tests.web.doors import PIN, Doors


def test_a_pair_that_is_whole_says_where_it_is_and_shows_its_life(untouched: Doors):
    page = untouched.visitor("piet").get("/pairs/p1")
    assert page.heading == "p1 is whole."
    assert (
        "In Teasel, bay A, since 10 May 2026. Last scanned there 10 May 2026, 10 days ago; 1 mission day rests on it. No hold; something is to be looked at again."
        in page.words
    )
    assert {node.classes[-1] for node in page.root.all("svg", cls="line")} == {"across", "down"}
    assert "p1 installed in Teasel, bay A." in page.words
    for name in ("p1 s", "p1 e"):
        assert f"{untouched.code(name)[:4]} {untouched.code(name)[4:]}" in page.links()
    assert "ST-p1" in page.words


@pytest.mark.parametrize(
    ("name", "heading"), [("p2", "p2 is on hold."), ("gone", "gone: were a pair once."), ("p5", "p5 is whole.")]
)
def test_a_pair_says_first_what_stands_against_it(name: str, heading: str, untouched: Doors):
    assert untouched.visitor("piet").get(f"/pairs/{name}").heading == heading


def test_a_pair_of_which_a_half_was_sighted_elsewhere_says_so(doors: Doors):
    doors.world.install("p1", "teasel A", "10 09:00")
    doors.world.do("record_sighting", "15 09:00", by="anselm", bay="teasel B", sensor="p1 s")
    page = doors.visitor("oda").get("/pairs/p1")
    assert page.heading == "p1: a half was sighted elsewhere."
    assert page.links("act")["Settle it"] == "/waiting"


def test_a_pair_is_found_by_its_name_its_halves_and_their_serials(untouched: Doors):
    ida = untouched.visitor("ida")
    for ref in ("p1", untouched.code("p1 s"), untouched.code("p1 e").lower(), "S-p1", untouched.world.ids["p1"]):
        assert ida.get(f"/pairs/{ref}").title.startswith("Pair p1 ·")


def test_the_list_of_pairs_shows_the_state_and_place_of_each(untouched: Doors):
    page = untouched.visitor("piet").get("/pairs")
    rows = {item.one("a", cls="what").words: item.words for item in page.root.one("ul", cls="rows").all("li")}
    assert list(rows) == sorted(rows)
    assert "were a pair once" in rows["gone"]
    assert "whole" in rows["p1"]
    assert "on hold" in rows["p2"]


def test_long_lists_are_turned_page_by_page(untouched: Doors, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(units, "PAGE", 4)
    ida, seen, path = untouched.visitor("ida"), [], "/halves"
    for _ in range(20):
        page = ida.get(path)
        seen += [node.words for node in page.root.one("main").one("ul", cls="rows").all("a", cls="what")]
        onward = page.links("plain").get("After")
        if onward is None:
            break
        path = f"/halves{onward}" if onward.startswith("?") else onward
    assert len(seen) == len(set(seen)) == len(untouched.rows("half"))
    assert "Before" in page.links("plain")


@pytest.mark.parametrize("skip", ["-1", "x", "99999999999", "²", "1.5", ""])
def test_a_strange_page_number_is_the_first_page(skip: str, untouched: Doors):
    page = untouched.visitor("ida").get("/pairs", query_string={"skip": skip})
    assert page.status == 200
    assert "p1" in page.links()


def test_a_half_shows_its_labels_its_partner_its_place_and_its_history(untouched: Doors):
    page = untouched.visitor("oda").get(f"/halves/{untouched.code('p1 e')}")
    assert page.heading == f"{untouched.code('p1 e')[:4]} {untouched.code('p1 e')[4:]} belongs to p1."
    assert "Its partner is sensor half" in page.words
    table = page.root.one("table")
    assert [cell.words for cell in table.one("tbody").all("td")][:3] == ["Ardlune", "RE-200", "E-p1"]
    assert page.root.one("div", cls="scroll").has(tabindex="0", role="region")
    assert "Electronics half runs firmware 2.4.1." in page.words
    assert page.links("plain")["Label"] == f"/labels/{untouched.code('p1 e')}.svg"


@pytest.mark.parametrize(
    ("name", "words"), [("lone e", "is alone."), ("p3 s", "is on hold."), ("lone2 s", "is retired.")]
)
def test_a_half_says_first_what_stands_against_it(name: str, words: str, untouched: Doors):
    assert untouched.visitor("oda").get(f"/halves/{untouched.code(name)}").heading.endswith(words)


def test_every_half_is_listed_with_maker_part_and_serial(untouched: Doors):
    page = untouched.visitor("oda").get("/halves")
    assert "Ardlune Reed, part RS-100, serial S-p1. In Teasel, bay A, since 10 May 2026." in page.words


def test_a_type_is_shown_with_its_figures_and_what_they_are_figures_of(untouched: Doors):
    page = untouched.visitor("oda").get("/types")
    rush = next(node for node in page.root.all("section", cls="part") if node.one("h2").words == "Ardlune Rush")
    assert "gyro bias as the sheet states 0.01 deg/h 1σ" in rush.words
    assert "letter from the maker" in rush.words
    assert "not stated" in rush.words


# receiving and pairing, by page


def test_a_lead_receives_both_halves_and_enters_their_statement(doors: Doors):
    oda, codes = doors.visitor("oda"), []
    for kind, part in (("sensor", "RS-100"), ("electronics", "RE-200")):
        label = f"[)>{{RS}}06{{GS}}17V1A2B3{{GS}}1P{part}{{GS}}SN-9{kind[0]}{{RS}}{{EOT}}"
        unknown = oda.get("/", query_string={"text": label})
        page = oda.get(unknown.links("act")["Receive this half"])
        form = page.form("/act/receive_half")
        assert form.value("label") == label
        done = oda.send(
            page, form, kind=kind, unit_type=doors.world.ids["reed"], site=doors.world.ids["shed"], spot="bench 2"
        )
        received = oda.follow(done)
        assert received.heading.endswith("is alone.")
        codes.append(received.heading[:9].replace(" ", ""))
    lying = oda.get("/", query_string={"on": codes})
    page = oda.get(lying.links("act")["Enter their matched-pair statement"])
    form = page.form("/act/record_pairing")
    assert [form.value("sensor"), form.value("electronics")] == codes
    done = oda.send(
        page, form, pair="QH-9", grade="calibration_sheet", statement="AC-9", stated_on="2026-05-01", pin=PIN
    )
    assert oda.follow(done).heading == "QH-9 is whole."


@pytest.mark.parametrize(
    ("told", "field", "sentence"),
    [
        (
            {"kind": "sensor", "label": "[)>\x1e06\x1d17V1A2B3\x1d1PRE-200\x1dS1\x1e\x04"},
            "kind",
            "The label’s part RE-200 is the electronics half of Reed, not the sensor half. Look at both labels again: the halves look alike.",
        ),
        (
            {"kind": "sensor", "label": "[)>\x1e06\x1d17V1A2B3\x1d1PXX-1\x1dS1\x1e\x04"},
            "unit_type",
            "The label’s part is XX-1; the sensor half of Reed is part RS-100.",
        ),
        (
            {"kind": "sensor", "maker": "Ardlune", "part": "RS-100", "serial": "S-p1"},
            "label",
            "That label is on sensor half",
        ),
        (
            {"kind": "sensor", "maker": "Ardlune", "part": "RS-100"},
            "serial",
            "Without a label, the serial must be typed as printed.",
        ),
        ({"kind": "sensor", "label": "S77"}, "label", ""),
    ],
)
def test_a_label_that_does_not_fit_is_refused_beside_its_field(
    told: dict[str, str], field: str, sentence: str, untouched: Doors
):
    answer = untouched.visitor("oda").act(
        "receive_half", unit_type=untouched.world.ids["reed"], site=untouched.world.ids["shed"], **told
    )
    assert answer.status in (409, 422)
    assert any(told.startswith(sentence) for told in answer.beside(field)), answer.told()


def test_a_statement_of_a_grade_the_type_does_not_accept_is_refused(untouched: Doors):
    told = {
        "sensor": untouched.code("lone s"),
        "electronics": untouched.code("lone e"),
        "pair": "new",
        "statement": "X",
        "stated_on": "2026-05-01",
    }
    answer = untouched.visitor("oda").act("record_pairing", grade="letter", **told)
    assert answer.status == 409
    assert answer.beside("grade")[0].startswith(
        "A letter from the maker does not prove a pair of Ardlune Reed; accepted: calibration sheet of the pair."
    )


def test_what_was_asked_to_be_looked_at_again_stands_on_the_half_and_on_its_pair(lived: Doors):
    lived.world.do("record_knock", "19 09:00", half="p5 s", words="slipped on the bench")
    ida = lived.visitor("ida")
    for path in ("/pairs/p5", f"/halves/{lived.code('p5 s')}"):
        page = ida.get(path)
        assert "half: look at connectors and caps slipped on the bench Asked 19 May 2026, 09:00 UTC" in page.words, path
        assert [to for to in page.links("go").values() if "/act/answer_recheck?recheck=" in to], path
    answered = {row.id for row in lived.rows("recheck") if row.half_id == lived.world.ids["p5 s"]}
    for id_ in answered:
        lived.world.do("answer_recheck", "19 10:00", recheck=id_, answer="sound")
    assert "To look at again" not in ida.get("/pairs/p5").words


def test_a_pair_that_went_nowhere_has_no_empty_life_line(untouched: Doors):
    new = untouched.visitor("ida").get("/pairs/p4")
    assert "It has not been in a vehicle, never on hold, and never verified." in new.words
    assert not new.root.all("svg", cls="line")
