"""Computations at the shell: every one documented by an example that runs, every answer with its units and its method."""

import io
import json
import re
import shlex
import subprocess
import sys
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from registry.cli.compute import COMPUTATIONS
from registry.paths import TEMPLATES
from tests.cli.fixtures import Shell
from tests.cli.test_process import RUN
from tests.inertial.test_dvl_track import record
from tests.inertial.test_recordings import TRACK, as_csv, rows

HEAVY = ("numpy", "scipy", "sqlalchemy", "flask", "pydantic")


def examples(shell: Shell, name: str) -> list[str]:
    """The commands of the example in the help of a computation."""
    text = shell("compute", name, "--help").stdout.split("Example:\n")[1].split("\n\n")[0]
    return re.sub(r"\\\n\s*", "", text).strip().splitlines()


@cache
def recordings() -> tuple[str, str]:
    t, heading, dvl, ref = record()
    run = np.column_stack([t, heading, dvl, ref, np.ones(len(t))])
    return as_csv(run, TRACK), as_csv(rows(18_000, 20.0))


@pytest.fixture
def files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The recordings that examples name: a run with a DVL 0.8 degrees to starboard, and 15 minutes at rest."""
    run, bench = recordings()
    (tmp_path / "run.csv").write_text(run)
    (tmp_path / "bench.csv").write_text(bench)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize("name", COMPUTATIONS)
def test_every_computation_shows_an_example_that_runs(name: str, shell: Shell, files: Path):
    found = examples(shell, name)
    assert found
    for line in found:
        prog, *called = shlex.split(line)
        result = shell(*called)
        assert (prog, result.exit_code, result.stderr) == ("pairbook", 0, ""), result.output
        assert "Frame: " in result.stdout and "Coverage of intervals: " in result.stdout
        assert re.search(r"^Method: [a-z-]+ 20\d\d-\d+ \(.+\)\.$", result.stdout, re.MULTILINE)


@pytest.mark.parametrize("name", COMPUTATIONS)
def test_every_computation_prints_json_with_frame_coverage_method_and_its_source(name: str, shell: Shell, files: Path):
    told = json.loads(shell(*shlex.split(examples(shell, name)[0])[1:], "--json").stdout)
    assert set(told) == {"given", "results", "methods", "notes"}
    for result in told["results"].values():
        assert {"unit", "frame", "coverage", "method"} <= set(result)
        assert told["methods"][result["method"]]


@pytest.mark.parametrize("name", COMPUTATIONS)
def test_a_call_without_what_is_needed_is_a_wrong_one(name: str, shell: Shell):
    result = shell("compute", name)
    assert (result.exit_code, result.stdout) == (2, "")
    assert "Usage: pairbook compute" in result.stderr


def test_every_computation_stands_in_the_overview(shell: Shell):
    told = shell("compute", "--help").stdout
    for name, (_module, _attribute, line) in COMPUTATIONS.items():
        assert re.search(rf"^  {name} ", told, re.MULTILINE) and line in told


@pytest.mark.parametrize("name", ["", *COMPUTATIONS])
def test_help_loads_nothing_heavy(name: str):
    look = (
        "import sys; from registry.cli.main import pairbook;"
        f"pairbook({['compute', *filter(None, [name]), '--help']!r}, standalone_mode=False);"
        f"print([m for m in {HEAVY!r} if m in sys.modules])"
    )
    told = subprocess.run([sys.executable, "-c", look], capture_output=True, text=True, check=True)
    assert told.stdout.rstrip().splitlines()[-1] == "[]"


def test_the_answer_that_the_readme_shows_is_the_one_that_is_given(shell: Shell):
    text = (TEMPLATES.parent / "README.md").read_text(encoding="utf-8")
    call, shown = re.findall(r"^\$ pairbook (compute cost .*)\n((?:.+\n)+)", text, re.MULTILINE)[0]
    assert shell(*shlex.split(call)).stdout == shown


def test_computing_needs_no_registry_and_makes_none(shell: Shell):
    assert shell("compute", "cost", "--angle-deg", "1").exit_code == 0
    assert not shell.home.exists()


def test_a_refusal_says_what_is_so_and_what_to_do_on_the_error_output(shell: Shell):
    result = shell("compute", "cost", "--angle-deg", "20")
    assert (result.exit_code, result.stdout) == (1, "")
    assert result.stderr.splitlines() == [
        "No number is given.",
        "- 20.0° is no misalignment; it is a wrong mounting entry. Check the mounting first. (cannot_compute)",
    ]


def test_a_refusal_in_json_is_json(shell: Shell):
    result = shell("compute", "cost", "--angle-deg", "20", "--json")
    assert (result.exit_code, result.stdout) == (1, "")
    assert json.loads(result.stderr)["reasons"][0]["next"] == "Check the mounting first."


def test_a_computation_that_is_none_is_a_wrong_call(shell: Shell):
    result = shell("compute", "weather")
    assert (result.exit_code, result.stdout) == (2, "")
    assert "No such command 'weather'" in result.stderr


# small tables, which several computations read

LEGS = "heading_deg,length_m\n0,1000\n90,1000\n"


@pytest.mark.parametrize(
    "text",
    [
        LEGS,
        LEGS.replace(",", ";"),
        LEGS.replace(",", "\t"),
        "\ufeff" + LEGS,
        "length [m], Heading (RAD)\n1000, 0\n\n1000, 1.5707963267948966\n",
        "# from the plan\nheading_deg,length_cm,remark\n0,100000,out\n90,100000,home\n",
    ],
)
def test_a_table_is_read_whatever_its_separator_order_and_units(text: str, shell: Shell):
    told = json.loads(shell("compute", "cost", "--angle-deg", "1", "-", "--json", stdin=text).stdout)
    assert [told["results"][f"leg {n}"]["cross_m"] for n in (1, 2)] == pytest.approx([17.452406] * 2)
    assert ("Not used: remark." in told["notes"]) == ("remark" in text)


def test_a_table_may_be_an_archive_of_arrays(shell: Shell, tmp_path: Path):
    np.savez(tmp_path / "legs.npz", heading_deg=[0.0, 90.0], length_m=[1000.0, 1000.0])
    told = json.loads(shell("compute", "cost", "--angle-deg", "1", str(tmp_path / "legs.npz"), "--json").stdout)
    assert told["results"]["leg 2"]["cross_m"] == pytest.approx(17.452406)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "The table is empty."),
        ("heading_deg,length_m\n", "a header and no rows"),
        ("heading,length_m\n0,1\n", "The column “heading” has no unit. Name it heading_deg"),
        ("heading_m,length_m\n0,1\n", "is in m, which is no unit of angle. Use one of deg, rad, mrad."),
        ("heading_deg\n0\n", "The table lacks length. Add length_m"),
        ("heading_deg,heading_rad,length_m\n0,0,1\n", "Two columns are both heading."),
        ("heading_deg,length_m\n0,far\n", "Line 2 cannot be read: 'far' is no number."),
        ("heading_deg,length_m\n0,1\n0,\n", "Line 3 has no length."),
        ("heading_deg,length_m\n0,1,2\n", "Line 2 holds 3 cells; the header has 2."),
        ("heading_deg,length_m\n0,-5\n", "it must be over 0"),
        ("heading_deg,length_m\n0," + "1" * 140_000, "one of its cells never ends"),
    ],
)
def test_a_table_that_leaves_something_open_is_refused(text: str, says: str, shell: Shell):
    result = shell("compute", "cost", "--angle-deg", "1", "-", stdin=text)
    assert (result.exit_code, result.stdout) == (1, "")
    assert says in result.stderr


def test_a_damaged_archive_a_missing_file_and_too_long_a_table_are_refused(
    shell: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    (tmp_path / "broken.npz").write_bytes(b"PK\x03\x04 nothing")
    np.savez(tmp_path / "square.npz", heading_deg=np.eye(2), length_m=np.eye(2))
    for name, says in (
        ("broken.npz", "The archive cannot be read"),
        ("square.npz", "not single columns of one length"),
        ("gone.csv", "There is no file gone.csv."),
    ):
        result = shell("compute", "cost", "--angle-deg", "1", str(tmp_path / name))
        assert (result.exit_code, says in result.stderr) == (1, True), result.stderr
        assert str(tmp_path) not in result.stderr
    from registry.cli import compute_table

    monkeypatch.setattr(compute_table, "MOST_BYTES", 20)
    assert "This table is longer" in shell("compute", "cost", "--angle-deg", "1", "-", stdin=LEGS).stderr


def test_an_archive_that_would_unpack_to_more_than_a_table_is_not_unpacked(shell: Shell, tmp_path: Path):
    np.savez_compressed(tmp_path / "bomb.npz", heading_deg=np.zeros(3_000_000), length_m=np.zeros(1))
    assert (tmp_path / "bomb.npz").stat().st_size < 100_000
    result = shell("compute", "cost", "--angle-deg", "1", str(tmp_path / "bomb.npz"))
    assert (result.exit_code, "This table is longer than 20 MB." in result.stderr) == (1, True)


@pytest.mark.parametrize(
    ("header", "unit"),
    [
        ("value [MΩ]", "MΩ"),
        ("value_mOhm", "mOhm"),
        ("Value (°/h)", "deg/h"),
        ("value_m_s2", "m/s2"),
        ("value [m/s^2]", "m/s2"),
    ],
)
def test_a_unit_is_kept_as_it_is_written_or_as_recordings_write_it(header: str, unit: str, shell: Shell):
    called = ("compute", "decision", "-", "--upper", "2", "--u", "0.1", "--json")
    told = json.loads(shell(*called, stdin=f"name;{header}\nstrap;1\n").stdout)
    assert told["results"]["strap"]["unit"] == unit


# long recordings


def test_progress_is_told_on_a_terminal_and_nowhere_else(monkeypatch: pytest.MonkeyPatch):
    from registry.cli.compute_input import reading_shown

    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    with reading_shown() as show:
        assert show is None
    screen = Terminal()
    monkeypatch.setattr(sys, "stderr", screen)
    with reading_shown() as show:
        assert show is not None
        show(50_000, 0.25)
        show(150_000, None)
    # The line is wiped at the end, so that the answer begins at the edge.
    assert screen.getvalue().split("\r")[1:] == ["Read 50,000 rows, 25%   ", "Read 150,000 rows   ", " " * 40, ""]


def test_a_piped_recording_leaves_the_error_output_empty(files: Path):
    with (files / "bench.csv").open("rb") as stream:
        words = ["compute", "static", "-", "--lat-deg", "60", "--json"]
        done = subprocess.run([*RUN, *words], stdin=stream, capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout)["results"]["record"]["samples"] == 18_000


@pytest.mark.long
def test_four_hours_of_six_axes_at_200_hz_stream_within_one_gibibyte():
    """2.88 million rows through a pipe; what the process took at most is told by the system itself."""
    measured = RUN[-1].replace(
        "pairbook(prog_name='pairbook')",
        "import resource, sys\ntry: pairbook(prog_name='pairbook')\n"
        "finally: print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, file=sys.stderr)",
    )
    words = ["compute", "static", "-", "--lat-deg", "60", "--allan", "--json"]
    process = subprocess.Popen(
        [*RUN[:-1], measured, *words], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    assert process.stdin
    for part in range(24):
        data = rows(120_000, 200.0, seed=part)
        data[:, 0] += part * 600.0
        text = as_csv(data)
        process.stdin.write(text if not part else text.partition("\n")[2])
    told, on_error = process.communicate()
    assert process.returncode == 0, on_error
    found = json.loads(told)["results"]
    assert (found["record"]["samples"], found["record"]["rate_hz"]) == (2_880_000, pytest.approx(200, rel=1e-3))
    # White noise of 2 deg/h a sample at 200 Hz is a random walk of 2/sqrt(200)/60 deg/sqrt(h) (IEEE 952 Annex C).
    assert found["gyro x"]["walk"] == pytest.approx(2 / 200**0.5 / 60, rel=0.01)
    factor = 1 if sys.platform == "darwin" else 1024
    assert int(on_error.split()[-1]) * factor < 2**30
