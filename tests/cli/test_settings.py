"""Settings at the command line."""

import hashlib
import json
from pathlib import Path

from tests.web.doors import Doors

READ = ("Output delay=12", "Serial port 1, rate=115200")


def test_a_sheet_is_told_with_its_load_and_its_bytes_have_its_checksum(untouched: Doors):
    lines = untouched.cli("settings", "Teasel A").stdout.splitlines()
    assert lines[0] == "Teasel, bay A, version 2 since 13 May 2026, 10:30 UTC, in force."
    assert "p1 is in. Loaded: version 2, 13 May 2026, 11:00 UTC." in lines
    told = json.loads(untouched.cli("settings", "Teasel A", "--sheet-version", "1", "--json").stdout)
    assert (told["version"], told["newest_version"]) == (1, 2)
    document = untouched.cli("settings", "Teasel A", "--sheet-version", "1", "--document").stdout
    assert hashlib.sha256(document.encode()).hexdigest() == told["checksum"]


def test_what_is_not_there_is_told(untouched: Doors):
    for asked in (("Burdock A",), ("Teasel A", "--sheet-version", "9")):
        result = untouched.cli("settings", *asked)
        assert result.exit_code == 1 and "has no settings sheet" in result.stderr
    assert untouched.cli("settings").exit_code == 2


def test_whose_settings_a_unit_holds(untouched: Doors):
    good = untouched.cli("readback", "--bay", "Teasel A", "Time scale=GPS time", *READ)
    assert good.exit_code == 0 and good.stdout.startswith("Agrees with the load.")
    old = untouched.cli("readback", "--bay", "Teasel A", "Time scale=UTC", *READ)
    assert old.exit_code == 1 and "  Time scale: read UTC, wanted GPS time" in old.stdout.splitlines()
    bench = untouched.cli("readback", "--json", "Time scale=UTC", *READ)
    assert bench.exit_code == 0 and json.loads(bench.stdout)["sheet"]["version"] == 1
    assert untouched.cli("readback", *READ).exit_code == 1
    assert untouched.cli("readback", "Time scale").exit_code == 2


def test_every_sheet_goes_into_one_file(untouched: Doors, tmp_path: Path):
    file = tmp_path / "sheets.html"
    assert untouched.cli("settings", "--offline", str(file)).exit_code == 0
    assert "2 sheets as they stood on" in file.read_text("utf-8")
    assert "cannot be written" in untouched.cli("settings", "--offline", str(tmp_path / "no" / "x.html")).stderr
