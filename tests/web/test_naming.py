"""What a link fills in is shown in words, sent as it was filled in, and can be changed; what nobody knows stays as typed."""

import pytest
from sqlalchemy import select

from registry.acts.references import WORDS
from registry.models.base import metadata
from registry.queries.named import named
from registry.web.naming import SAYS
from tests.web.doors import Doors

UNKNOWN = "0197ffff-0000-7000-8000-000000000000"


def shown(page, name: str) -> tuple[list[str], bool]:
    """The words shown for an entry, and whether the entry itself is folded away."""
    entry = next(node for node in page.root.walk() if node.attrs.get("name") == name)
    box = next(node for node in page.root.all("div", cls="field") if any(one is entry for one in node.walk()))
    return [node.words for node in box.all("p", cls="named")], entry.inside("details")


@pytest.mark.parametrize(
    "act, field, thing, words",
    [
        ("record_mounting_check", "bay", "teasel A", "Teasel, bay A"),
        ("record_readback", "bay", "teasel A", "Teasel, bay A"),
        ("add_housing", "vehicle", "teasel", "Teasel"),
    ],
)
def test_what_a_link_fills_in_is_shown_in_words_and_sent_as_it_was(
    act: str, field: str, thing: str, words: str, untouched: Doors
):
    id_ = untouched.world.ids[thing]
    page = untouched.visitor("oda").get(f"/act/{act}?{field}={id_}")
    assert shown(page, field) == ([words], True)
    assert page.form(f"/act/{act}").value(field) == id_
    again = untouched.visitor("oda").act(act, **{field: id_})
    assert shown(again, field)[0] == [words]
    assert again.form(f"/act/{act}").value(field) == id_


def test_what_nobody_knows_keeps_showing_what_was_typed(untouched: Doors):
    for typed in (UNKNOWN, "Teasle A"):
        page = untouched.visitor("oda").get(f"/act/record_mounting_check?bay={typed}")
        assert shown(page, "bay") == ([], False)
        assert page.form("/act/record_mounting_check").value("bay") == typed


def test_the_finding_is_read_above_the_form_that_accepts_it(untouched: Doors):
    visitor = untouched.visitor("piet")
    page = visitor.get(f"/vehicles/{untouched.code('burdock')}?from=2026-05-21&to=2026-05-29")
    item = next(node for node in page.root.one("ol", cls="findings").all("li") if "no alignment" in node.words)
    form = visitor.get(next(node.attrs["href"] for node in item.all("a") if node.words == "Accept it by name"))
    told = form.root.one("ol", cls="findings").one("li")
    assert told.one("h3").words == item.one("h3").words
    assert shown(form, "vehicle") == (["Burdock"], True)
    assert "no alignment" in shown(form, "finding")[0][0]
    assert shown(form, "evidence")[0][0].startswith("entry ")
    assert not form.root.all("ol", cls="findings")[1:]


def test_the_lines_of_an_impact_are_shown_by_their_titles(untouched: Doors):
    ids = untouched.world.ids
    page = untouched.visitor("piet").get(f"/act/answer_impact?impact={ids['impact']}&lines={ids['impact line']}")
    row = next(one for one in untouched.rows("impact_line") if one.id == ids["impact line"])
    assert shown(page, "lines") == ([row.told], True)
    assert page.form("/act/answer_impact").value("lines").strip() == ids["impact line"]


def test_every_kind_that_can_be_referred_to_is_named_in_one_statement(untouched: Doors):
    """Every row of every kind has words of its own, with no id in them."""
    world = untouched.world
    with world.database.reading() as db:
        for kind in sorted(set(WORDS) - {"act"}):
            ids = list(db.execute(select(metadata.tables[kind].c.id)).scalars())
            words = named(db, [(kind, id_) for id_ in ids], SAYS)
            assert set(words) == {(kind, id_) for id_ in ids}, kind
            assert not any(id_ in said or not said for (_kind, id_), said in words.items())


def test_a_printed_code_that_a_link_fills_in_is_read_in_words_and_sent_as_it_is(untouched: Doors):
    code = untouched.code("teasel A")
    page = untouched.visitor("yusuf").get(f"/act/check_seating?bay={code}")
    assert [node.words for node in page.root.all("p", cls="named")] == ["Teasel, bay A"]
    assert page.form("/act/check_seating").value("bay") == code
    wrong = untouched.visitor("yusuf").get(f"/act/check_seating?bay={untouched.code('teasel')}")
    assert wrong.root.all("p", cls="named") == []
