"""Taking the record out, on the page, over JSON and at the command line."""

import io
import json
import zipfile
from pathlib import Path

import pytest

from tests.web.doors import Doors, codes_of


@pytest.mark.parametrize(("who", "may"), [("maren", True), ("anselm", True), ("piet", True), ("ida", False), ("oda", False)])  # fmt: skip
def test_keepers_auditors_and_fleet_managers_may(who: str, may: bool, untouched: Doors):
    visitor = untouched.visitor(who)
    page = visitor.get("/export")
    answer = visitor.send(page, page.form("/export"), table=["half"])
    assert (answer.status, answer.response.mimetype) == ((200, "application/zip") if may else (403, "text/html"))
    assert ("Write it out" in page.text) is may
    if not may:
        assert any(told.startswith("Only a fleet manager, an auditor or a keeper may") for told in answer.told())
    assert untouched.api(who).post("/export", {"format": "csv", "tables": ["half"]}).status_code == (
        200 if may else 403
    )


def test_the_file_is_named_by_the_size_of_the_log_and_holds_what_was_ticked(untouched: Doors):
    visitor = untouched.visitor("maren")
    page = visitor.get("/export")
    answer = visitor.send(page, page.form("/export"), table=["half", "pairing"])
    assert answer.response.headers["Content-Disposition"] == f'attachment; filename="pairbook-{untouched.size()}.zip"'
    with zipfile.ZipFile(io.BytesIO(answer.response.data)) as folder:
        assert folder.namelist() == ["README.txt", "half.csv", "pairing.csv"]
        assert "tell it commas when you open a file, or take XLSX." in folder.read("README.txt").decode()
    assert untouched.rows("security_event")[-1].what == "exported"


def test_what_cannot_be_had_is_told(untouched: Doors):
    api = untouched.api("maren")
    for body, code in (
        ({"format": "ods"}, "wrong_form"),
        ({"format": "csv", "tables": ["credential"]}, "wrong_form"),
        ({"format": "csv", "tables": ["person_private"]}, "wrong_form"),
        ({"format": "csv", "tables": "half"}, "wrong_form"),
        ({"format": "csv", "names": 1}, "wrong_form"),
        ({"format": ["csv"]}, "wrong_form"),
    ):
        assert codes_of(api.post("/export", body)) == [code], body


def test_json_tells_the_tables_and_gives_the_lines(untouched: Doors):
    told = untouched.api("ida").get("/export").json["tables"]
    assert next(one for one in told if one["name"] == "half")["rows"] > 3
    lines = untouched.api("anselm").post("/export", {}).data.splitlines()
    assert json.loads(lines[0])["export"]["log_size"] == untouched.size()
    assert json.loads(lines[1])["entry"]["seq"] == 1


def test_the_command_writes_a_folder_a_workbook_or_lines(untouched: Doors, tmp_path: Path):
    assert untouched.cli("export", str(tmp_path / "t"), "--format", "csv", "--table", "half").exit_code == 0
    assert sorted(path.name for path in (tmp_path / "t").iterdir()) == ["README.txt", "half.csv"]
    result = untouched.cli("export", str(tmp_path / "all.jsonl"), "--format", "jsonl")
    assert result.stdout == f"Exported the log to {tmp_path / 'all.jsonl'}, at {untouched.size():,} entries.\n"
    assert (tmp_path / "all.jsonl").read_text(encoding="utf-8").count('{"entry":') == untouched.size()
    again = untouched.cli("export", str(tmp_path / "t"), "--format", "csv")
    assert (again.exit_code, "is there already" in again.stderr) == (1, True)
    assert untouched.cli("export", str(tmp_path / "x"), "--format", "jsonl", "--table", "half").exit_code == 2
