"""The command as a process of its own: what stands on which output, with which it ends, and what a pipe carries."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.fixtures import Shell

RUN = (
    sys.executable,
    "-W",
    "error::DeprecationWarning:registry",
    "-c",
    "from registry.cli.main import pairbook; pairbook(prog_name='pairbook')",
)


def run(home: Path, *words: str, stdin: str = "", **env: str) -> subprocess.CompletedProcess[str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PAIRBOOK_")}
    return subprocess.run(
        [*RUN, *words],
        capture_output=True,
        text=True,
        input=stdin,
        env={**kept, "PAIRBOOK_HOME": str(home), "LC_ALL": "C.UTF-8", **env},
    )


@pytest.fixture(scope="module")
def home(demo_home: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    import shutil

    return Path(shutil.copytree(demo_home, tmp_path_factory.mktemp("process") / "instance"))


def test_an_answer_stands_on_the_output_and_nothing_on_the_error_output(home: Path):
    done = run(home, "where", "QH-0417", "--json")
    assert (done.returncode, done.stderr) == (0, "")
    assert len(json.loads(done.stdout)["halves"]) == 2


def test_a_refusal_stands_on_the_error_output_and_nothing_on_the_output(home: Path):
    done = run(home, "act", "note_fault", "half=nothing", "words=hums", "--as", "Ida Brekke", PAIRBOOK_PIN="2846")
    assert (done.returncode, done.stdout) == (1, "")
    assert done.stderr.startswith("Refused. Nothing was written.\n- No half in the registry bears “nothing”.")


@pytest.mark.long
def test_a_refusal_in_json_is_json_on_the_error_output(home: Path):
    done = run(
        home, "act", "note_fault", "half=nothing", "words=hums", "--json", "--as", "Ida Brekke", PAIRBOOK_PIN="2846"
    )
    assert (done.returncode, done.stdout) == (1, "")
    assert json.loads(done.stderr)["reasons"][0]["code"] == "unknown_label"


def test_a_wrong_call_ends_with_two(home: Path):
    done = run(home, "where")
    assert (done.returncode, done.stdout) == (2, "")
    assert "Missing argument 'THING'" in done.stderr


@pytest.mark.long
def test_a_heap_comes_through_a_pipe(home: Path):
    done = run(home, "sort", stdin="QH-0417\r\n")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("Whole: QH-0417 = sensor half")


@pytest.mark.long
def test_a_reading_that_finds_something_wrong_ends_with_one(home: Path):
    done = run(home, "fleet")
    assert done.returncode == 1
    assert "must not deploy" in done.stdout


def test_a_folder_that_holds_no_registry_is_told_without_a_trace(tmp_path: Path):
    done = run(tmp_path / "nothing", "fleet")
    assert (done.returncode, done.stdout) == (1, "")
    assert "Traceback" not in done.stderr


@pytest.mark.long
def test_the_demo_at_the_shell_is_the_one_of_these_tests(demo: Shell):
    again = run(demo.home, "demo")
    assert (again.returncode, again.stderr) == (0, "")
    assert "nothing was changed" in again.stdout
