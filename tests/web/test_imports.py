"""Carrying a spreadsheet over on the page and over JSON: the file, its columns, the report, and all of it or nothing."""

import io
import os
import subprocess
import sys
from pathlib import Path

import pytest

from registry import import_steps, importing
from registry.at_work import AT_WORK
from registry.errors import Refused
from tests.web.doors import PIN, Doors, Page, Visitor, codes_of

HALVES = "Half,Type,Manufacturer,Part no,Serial no,Location,Received\r\n"
GOOD = (
    HALVES
    + "sensor,Reed,Ardlune,RS-100,IM-1,North shed,2024-02-05\r\nelectronics,Reed,Ardlune,RE-200,IM-1,North shed,2024-02-05\r\n"
)
BAD = (
    HALVES
    + "sensor,Reed,Ardlune,RS-100,IM-2,North shed,03/04/2024\r\nsensor,Reed,Ardlune,RS-100,0M-1,Nowhere,2024-02-05\r\n"
)


@pytest.fixture
def here(doors: Doors, monkeypatch: pytest.MonkeyPatch) -> None:
    """Steps run within the test: a process of its own for each would take longer than all the rest."""

    def start(imports: importing.Imports, one: importing.Import, step: str) -> None:
        imports.keep(one)
        try:
            import_steps.run(imports, one.id, step, doors.world.now)
        except Refused:
            assert imports.find(one.id).reasons

    monkeypatch.setattr(importing, "start", start)


def sent(visitor: Visitor, text: str | bytes, kind: str = "halves", name: str = "halves.csv") -> Page:
    raw = text.encode() if isinstance(text, str) else text
    data = {"csrf_token": visitor.token(), "kind": kind, "file": (io.BytesIO(raw), name)}
    return visitor.post("/imports", data, content_type="multipart/form-data")


def settled(visitor: Visitor, path: str) -> Page:
    """The page of the import once the step that runs beside it has ended."""
    _ended(path.rsplit("/", 1)[1])
    return visitor.get(path)


def _ended(id_: str) -> None:
    """Wait for the process of its own that works on an import, where one does."""
    if child := importing._CHILDREN.get(id_):
        child.wait(120)


def tried(visitor: Visitor, text: str | bytes, **told: str) -> Page:
    page = visitor.follow(sent(visitor, text))
    answer = visitor.send(page, page.form(f"{page.path}/try"), **told)
    assert answer.status == 303, answer.told()
    return settled(visitor, page.path)


def test_a_file_is_looked_at_tried_and_entered_as_a_whole(doors: Doors, here: None):
    visitor, before = doors.visitor("maren"), doors.size()
    page = tried(visitor, GOOD)
    assert "2 rows can go in." in page.words
    assert doors.size() == before
    wrong = visitor.send(page, page.form(f"{page.path}/enter"), pin="9999")
    assert (wrong.status, doors.size()) == (401, before)
    answer = visitor.send(page, page.form(f"{page.path}/enter"), pin=PIN)
    assert answer.status == 303, answer.told()
    page = settled(visitor, page.path)
    assert "Entered, all of it" in page.words
    assert doors.size() == before + 2
    again = tried(visitor, GOOD)
    assert "2 of this file are in the log already" in again.words


def test_refused_rows_are_told_one_by_one_and_nothing_can_be_entered(doors: Doors, here: None):
    visitor = doors.visitor("maren")
    page = tried(visitor, BAD)
    assert "2 rows are refused." in page.words
    assert "Row 2 There since: “03/04/2024” may be read two ways." in page.words
    assert "No site is called “Nowhere”. Known:" in page.words
    assert "Enter all of it" not in page.words
    token = visitor.token()
    assert visitor.post(f"{page.path}/enter", {"csrf_token": token, "pin": PIN}).status == 422
    lines = visitor.client.get(f"{page.path}/report.csv").text.splitlines()
    assert lines[0] == "rows,state,read as,acts,why,near"
    assert lines[1].startswith("2,refused,")
    told = doors.api("maren").get(f"{page.path}").json
    assert [row["state"] for row in told["rows"]] == ["refused", "refused"]
    assert told["rows"][1]["reasons"][0]["field"] == "site"


def test_a_keeper_alone_carries_over(doors: Doors, here: None):
    for who in ("oda", "ida", "anselm"):
        visitor = doors.visitor(who)
        assert "Only a keeper may carry a spreadsheet over." in visitor.get("/imports").words
        assert sent(visitor, GOOD).status == 403
    answer = doors.api("oda").post("/imports?name=x.csv&kind=halves", data=GOOD.encode())
    assert answer.status_code == 403


def test_what_is_no_sheet_is_told(doors: Doors, here: None):
    visitor = doors.visitor("maren")
    for raw, told in (
        (b"", "The file is empty."),
        (b"\n" * 1000, "The file holds no row with a cell"),
        (b"\x00" * 1000, "it holds zero bytes"),
        (b"PK\x03\x04broken", "did not come whole"),
        (b"\xd0\xcf\x11\xe0", "a workbook of the old form"),
    ):
        answer = sent(visitor, raw)
        assert (answer.status, any(told in reason for reason in answer.told())) == (422, True), answer.told()


def test_json_takes_tries_and_enters_each_in_a_process_of_its_own(doors: Doors):
    api = doors.api("maren")
    made = api.post("/imports?name=x.csv&kind=halves", data=GOOD.encode())
    assert (made.status_code, made.json["columns"]["serial"]) == (201, "E")
    path = f"/imports/{made.json['id']}"
    assert api.post(f"{path}/enter", {}).status_code == 422
    for step, state in (("try", "tried"), ("enter", "entered")):
        assert api.post(f"{path}/{step}", {}).status_code == 202
        _ended(made.json["id"])
        told = api.get(path).json
        assert (told["state"], told["reasons"]) == (state, [])
    assert told["counts"] == {"ready": 2, "near": 0, "already": 0, "refused": 0}


def test_a_look_that_takes_too_long_is_ended_and_another_is_not_begun_beside_it(
    doors: Doors, monkeypatch: pytest.MonkeyPatch
):
    imports = importing.Imports(doors.instance)
    api, seen, begun = doors.api("maren"), [], []

    def slow(*command: object, **more: object) -> subprocess.Popen:
        begun.append(sleeping([sys.executable, "-c", "input()"], stdin=subprocess.PIPE))
        return begun[0]

    class Asking(subprocess.Popen):
        def wait(self, timeout: float | None = None) -> int:
            if timeout is not None:
                seen.append(timeout)
                seen.append(api.post("/imports?name=y.csv&kind=halves", data=GOOD.encode()).json)
                timeout = 0.1
            return super().wait(timeout)

    sleeping = Asking
    monkeypatch.setattr(importing.subprocess, "Popen", slow)
    answer = doors.api("maren").post("/imports?name=x.csv&kind=halves", data=GOOD.encode())
    begun[0].stdin.close()
    assert (answer.status_code, codes_of(answer)) == (422, ["wrong_file"])
    seconds, beside = seen
    assert seconds <= 10
    assert beside["reasons"][0]["code"] == "busy"
    assert not any(imports.runs(one.id) for one in imports.every())


def test_a_file_that_takes_too_long_to_read_is_refused_with_how_far_it_came(
    doors: Doors, here: None, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(import_steps, "_READ_S", -1)
    page = tried(doors.visitor("maren"), GOOD)
    assert any("row 2 was reached" in told for told in page.told())


@pytest.mark.parametrize("raw", ["h,i\na,b\n".encode("utf-16") + b"A", b"\xff\xfeh\x00\n\x00\x00\xd8a\x00"])
def test_a_file_that_ends_in_the_middle_of_a_letter_is_refused_at_every_door(
    raw: bytes, doors: Doors, here: None, tmp_path: Path
):
    told = "begins as UTF-16 and is not whole"
    answer = sent(doors.visitor("maren"), raw)
    assert (answer.status, any(told in reason for reason in answer.told())) == (422, True)
    answer = doors.api("maren").post("/imports?name=x.csv&kind=halves", data=raw)
    assert (answer.status_code, codes_of(answer)) == (422, ["wrong_file"])
    (tmp_path / "x.csv").write_bytes(raw)
    result = doors.cli("import", str(tmp_path / "x.csv"), "--kind", "halves", who="maren")
    assert (result.exit_code, told in result.stderr) == (1, True)


class Killed(BaseException):
    """Stands for a process that is ended from outside: nothing catches it."""


@pytest.mark.parametrize(("is_in", "state"), [(True, "entered"), (False, "tried")])
def test_an_import_whose_process_is_killed_says_what_the_log_says(
    is_in: bool, state: str, doors: Doors, here: None, monkeypatch: pytest.MonkeyPatch
):
    visitor, before = doors.visitor("maren"), doors.size()
    page = tried(visitor, GOOD)
    keep = importing.Imports.keep

    def killed(imports: importing.Imports, one: importing.Import) -> None:
        """Its last word before the commit is kept, and no other; or the commit itself does not come."""
        if one.state == "entered":
            raise Killed
        keep(imports, one)
        if one.last_act and not is_in:
            raise Killed

    with monkeypatch.context() as patched, pytest.raises(Killed):
        patched.setattr(importing.Imports, "keep", killed)
        one = importing.Imports(doors.instance).find(page.path.rsplit("/", 1)[1])
        import_steps.run(importing.Imports(doors.instance), one.id, "enter", doors.world.now)
    assert doors.size() == before + 2 * is_in
    page = visitor.get(page.path)
    assert ("Entered, all of it" in page.words) is is_in
    assert any("nothing of it was entered" in told for told in page.told()) is not is_in
    told = doors.api("maren").get(page.path).json
    assert (told["state"], [reason["code"] for reason in told["reasons"]]) == (state, [] if is_in else ["failed"])


def test_a_file_left_by_a_process_that_ended_holds_nobody_up_and_one_that_works_does(doors: Doors, here: None):
    """Whoever bears the number of the ended process now: a lock is let go of by the system when its holder ends."""
    visitor = doors.visitor("maren")
    page = tried(visitor, GOOD)
    imports = importing.Imports(doors.instance)
    one = imports.find(page.path.rsplit("/", 1)[1])
    one.state = "entering"
    imports.keep(one)
    window = {"id": one.id, "by": one.by, "since": one.made_at, "seconds": 1}
    importing.write(imports.folder(one.id).parent / "window.json", window)
    left = imports.folder(one.id) / AT_WORK
    holding = f"import fcntl; f = open({str(left)!r}); fcntl.flock(f, fcntl.LOCK_EX); print(flush=True); input()"
    with subprocess.Popen([sys.executable, "-c", holding], stdin=subprocess.PIPE, stdout=subprocess.PIPE) as other:
        other.stdout.readline()
        try:
            assert (imports.find(one.id).state, imports.window()) == ("entering", window)
            with pytest.raises(Refused, match="is at work"):
                importing.refuse_busy(imports)
        finally:
            other.kill()
    left.write_text(str(os.getpid()))
    assert (imports.find(one.id).state, imports.window()) == ("tried", None)
    importing.refuse_busy(imports)


def test_a_spreadsheet_carried_over_is_read_by_those_who_may_export_alone(doors: Doors, here: None):
    visitor = doors.visitor("maren")
    page = tried(visitor, GOOD)
    visitor.send(page, page.form(f"{page.path}/enter"), pin=PIN)
    path = f"/spreadsheets/{importing.Imports(doors.instance).find(page.path.rsplit('/', 1)[1]).sha256}"
    for who, status in (("maren", 200), ("anselm", 200), ("piet", 200), ("ida", 403), ("oda", 403)):
        visitor = doors.visitor(who)
        answer = visitor.client.get(path)
        assert (answer.status_code, answer.data == GOOD.encode()) == (status, status == 200), who
        assert (path in visitor.get(f"/log/{doors.size()}").text) is (status == 200), who
    told = "Only a fleet manager, an auditor or a keeper may read a spreadsheet that was carried over."
    assert told in visitor.get(path).words
