"""The page of labels, without script: things are ticked or typed, and the PDF comes as a stream; faults come back with why."""

from collections.abc import Iterator

import pypdfium2
import pytest
import zxingcpp

from registry.domain import sticking
from tests.web.doors import Doors, Page
from tests.web.html import Form


def form_of(page: Page) -> Form:
    return page.form("/labels", "post")


def order(doors: Doors, page: Page | None = None, **told: object) -> Page:
    visitor = doors.visitor("oda")
    page = page or visitor.get("/labels")
    return visitor.send(page, form_of(page), **told)


@pytest.fixture
def read() -> Iterator[object]:
    """Reads a PDF: (symbols of each page, words of each page)."""
    opened: list[pypdfium2.PdfDocument] = []

    def given(answer: Page) -> tuple[list[set[str]], list[str]]:
        assert answer.response.mimetype == "application/pdf"
        opened.append(pypdfium2.PdfDocument(answer.response.data))
        symbols, words = [], []
        for page in opened[-1]:
            picture = page.render(scale=300 / 72).to_pil().convert("L")
            symbols.append({one.text for one in zxingcpp.read_barcodes(picture)})
            text = page.get_textpage()
            words.append(" ".join(text.get_text_bounded().split()))
            text.close()
            page.close()
        return symbols, words

    yield given
    for one in opened:
        one.close()


def address(doors: Doors, name: str, copy: int = 0) -> str:
    return f"HTTPS://PAIRBOOK.EXAMPLE/I/{doors.code(name)}" + (f"/{copy}" if copy else "")


def test_ticked_halves_come_as_pdf_with_maker_part_and_serial(untouched: Doors, read):
    answer = order(untouched, on=[untouched.code("p1 s"), untouched.code("p1 e")], paper="roll", legend=None)
    assert answer.status == 200
    assert answer.response.headers["Content-Disposition"] == 'attachment; filename="labels.pdf"'
    symbols, words = read(answer)
    assert symbols == [{address(untouched, "p1 s")}, {address(untouched, "p1 e")}]
    code = untouched.code("p1 s")
    assert words[0].startswith(f"Sensor half {code[:4]} {code[4:]} Ardlune ")


@pytest.mark.parametrize(
    ("name", "says"),
    [("teasel", "Vehicle"), ("teasel A", "Bay"), ("bench", "Station"), ("shed", "Site"), ("ida", "Badge")],
)
def test_everything_that_bears_a_code_has_a_label(name: str, says: str, untouched: Doors, read):
    symbols, words = read(order(untouched, codes=untouched.code(name), paper="roll", legend=None))
    assert symbols == [{address(untouched, name)}]
    assert words[0].startswith(says)


@pytest.mark.parametrize("kind", sticking.NAMES)
def test_things_of_every_kind_can_be_ticked_and_where_their_labels_go_is_told(kind: str, untouched: Doors):
    page = untouched.visitor("oda").get(f"/labels?kind={kind}")
    assert sticking.WHERE[kind] in page.words
    for caution in sticking.CAUTIONS:
        assert caution.head in page.words and caution.told in page.words
    assert "never evidence of where it is" in page.words
    assert form_of(page).node.all("input", name="on")


def test_the_sheet_is_a4_with_instructions_unless_something_else_is_chosen(untouched: Doors, read):
    symbols, words = read(order(untouched, on=[untouched.code("p1 s")]))
    assert [len(one) for one in symbols] == [1, 0]
    assert words[1].startswith("How to stick these labels Where: halves")


def test_codes_may_be_typed_scanned_and_ticked_and_each_is_printed_once(untouched: Doors, read):
    typed = f"{untouched.code('p1 s').lower()}\r\n\r\n {address(untouched, 'teasel')} \r\n{untouched.code('p1 s')}"
    symbols, _words = read(order(untouched, on=[untouched.code("p1 s")], codes=typed))
    assert symbols[0] == {address(untouched, "p1 s"), address(untouched, "teasel")}


def test_numbered_copies_are_copies_in_words_and_symbol(untouched: Doors, read):
    told = {"on": [untouched.code("p1 s")], "copies": "1-3", "paper": "roll", "legend": None}
    symbols, words = read(order(untouched, **told))
    assert symbols == [{address(untouched, "p1 s", copy)} for copy in (1, 2, 3)]
    assert [one.split(":")[0] for one in words] == ["COPY 1", "COPY 2", "COPY 3"]


def test_a_scan_of_a_printed_copy_is_no_evidence_of_place_at_any_door(lived: Doors, read):
    """Printed, read back by a decoder, sent as an act: refused, and the half’s own printed label is taken."""
    told = {"on": [lived.code("p5 s")], "paper": "roll", "legend": None}
    ((copy,),), _words = read(order(lived, copies="2", **told))
    ((own,),), _words = read(order(lived, **told))
    sent = lived.world.sent("install_pair", "20 10:00", bay="burdock A", sensor="p5 s", electronics="p5 e")
    refused = lived.api("ida").check(sent | {"sensor": copy}).json
    assert refused["go"] is False
    assert [(one["code"], one["field"]) for one in refused["reasons"]] == [("copy_label", "sensor")]
    assert "copy_label" not in [one["code"] for one in lived.api("ida").check(sent | {"sensor": own}).json["reasons"]]


FAULTS = [
    ({}, "codes", "Nothing is ticked and no code is typed."),
    ({"codes": "K0000000"}, "codes", "K000"),
    ({"codes": "hello"}, "codes", "Our codes have 8 characters; this text has 5."),
    ({"on": ["{p1 s}"], "size_mm": "12", "dpi": "203"}, "size_mm", "At 203 dpi a module of a label of 12 mm"),
    ({"on": ["{p1 s}"], "copies": "0"}, "copies", "“0” is no number of a copy"),
    ({"on": ["{p1 s}"], "paper": "measures", "measures": "letter"}, "sheet", "“letter” is no sheet."),
    ({"on": ["{p1 s}"], "paper": "measures", "measures": "50x50/0x0/2x2/0x0"}, "sheet", "A place on this sheet is 25.0 by 25.0 mm"),
]  # fmt: skip


@pytest.mark.parametrize(("told", "field", "says"), FAULTS)
def test_what_cannot_be_printed_comes_back_with_why_and_what_was_chosen(told, field: str, says: str, untouched: Doors):
    spelt = {
        name: [untouched.code(one[1:-1]) for one in value] if name == "on" else value for name, value in told.items()
    }
    page = order(untouched, **spelt)
    assert (page.status, page.faults) == (422, [])
    assert page.told()[0].startswith(says)
    assert page.beside(field)[0].startswith(says)
    form = form_of(page)
    for name, value in spelt.items():
        kept = [one for key, one in form.values() if key == name]
        assert kept == (value if isinstance(value, list) else [value])
    if not told.get("codes"):
        assert form.value("legend") == "yes"


def test_what_was_ticked_on_another_list_is_kept_when_something_is_wrong(untouched: Doors):
    visitor = untouched.visitor("oda")
    page = visitor.get("/labels?kind=vehicle")
    data = dict(form_of(page).values()) | {"on": untouched.code("p1 s"), "copies": "x"}
    back = visitor.post("/labels?kind=vehicle", data)
    assert form_of(back).value("codes") == untouched.code("p1 s")


def test_no_page_prints_more_labels_than_it_can_in_a_moment(untouched: Doors):
    with_copies = [
        untouched.code(name)
        for name in ("p1 s", "p1 e", "p2 s", "p2 e", "p3 s", "p3 e", "p5 s", "p5 e", "lone s", "lone e", "odd e")
    ]
    page = order(untouched, on=with_copies, copies="1-99")
    assert (page.status, page.told()[0].split(";")[0]) == (413, "These are 1,089 labels")
    assert "pairbook labels --pdf" in page.told()[0]


def test_a_kind_that_is_none_is_not_there(untouched: Doors):
    assert untouched.visitor("oda").get("/labels?kind=pair").status == 404


@pytest.mark.parametrize("path", ["/halves/{p1 s}", "/bays/{teasel A}", "/vehicles/{teasel}"])
def test_the_page_of_a_thing_leads_to_its_label(path: str, untouched: Doors):
    from tests.web.test_pages import spelt

    visitor = untouched.visitor("oda")
    page = visitor.get(visitor.get(spelt(untouched, path)).links()["Print its label"])
    ticked = [node.attrs["value"] for node in page.root.all("input", name="on") if "checked" in node.attrs]
    assert ticked == [spelt(untouched, path).rpartition("/")[2]]


def test_lists_go_on_page_by_page(untouched: Doors, monkeypatch: pytest.MonkeyPatch):
    from registry.web import labels

    monkeypatch.setattr(labels, "A_PAGE", 4)
    visitor, seen, path = untouched.visitor("oda"), [], "/labels"
    for _ in range(20):
        page = visitor.get(path)
        seen += [node.attrs["value"] for node in page.root.all("input", name="on")]
        if "The next halves" not in page.links():
            break
        path = page.links()["The next halves"]
    assert len(seen) == len(set(seen)) == len(untouched.rows("half"))
