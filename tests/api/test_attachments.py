"""Files over JSON: sent first, named by an act after, fetched by their hash."""

import io

import pytest

from registry.downloads import SANDBOX
from tests.samples import CSV, DRAWING, NOTE_GIVEN, PAGE, PDF, PHOTO, PHOTO_GIVEN, TEXT, bomb, picture
from tests.web.doors import Doors, codes_of, problem_of


def raw(doors: Doors, content: bytes, name: str = "photo.jpg", who: str | None = "ida"):  # type: ignore[no-untyped-def]
    return doors.api(who).post("/files", data=content, query_string={"name": name})


def files_there(doors: Doors) -> set[str]:
    return {path.name for path in (doors.instance.home / "files").rglob("*") if path.is_file()}


def test_a_file_is_sent_named_by_an_act_and_fetched_again(doors: Doors):
    ida = doors.api("ida")
    answer = raw(doors, PHOTO)
    assert (answer.status_code, answer.json) == (201, PHOTO_GIVEN)
    again = raw(doors, PHOTO)
    assert (again.status_code, again.json) == (200, PHOTO_GIVEN)
    sent = doors.world.sent("place_hold", "18 09:00", half="p1 s", reason="a crack", files=[answer.json])
    assert ida.check(sent).json["go"] is True
    assert ida.act(sent).status_code == 201
    fetched = ida.get(f"/files/{PHOTO_GIVEN['sha256']}")
    assert (fetched.status_code, fetched.data, fetched.mimetype) == (200, PHOTO, "image/jpeg")
    assert fetched.headers["Content-Disposition"] == "attachment; filename=photo.jpg"
    assert fetched.headers["Content-Security-Policy"] == SANDBOX
    [shown] = ida.get("/halves/S-p1").json["files"]
    assert {shown[name] for name in ("sha256", "name", "purpose", "by")} == {PHOTO_GIVEN["sha256"], "photo.jpg", "seen", "Ida"}  # fmt: skip
    assert ida.get("/pairs/p1").json["files"] == [shown]


def test_a_file_may_come_as_a_part_of_a_form(doors: Doors):
    answer = doors.api("ida").post("/files", data={"file": (io.BytesIO(PDF), "C/sheet.pdf")})
    assert (answer.status_code, answer.json["name"], answer.json["media_type"]) == (201, "sheet.pdf", "application/pdf")


def test_a_program_that_says_nothing_of_what_it_sends_is_understood(doors: Doors):
    """What curl says of `--data-binary`, if it is not told otherwise."""
    ida = doors.api("ida")
    answer = ida.post("/files?name=bench.csv", data=CSV, content_type="application/x-www-form-urlencoded")
    assert (answer.status_code, answer.json["media_type"]) == (201, "text/csv")


BAD = [
    (b"", "photo.jpg", 422, "wrong_file"),
    (picture("PNG"), "photo.pdf", 422, "wrong_file"),
    (PAGE, "photo.jpg", 422, "wrong_file"),
    (DRAWING, "drawing.svg", 422, "wrong_file"),
    (PHOTO[:600], "photo.jpg", 422, "wrong_file"),
    (bomb(), "drawing.png", 413, "too_large"),
    (PHOTO, "", 422, "missing_field"),
    (PHOTO, "  ", 422, "missing_field"),
    (PHOTO, "photo", 422, "wrong_file"),
]


@pytest.mark.parametrize(("content", "name", "status", "code"), BAD)
def test_what_is_not_kept_is_told_in_one_shape(content: bytes, name: str, status: int, code: str, doors: Doors):
    answer = raw(doors, content, name)
    assert (answer.status_code, codes_of(answer)) == (status, [code])
    assert problem_of(answer)["reasons"][0]["next"]
    assert files_there(doors) == set()


@pytest.mark.parametrize(("more", "status"), [(0, 201), (1, 413)])
def test_one_byte_over_the_limit_is_too_many(more: int, status: int, doors: Doors, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(doors.instance.files, "most_bytes", 10_000)
    answer = raw(doors, b"x" * (10_000 + more), "note.txt")
    assert answer.status_code == status
    if more:
        assert codes_of(answer) == ["too_large"]
        assert "“note.txt” is larger than 10 kB" in problem_of(answer)["detail"]


#: Flask leaves the part that did not come to its end to the collector of garbage, which says so.
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_a_form_that_was_cut_off_is_told_so(doors: Doors):
    import gc

    body = b'--cut\r\nContent-Disposition: form-data; name="file"; filename="photo.jpg"\r\n\r\n' + PHOTO[:900]
    answer = doors.api("ida").post("/files", data=body, content_type="multipart/form-data; boundary=cut")
    assert (answer.status_code, codes_of(answer)) == (422, ["missing_field"])
    assert problem_of(answer)["reasons"][0]["next"] == "Send it as multipart/form-data, to its end."
    assert files_there(doors) == set()
    gc.collect()


def test_a_body_that_breaks_off_keeps_nothing(doors: Doors):
    ida = doors.api("ida")
    longer = {"CONTENT_LENGTH": str(len(TEXT) + 10)}
    answer = ida.client.post("/api/v1/files?name=note.txt", headers=ida.headers, data=TEXT, environ_overrides=longer)
    assert answer.status_code == 400
    assert files_there(doors) == set()


def test_nobody_sends_or_fetches_a_file_without_a_token(lived: Doors):
    assert raw(lived, PHOTO, who=None).status_code == 401
    assert lived.api().get(f"/files/{NOTE_GIVEN['sha256']}").status_code == 401
    assert lived.api("anselm").get(f"/files/{NOTE_GIVEN['sha256']}").status_code == 200


def test_somebody_who_holds_no_role_sends_no_file(doors: Doors):
    doors.world.do("end_role", "19 09:00", by="maren", person="ida", role="technician")
    answer = raw(doors, PHOTO)
    assert (answer.status_code, codes_of(answer), files_there(doors)) == (403, ["not_allowed"], set())


@pytest.mark.parametrize("sha256", ["0" * 64, "x", NOTE_GIVEN["sha256"].upper(), "..%2f..%2flog.key", "0" * 5000])
def test_a_hash_that_no_entry_names_is_not_found(sha256: str, lived: Doors):
    answer = lived.api("ida").get(f"/files/{sha256}")
    assert answer.status_code == 404


def test_what_was_sent_and_not_named_is_not_handed_out(doors: Doors):
    assert raw(doors, PHOTO).status_code == 201
    assert doors.api("ida").get(f"/files/{PHOTO_GIVEN['sha256']}").status_code == 404


def test_a_file_that_was_changed_is_not_handed_out(lived: Doors):
    lived.instance.files.path(NOTE_GIVEN["sha256"]).write_bytes(b"x" * NOTE_GIVEN["size"])
    answer = lived.api("ida").get(f"/files/{NOTE_GIVEN['sha256']}")
    assert (answer.status_code, codes_of(answer)) == (503, ["log_damaged"])


def test_an_act_that_names_what_was_never_sent_is_refused(doors: Doors):
    sent = doors.world.sent("attach_file", "18 09:00", half="p1 s", files=[PHOTO_GIVEN])
    answer = doors.api("ida").act(sent)
    assert (answer.status_code, codes_of(answer)) == (422, ["unknown_file"])
    assert problem_of(answer)["reasons"][0]["field"] == "files.0"
