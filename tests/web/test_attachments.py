"""Files on pages: sent with the act, shown small and without what a camera writes, handed out only to be saved."""

import gc
import io
import os
import re
from typing import Any

import pytest
from PIL import Image

from registry.downloads import SANDBOX
from tests.samples import (
    DRAWING,
    LIVED_HASHES,
    PAGE,
    PDF,
    PHOTO,
    PHOTO_GIVEN,
    TEXT,
    bomb,
    located,
    picture,
)
from tests.web.doors import PIN, Doors, Page, Visitor

MOST = 20_000


def sent(content: bytes, name: str) -> tuple[io.BytesIO, str]:
    return io.BytesIO(content), name


def hold(visitor: Visitor, half: str, *files: tuple[bytes, str], **told: Any) -> Page:
    told = {"half": half, "reason": "a crack", **told}
    return visitor.act("place_hold", files=[sent(*file) for file in files], **told)


def files_there(doors: Doors) -> set[str]:
    return {path.name for path in (doors.instance.home / "files").rglob("*") if path.is_file()}


# with an act, in one request


def test_a_hold_is_placed_with_a_photo_in_two_taps_from_the_half(doors: Doors):
    ida, half = doors.visitor("ida"), doors.code("p1 s")
    form_page = ida.get(ida.get(f"/halves/{half}").links()["Hold this half"])
    form = form_page.form("/act/place_hold")
    assert (form.value("half"), form.node.attrs["enctype"]) == (half, "multipart/form-data")
    camera, chosen = form.node.all("input", name="files")
    assert (camera.attrs["capture"], camera.attrs["accept"]) == ("environment", "image/*")
    assert "capture" not in chosen.attrs and "multiple" in chosen.attrs and "application/pdf" in chosen.attrs["accept"]
    answer = ida.send(form_page, form, reason="a crack", files=[sent(PHOTO, "photo.jpg")])
    page = ida.follow(answer)
    assert page.heading.endswith("is on hold.")
    [image] = page.root.one("ul", cls="files").all("img")
    assert image.attrs["alt"] == "photo.jpg"
    assert "What was seen when the hold was placed. 5 kB" in page.words
    small = ida.client.get(image.attrs["src"])
    assert (small.status_code, small.mimetype, small.data[:3]) == (200, "image/jpeg", b"\xff\xd8\xff")


@pytest.mark.parametrize(
    ("path", "words"),
    [("/halves/{p1 s}", "Hold this half"), ("/pairs/p1", "Hold this pair"), ("/vehicles/{teasel}", "Hold this vehicle"), ("/bays/{teasel A}", "Hold this bay")],
)  # fmt: skip
def test_every_page_of_a_thing_leads_to_its_hold_with_the_thing_filled_in(path: str, words: str, doors: Doors):
    ida = doors.visitor("ida")
    path = re.sub(r"\{(.+)\}", lambda found: doors.code(found[1]), path)
    form = ida.get(ida.get(path).links()[words]).form("/act/place_hold")
    assert [form.value(name) != "" for name in ("half", "pair", "vehicle", "bay")].count(True) == 1
    assert len(form.node.all("input", capture="environment")) == 1


@pytest.mark.parametrize(
    ("thing", "path"),
    [("half", "/halves/{p1 s}"), ("pair", "/pairs/p1"), ("vehicle", "/vehicles/{teasel}"), ("bay", "/bays/{teasel A}")],
)
def test_a_file_is_attached_from_the_page_of_a_thing_and_shown_there(thing: str, path: str, doors: Doors):
    ida = doors.visitor("ida")
    path = re.sub(r"\{(.+)\}", lambda found: doors.code(found[1]), path)
    before = ida.get(path)
    assert "No file yet." in before.words
    form_page = ida.get(before.links()["Attach a file"])
    form = form_page.form("/act/attach_file")
    answer = ida.send(form_page, form, files=[sent(PDF, "scans/certificate 7.pdf")], words="the maker’s letter")
    page = ida.follow(answer)
    assert page.heading == before.heading
    row = page.root.one("ul", cls="files").words
    assert row.startswith("PDF certificate 7.pdf the maker’s letter 41 bytes, 20 May 2026, 12:00 UTC, Ida.")
    assert "File attached: certificate 7.pdf. It shows: the maker’s letter. Ida." in page.words
    [link] = [node.attrs["href"] for node in page.root.one("ul", cls="files").all("a", cls="what")]
    assert ida.client.get(link).data == PDF


def test_the_files_of_a_hold_stand_on_the_page_of_what_is_held(lived: Doors):
    page = lived.visitor("ida").get(f"/halves/{lived.code('p3 s')}")
    rows = [node.words for node in page.root.one("ul", cls="files").all("li")]
    assert [row.split()[0] for row in rows] == ["photo.jpg", "TXT"] or len(rows) == 2
    assert all("Of a hold" in row for row in rows)
    hold_page = lived.visitor("ida").get(page.links()["Of a hold"])
    assert "Of a hold" not in hold_page.words
    assert len(hold_page.root.one("ul", cls="files").all("li")) == 2


def test_evidence_and_statement_come_with_their_acts(lived: Doors):
    rosa = lived.visitor("rosa")
    told = {"hold": lived.world.ids["hold"], "reason": "dried", "evidence": "bench log"}
    page = rosa.follow(rosa.act("release_hold", files=[sent(TEXT, "note.txt")], **told))
    assert "Evidence for the release." in page.words
    told = {"pair": "new", "sensor": lived.code("lone s"), "electronics": lived.code("lone e"), "grade": "calibration_sheet", "statement": "ST-9", "stated_on": "2026-05-01"}  # fmt: skip
    oda = lived.visitor("oda")
    page = oda.follow(oda.act("record_pairing", files=[sent(PDF, "sheet.pdf")], **told))
    assert "The matched-pair statement." in page.words


def test_a_past_page_shows_what_had_been_attached_by_then(doors: Doors):
    ida, half = doors.visitor("ida"), doors.code("p1 s")
    doors.world.do("attach_file", "12 09:00", half="p1 s", files=[doors.world.files.keep(io.BytesIO(TEXT), "note.txt").file._asdict()])  # fmt: skip
    assert "note.txt" not in ida.get(f"/halves/{half}?at=2026-05-12T08:59").words
    page = ida.get(f"/halves/{half}?at=2026-05-12T09:01")
    assert "note.txt" in page.words
    assert "Attach a file" not in page.links()


# a refusal keeps what was sent


def test_a_photo_stays_with_the_form_when_the_act_is_refused(doors: Doors):
    ida, half, size = doors.visitor("ida"), doors.code("p1 s"), doors.size()
    refused = hold(ida, half, (PHOTO, "photo.jpg"), reason="")
    assert (refused.status, doors.size()) == (422, size)
    form = refused.form("/act/place_hold")
    [kept] = form.node.all("input", name="files-kept")
    assert (kept.attrs["type"], "checked" in kept.attrs) == ("checkbox", True)
    assert "photo.jpg, 5 kB: here already" in refused.words
    assert ida.send(refused, form, reason="a crack").status == 303
    assert [row.sha256 for row in doors.rows("attachment")] == [PHOTO_GIVEN["sha256"]]


def test_a_photo_that_was_taken_out_again_is_not_named(doors: Doors):
    ida = doors.visitor("ida")
    refused = hold(ida, doors.code("p1 s"), (PHOTO, "photo.jpg"), reason="")
    answer = ida.send(refused, refused.form("/act/place_hold"), reason="a crack", **{"files-kept": None})
    assert (answer.status, doors.rows("attachment")) == (303, [])
    with doors.world.database.reading() as db:
        assert [sha256 for sha256, _size in doors.instance.files.unnamed(db)] == [PHOTO_GIVEN["sha256"]]


def test_a_wrong_pin_never_loses_the_file(lived: Doors):
    rosa = lived.visitor("rosa")
    told = {"hold": lived.world.ids["hold"], "reason": "dried", "evidence": "bench log", "pin": "0000"}
    refused = rosa.act("release_hold", files=[sent(TEXT, "note.txt")], **told)
    assert refused.status == 401
    assert rosa.send(refused, refused.form("/act/release_hold"), pin=PIN).status == 303


def test_the_same_form_sent_twice_is_one_act_and_one_file(doors: Doors):
    ida = doors.visitor("ida")
    page = ida.get("/act/attach_file")
    form = page.form("/act/attach_file")
    for _turn in range(2):
        answer = ida.send(page, form, half=doors.code("p1 s"), files=[sent(PHOTO, "photo.jpg")])
        assert answer.status == 303
    assert len(doors.rows("attachment")) == 1
    assert "It was there already." in ida.follow(answer).flashes[-1]


@pytest.mark.parametrize("kept", ["", "x", "../../log.key log.txt", f"{'0' * 64} photo.jpg", f"{'A' * 64} a.jpg"])
def test_a_kept_file_that_was_made_up_is_refused(kept: str, doors: Doors):
    ida = doors.visitor("ida")
    page = ida.get("/act/attach_file")
    pairs = [*page.form("/act/attach_file").filled(half=doors.code("p1 s")), ("files-kept", kept)]
    answer = ida.post("/act/attach_file", dict(pairs))
    assert answer.status == 422
    assert (doors.rows("attachment"), answer.faults) == ([], [])


# what is not kept


@pytest.fixture
def narrow(doors: Doors, monkeypatch: pytest.MonkeyPatch) -> Doors:
    """A registry that takes files of up to `MOST` bytes."""
    monkeypatch.setattr(doors.instance.files, "most_bytes", MOST)
    return doors


BAD = [
    ((b"", "photo.jpg"), 422, "“photo.jpg” is empty."),
    ((picture("PNG"), "scan.pdf"), 422, "“scan.pdf” is named like a PDF and holds a PNG picture."),
    ((PAGE, "photo.jpg"), 422, "“photo.jpg” is named like a JPEG picture and holds a page or drawing in markup."),
    ((DRAWING, "drawing.svg"), 422, "The name “drawing.svg” does not end in one that is kept here."),
    ((PHOTO[:500], "photo.jpg"), 422, "“photo.jpg” cannot be read to its end as a JPEG picture"),
    ((bomb(), "drawing.png"), 413, "“drawing.png” has 60,000 × 60,000 pixels; pictures of up to 64 million are taken."),
    ((b"x" * (MOST + 1), "note.txt"), 413, "“note.txt” is larger than 20 kB, the most that one file may have here."),
]


@pytest.mark.parametrize(("file", "status", "told"), BAD, ids=[case[2][:40] for case in BAD])
def test_a_file_that_is_not_kept_is_told_beside_its_field_and_on_top(
    file: tuple[bytes, str], status: int, told: str, narrow: Doors
):
    doors = narrow
    answer = hold(doors.visitor("ida"), doors.code("p1 s"), file, (PHOTO, "photo.jpg"))
    assert (answer.status, answer.faults) == (status, [])
    assert answer.told()[0].startswith(told)
    assert answer.beside("files")[0].startswith(told)
    assert answer.form("/act/place_hold").value("reason") == "a crack"
    # The good one beside it stays with the form.
    assert files_there(doors) == {PHOTO_GIVEN["sha256"]}
    assert doors.rows("hold") == []


def test_every_file_that_is_not_kept_is_told_at_once(doors: Doors):
    answer = hold(doors.visitor("ida"), doors.code("p1 s"), (b"", "a.jpg"), (PAGE, "b.pdf"), (DRAWING, "c.svg"))
    assert len(answer.beside("files")) == 3


@pytest.mark.parametrize(
    ("name", "shown"),
    [("../../../x.jpg", "x.jpg"), ("a\x1b[31mb.jpg", "a [31mb.jpg"), ("x" * 300 + ".jpg", "x" * 96 + ".jpg"), ("<b>.jpg", "<b>.jpg")],
)  # fmt: skip
def test_a_name_is_cleaned_and_shown_as_text(name: str, shown: str, doors: Doors):
    ida = doors.visitor("ida")
    page = ida.follow(hold(ida, doors.code("p1 s"), (PHOTO, name)))
    assert [row.name for row in doors.rows("attachment")] == [shown]
    assert page.root.one("ul", cls="files").one("a", cls="what").words == shown
    assert page.faults == []


#: Flask leaves the part that did not come to its end to the collector of garbage, which says so.
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_a_form_that_was_cut_off_enters_nothing(doors: Doors):
    ida, size = doors.visitor("ida"), doors.size()
    body = f'--cut\r\nContent-Disposition: form-data; name="csrf_token"\r\n\r\n{ida.token()}\r\n--cut\r\nContent-Disposition: form-data; name="files"; filename="photo.jpg"\r\n\r\n'.encode()
    answer = ida.post("/act/place_hold", body + PHOTO[:400], content_type="multipart/form-data; boundary=cut")
    assert answer.status in (400, 403)
    assert (doors.size(), files_there(doors)) == (size, set())
    gc.collect()


def test_somebody_who_holds_no_role_sends_no_file(doors: Doors):
    doors.world.do("end_role", "19 09:00", by="maren", person="ida", role="technician")
    answer = hold(doors.visitor("ida"), doors.code("p1 s"), (PHOTO, "photo.jpg"))
    assert (answer.status, files_there(doors)) == (403, set())


def test_a_stranger_sends_nothing_and_gets_nothing(lived: Doors):
    stranger, before = lived.stranger(), files_there(lived)
    answer = stranger.post("/act/place_hold", {"csrf_token": stranger.token(), "files": sent(picture(), "x.jpg")})
    assert answer.status == 303
    assert "/sign-in" in answer.response.headers["Location"]
    for path in (f"/files/{lived.world.ids['file']}", f"/files/{lived.world.ids['photo']}/small"):
        assert stranger.get(path).status == 303
    assert files_there(lived) == before


def test_a_stranger_s_form_with_files_is_not_even_read(doors: Doors):
    body = b'--x\r\nContent-Disposition: form-data; name="files"; filename="x.txt"\r\n\r\n' + b"x" * 3_000_000
    answer = doors.stranger().post("/act/place_hold", body, content_type="multipart/form-data; boundary=x")
    assert (answer.status, answer.response.headers["Location"]) == (303, "/sign-in")
    assert files_there(doors) == set()


@pytest.mark.parametrize("query", ["files=x", "files-0-name=x", "files-kept=x"])
def test_an_address_brings_no_files(query: str, doors: Doors):
    form = doors.visitor("ida").get(f"/act/attach_file?{query}&half=S-p1").form("/act/attach_file")
    assert (form.value("half"), form.node.all("input", name="files-kept")) == ("S-p1", [])


# handing out


def test_an_original_is_only_ever_saved(lived: Doors):
    answer = lived.visitor("ida").client.get(f"/files/{lived.world.ids['file']}")
    assert (answer.status_code, answer.data, answer.headers["Content-Type"]) == (200, TEXT, "text/plain")
    assert answer.headers["Content-Disposition"] == "attachment; filename=note.txt"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Content-Security-Policy"] == SANDBOX
    assert SANDBOX.startswith("sandbox; default-src 'none'")
    assert answer.headers["Content-Length"] == str(len(TEXT))


def test_a_name_of_other_letters_reaches_who_saves_it(doors: Doors):
    ida = doors.visitor("ida")
    hold(ida, doors.code("p1 s"), (TEXT, "Prüfblatt “7”.txt"))
    answer = ida.client.get(f"/files/{doors.rows('attachment')[0].id}")
    assert (
        answer.headers["Content-Disposition"] == "attachment; filename*=UTF-8''Pr%C3%BCfblatt%20%E2%80%9C7%E2%80%9D.txt"
    )


def test_a_small_picture_is_upright_and_holds_nothing_but_what_is_seen(doors: Doors):
    ida, photo = doors.visitor("ida"), located()
    assert b"Invented Cameras" in photo and b"taken by nobody" in photo
    hold(ida, doors.code("p1 s"), (photo, "photo.jpg"))
    [row] = doors.rows("attachment")
    small = ida.client.get(f"/files/{row.id}/small").data
    with Image.open(io.BytesIO(small)) as shown:
        assert (shown.size, shown.format, dict(shown.getexif())) == ((360, 480), "JPEG", {})
        assert {"exif", "comment", "icc_profile", "xmp"} & set(shown.info) == set()
    assert b"Invented Cameras" not in small and b"taken by nobody" not in small
    assert ida.client.get(f"/files/{row.id}").data == photo


@pytest.mark.parametrize("form", ["PNG", "WEBP"])
def test_every_kind_of_picture_is_shown_small(form: str, doors: Doors):
    ida = doors.visitor("ida")
    name = f"drawing.{form.lower()}"
    hold(ida, doors.code("p1 s"), (picture(form, (2000, 1000), "red"), name))
    with Image.open(io.BytesIO(ida.client.get(f"/files/{doors.rows('attachment')[0].id}/small").data)) as shown:
        assert (shown.size, shown.format) == ((480, 240), "JPEG")
        assert shown.getpixel((240, 120))[0] > 240


def test_what_is_clear_in_a_picture_is_white_in_the_small_one(doors: Doors):
    ida, out = doors.visitor("ida"), io.BytesIO()
    Image.new("RGBA", (40, 40), (255, 0, 0, 0)).save(out, "PNG")
    hold(ida, doors.code("p1 s"), (out.getvalue(), "clear.png"))
    with Image.open(io.BytesIO(ida.client.get(f"/files/{doors.rows('attachment')[0].id}/small").data)) as shown:
        assert min(shown.getpixel((20, 20))) > 250


def test_a_small_picture_that_is_gone_is_drawn_anew(lived: Doors):
    path = f"/files/{lived.world.ids['photo']}/small"
    before = lived.visitor("ida").client.get(path).data
    for file in (lived.instance.home / "small").rglob("*.jpg"):
        file.unlink()
    assert lived.visitor("ida").client.get(path).data == before


@pytest.mark.parametrize("break_it", [lambda path: path.unlink(), lambda path: path.write_bytes(b"other")])
def test_a_file_that_is_not_as_it_was_is_not_handed_out(break_it: Any, lived: Doors):
    [row] = [one for one in lived.rows("attachment") if one.id == lived.world.ids["file"]]
    break_it(lived.instance.files.path(row.sha256))
    page = lived.visitor("ida").get(f"/files/{row.id}")
    assert page.status == 503
    assert page.told()[0].startswith("The file “note.txt” ")


def test_what_is_no_picture_or_no_file_is_not_found(lived: Doors):
    ida = lived.visitor("ida")
    for path in (f"{lived.world.ids['file']}/small", lived.world.ids["hold"], "x", "..%2flog.key", "x" * 36):
        assert ida.get(f"/files/{path}").status == 404


# upkeep


class Turns:
    """A clock that lets the upkeep have its turns and then ends it."""

    def __init__(self, turns: int):
        self._left = turns

    def wait(self, _seconds: float) -> bool:
        self._left -= 1
        return self._left < 0


def test_the_server_takes_away_what_no_entry_has_named_for_a_day(lived: Doors, monkeypatch: pytest.MonkeyPatch):
    from registry import server

    files = lived.instance.files
    loose = files.path(files.keep(io.BytesIO(b"loose\n"), "loose.txt").file.sha256)
    monkeypatch.setattr(server.threading, "Event", lambda: Turns(3))
    server._keep_up(lived.instance)
    assert loose.exists()
    for path in (files._folder).glob("??/*"):
        os.utime(path, (0, 0))
    server._keep_up(lived.instance)
    assert not loose.exists()
    assert files_there(lived) == LIVED_HASHES


# where the files of closings, leak tests and sightings are shown, and those of an entry


def test_photos_of_a_closing_and_of_a_sighting_stand_where_they_belong(lived: Doors):
    ida = lived.visitor("ida")
    vehicle, bay = lived.code("teasel"), lived.code("teasel A")
    closed = ida.act(
        "close_housing", housing=lived.world.ids["teasel forward"], pin=PIN, files=[sent(PHOTO, "seal.jpg")]
    )
    assert closed.status == 303
    tested = {
        "start_mbar": "750",
        "start_c": "20",
        "end_mbar": "751",
        "end_c": "20",
        "hold_min": "30",
        "limit_mbar": "10",
    }
    told = {"housing": lived.world.ids["teasel forward"], "pin": PIN, "happened_at": "2026-05-20T12:00", **tested}
    assert ida.act("record_leak_test", files=[sent(TEXT, "gauge.txt")], **told).status == 303
    seen = ida.act(
        "record_sighting",
        bay=bay,
        sensor=lived.code("p1 s"),
        electronics=lived.code("p1 e"),
        files=[sent(PHOTO, "bay.jpg")],
    )
    assert seen.status == 303
    listed = ida.get(f"/vehicles/{vehicle}").root.one("ul", cls="files").words
    for words in (
        "seal.jpg A housing as it was closed.",
        "gauge.txt Record of a leak test.",
        "bay.jpg What was found in the bay.",
    ):
        assert words in listed
    here = ida.get(f"/bays/{bay}").root.one("ul", cls="files").words
    assert "bay.jpg What was found in the bay." in here and "seal.jpg" not in here


def test_the_page_of_an_entry_lists_the_files_it_brought_and_no_others(lived: Doors):
    anselm = lived.visitor("anselm")
    row = next(row for row in lived.rows("attachment") if row.id == lived.world.ids["photo"])
    page = anselm.get(f"/log/{row.seq}")
    brought = page.root.one("ul", cls="files")
    assert page.root.one("h2", id="d").words == "Files it brought 2"
    assert "photo.jpg What was seen when the hold was placed." in brought.words and "note.txt" in brought.words
    again = lived.visitor("ida").act("attach_file", half=lived.code("p1 s"), files=[sent(PHOTO, "photo.jpg")])
    assert again.status == 303, "the same bytes, brought again by another entry"
    assert anselm.get(f"/log/{row.seq}").root.one("h2", id="d").words == "Files it brought 2"
    assert anselm.get(f"/log/{lived.size()}").root.one("h2", id="d").words == "Files it brought 1"
    assert not anselm.get("/log/1").root.all("ul", cls="files")
