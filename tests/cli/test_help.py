"""The overview: every command with one line, at once, and nothing heavy imported for it."""

import subprocess
import sys

import pytest

from registry.cli.main import COMMANDS, Lazy, pairbook
from tests.cli.fixtures import Shell

#: What takes its time to import, and what `--help` has no use for.
HEAVY = (
    "pydantic",
    "sqlalchemy",
    "flask",
    "alembic",
    "wtforms",
    "argon2",
    "cryptography",
    "qrcode",
    "PIL",
    "granian",
    "biip",
    "psycopg",
    "zxingcpp",
    "reportlab",
)


def test_help_imports_nothing_heavy():
    look = f"import sys; from registry.cli.main import pairbook; pairbook(['--help'], standalone_mode=False); print([m for m in {HEAVY!r} if m in sys.modules])"
    told = subprocess.run([sys.executable, "-c", look], capture_output=True, text=True, check=True)
    assert told.stdout.rstrip().splitlines()[-1] == "[]"
    assert told.stderr == ""


def test_every_command_stands_in_the_overview(shell: Shell):
    told = shell("--help").stdout
    for name, (_module, _attribute, line) in COMMANDS.items():
        assert f"  {name}" in told
        assert line.split(".")[0][:40] in " ".join(told.split())


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_says_what_it_does(name: str, shell: Shell):
    result = shell(name, "--help")
    assert (result.exit_code, result.stderr) == (0, "")
    first = result.stdout.split("\n\n")[1].strip()
    assert first[0].isupper()
    # The overview and the command itself begin with the same word: the line is repeated there, so that it imports nothing.
    assert first.split()[0] == COMMANDS[name][2].split()[0]


def test_a_command_that_is_not_one_is_called_wrongly(shell: Shell):
    result = shell("assemble")
    assert result.exit_code == 2
    assert "No such command 'assemble'" in result.stderr


def test_the_version_is_told(shell: Shell):
    assert shell("--version").stdout.startswith("pairbook, version ")


def test_the_group_knows_only_what_the_table_lists():
    assert isinstance(pairbook, Lazy)
    assert pairbook.list_commands(None) == list(COMMANDS)  # type: ignore[arg-type]


@pytest.mark.parametrize("name", ["where", "fleet", "history", "scan", "sort", "verify"])
def test_every_reading_command_takes_json(name: str, shell: Shell):
    assert "--json" in shell(name, "--help").stdout


@pytest.mark.parametrize("name", ["where", "fleet", "history"])
def test_every_command_about_the_past_takes_an_instant_and_a_day(name: str, shell: Shell):
    told = shell(name, "--help").stdout
    assert "--at" in told
    assert "--as-known-on" in told
