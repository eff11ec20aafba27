"""A spreadsheet carried over at the command line, on both engines: tried, told row by row, entered whole or not at all."""

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from registry.importing import Imports
from tests.cli.fixtures import emptied, of_postgres
from tests.cli.test_backup import other
from tests.web.doors import PIN, Doors

HEADERS = "Half,Type,Manufacturer,Part no,Serial no,Received"
GOOD = [("sensor", "Reed", "Ardlune", "RS-100", "IM-1", "05/02/2024"), ("electronics", "Reed", "Ardlune", "RE-200", "IM-1", "16/02/2024")]  # fmt: skip
SAID = ("--set", "site=North shed", "--days", "day")


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=[pytest.mark.postgres, pytest.mark.long])])
def either_doors(request: pytest.FixtureRequest) -> Doors:
    return request.getfixturevalue("doors" if request.param == "sqlite" else "doors_on_postgres")


Sheet = Callable[..., str]


@pytest.fixture
def sheet(tmp_path: Path) -> Sheet:
    def made(*rows: tuple[str, ...], name: str = "halves.csv") -> str:
        out = io.StringIO()
        csv.writer(out).writerows(rows)
        path = tmp_path / name
        path.write_text(f"{HEADERS}\r\n{out.getvalue()}", encoding="utf-8")
        return str(path)

    return made


def carried(doors: Doors, file: str, *more: str, who: str | None = "maren", **env: str) -> Result:
    return doors.cli("import", file, "--kind", "halves", *SAID, *more, who=who, **env)


def test_a_dry_run_reports_and_enters_nothing_then_all_of_it_goes_in_and_verifies(either_doors: Doors, sheet: Sheet):
    doors, file = either_doors, sheet(*GOOD)
    before = doors.size()
    dry = carried(doors, file, "--dry-run")
    assert (dry.exit_code, dry.stderr, doors.size()) == (0, "", before)
    assert dry.stdout == (
        "Read as: A is kind, B is unit_type, C is maker, D is part, E is serial, F is since, site is “North shed” in every row.\n"
        "2 rows ready, 0 near something known, 0 in the log already, 0 refused.\n"
    )
    done = carried(doors, file)
    assert (done.exit_code, done.stderr, doors.size()) == (0, "", before + 2)
    assert done.stdout.splitlines()[-1] == f"Entered. The log has {before + 2:,} entries."
    assert doors.cli("verify", "--strict").exit_code == 0
    again = carried(doors, file)
    assert (again.exit_code, doors.size()) == (0, before + 2)
    assert "0 rows ready, 0 near something known, 2 in the log already, 0 refused." in again.stdout


def test_one_refused_row_keeps_all_out_and_is_told_by_its_number(either_doors: Doors, sheet: Sheet):
    doors, before = either_doors, either_doors.size()
    result = carried(doors, sheet(*GOOD, ("sensor", "Reed", "Ardlune", "RE-200", "IM-3", "05/02/2024")))
    assert (result.exit_code, doors.size()) == (1, before)
    first, last = result.stderr.splitlines()
    assert first.startswith("Row 4: The label’s part RE-200 is the electronics half of Reed, not the sensor half.")
    assert last == "Nothing was entered: mend the refused rows first."


def test_a_row_that_is_refused_only_when_all_are_entered_leaves_nothing(
    either_doors: Doors, sheet: Sheet, monkeypatch: pytest.MonkeyPatch
):
    """Somebody received the second half between the try and the entering: the first goes out again with it."""
    from registry import import_steps

    doors, enter = either_doors, import_steps.enter

    def late(*told: object) -> None:
        half = dict(zip(("kind", "unit_type", "maker", "part", "serial"), GOOD[1], strict=False))
        doors.world.do("receive_half", "18 09:00", by="oda", site="North shed", **half)
        enter(*told)

    monkeypatch.setattr(import_steps, "enter", late)
    before = doors.size()
    result = carried(doors, sheet(*GOOD))
    assert (result.exit_code, doors.size()) == (1, before + 1)
    assert "Row 3: That label is on electronics half " in result.stderr
    assert doors.cli("verify").exit_code == 0


def test_halves_near_known_ones_wait_until_somebody_says_that_they_are_others(doors: Doors, sheet: Sheet):
    file = sheet(("sensor", "Reed", "Ardlune", "RS-100", "0012", "05/02/2024"), ("sensor", "Reed", "Ardlune", "RS-100", "0O12", "05/02/2024"))  # fmt: skip
    before = doors.size()
    result = carried(doors, file)
    assert (result.exit_code, doors.size()) == (1, before)
    assert "Row 3: Serial 0O12 looks like 0012, which exists: sensor half in row 2 of this file." in result.stderr
    assert "Nothing was entered: look at the near ones, then say --near-are-others." in result.stderr
    assert carried(doors, file, "--dry-run").exit_code == 1
    assert carried(doors, file, "--near-are-others").exit_code == 0
    assert doors.size() == before + 2


def test_it_is_told_as_json(doors: Doors, sheet: Sheet):
    told = json.loads(carried(doors, sheet(GOOD[0], ("sensor",)), "--json").stdout)
    assert (told["state"], told["counts"]) == ("tried", {"ready": 1, "near": 0, "already": 0, "refused": 1})
    assert [row["state"] for row in told["rows"]] == ["ready", "refused"]
    assert {reason["field"] for reason in told["rows"][1]["reasons"]} == {"unit_type", "maker", "part", "serial", "since"}  # fmt: skip
    told = json.loads(carried(doors, sheet(*GOOD), "--json").stdout)
    assert (told["state"], told["size"]) == ("entered", doors.size())


def test_a_keeper_alone_signs_it_by_token_or_by_pin(doors: Doors, sheet: Sheet):
    file, before = sheet(*GOOD), doors.size()
    refused = carried(doors, file, who="oda")
    assert (refused.exit_code, "Only a keeper may carry a spreadsheet over." in refused.stderr) == (1, True)
    wrong = carried(doors, file, "--as", "Maren", who=None, PAIRBOOK_PIN="0000")
    assert (wrong.exit_code, doors.size()) == (1, before)
    assert carried(doors, file, "--as", "Maren", who=None, PAIRBOOK_PIN=PIN).exit_code == 0


def test_what_is_called_wrongly_ends_with_2_and_a_file_that_is_no_sheet_with_1(
    doors: Doors, sheet: Sheet, tmp_path: Path
):
    file, before = sheet(*GOOD), doors.size()
    for more, told in (
        (("--map", "Nowhere=serial"), "no column is called Nowhere. There are: A: Half, "),
        (("--map", "serial"), "'serial' has no = in it."),
        (("--days", "week"), "'week' is not one of 'day', 'month'"),
    ):
        result = carried(doors, file, *more)
        assert (result.exit_code, told in " ".join(result.stderr.split())) == (2, True), result.stderr
    unknown = carried(doors, file, "--map", "E=number")
    assert (unknown.exit_code, "Halves have no column called number." in unknown.stderr) == (1, True)
    assert "There are: kind (Sensor or electronics)" in unknown.stderr
    assert doors.cli("import", file, "--kind", "halves", who="maren").exit_code == 1  # no column is the site
    (tmp_path / "old.xls").write_bytes(b"\xd0\xcf\x11\xe0old")
    old = carried(doors, str(tmp_path / "old.xls"))
    assert (old.exit_code, "a workbook of the old form" in old.stderr) == (1, True)
    assert doors.size() == before


def test_the_file_is_in_the_backup_comes_back_and_is_looked_at(
    either_doors: Doors, sheet: Sheet, tmp_path: Path, request
):
    doors, file = either_doors, sheet(*GOOD)
    assert carried(doors, file).exit_code == 0
    postgres = doors.instance.database.engine_name == "postgresql"
    told = of_postgres(doors) if postgres else {}
    assert doors.cli("backup", str(tmp_path / "kept"), **told).exit_code == 0
    there = emptied(told, request.getfixturevalue("server")) if postgres else other(doors, tmp_path / "other")
    there |= {"PAIRBOOK_HOME": str(tmp_path / "other")}
    restored = doors.cli("restore", str(tmp_path / "kept"), **there)
    assert restored.exit_code == 0, restored.stderr
    assert doors.cli("verify", **there).exit_code == 0
    (back,) = (path for path in (tmp_path / "other" / "files").rglob("*") if path.is_file())
    assert back.read_bytes() == Path(file).read_bytes()
    back.unlink()
    gone = doors.cli("verify", **there)
    assert (gone.exit_code, "The file “halves.csv” " in gone.stderr) == (1, True)


def test_while_it_is_entered_the_page_says_so_whoever_enters_it(
    doors: Doors, sheet: Sheet, monkeypatch: pytest.MonkeyPatch
):
    from registry import import_steps

    seen, steps = [], import_steps._told_of

    def watched(imports: Imports, one, todo, told):
        for group in steps(imports, one, todo, told):
            seen.append((one.state, Imports(doors.instance).find(one.id).state, imports.window() is not None))
            yield group

    monkeypatch.setattr(import_steps, "_told_of", watched)
    assert carried(doors, sheet(GOOD[0])).exit_code == 0
    assert seen == [("trying", "trying", False), ("entering", "entering", True)]
    assert Imports(doors.instance).window() is None
