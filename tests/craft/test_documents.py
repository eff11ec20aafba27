"""What people are told about the program is told of all of it: settings, commands, ways in, tests."""

import re

import pytest

from registry.acts.act import ACTS
from registry.cli.main import COMMANDS
from registry.config import NAMES
from registry.paths import TEMPLATES

ROOT = TEMPLATES.parent
README, DEVELOPERS = ((ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md"))


def rows(text: str) -> list[list[str]]:
    """The cells of every row of every table."""
    return [
        [cell.strip() for cell in line.strip("|").split(" | ")] for line in text.splitlines() if line.startswith("| ")
    ]


def named_in_code() -> set[str]:
    text = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "registry").rglob("*.py"))
    return set(re.findall(r"\bPAIRBOOK_[A-Z]+(?:_[A-Z]+)*\b", text))


def test_the_list_of_settings_is_whole():
    assert set(NAMES) == named_in_code()
    assert len(set(NAMES)) == len(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_every_setting_stands_in_the_table_of_settings_with_its_meaning(name: str):
    row = [cells for cells in rows(README) if f"`{name}`" in cells[0]]
    assert len(row) == 1
    assert len(row[0][1]) > 10


def test_the_table_of_settings_names_no_setting_that_is_gone():
    assert set(re.findall(r"\bPAIRBOOK_[A-Z]+(?:_[A-Z]+)*\b", README + DEVELOPERS)) <= set(NAMES) | {"PAIRBOOK_CI"}


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_stands_in_the_table_of_commands_with_what_it_does(name: str):
    row = [cells for cells in rows(README) if f"`pairbook {name}`" in cells[0]]
    assert len(row) == 1
    assert row[0][1].endswith(".")


def test_no_command_is_told_of_that_is_not_there():
    told = set(re.findall(r"`pairbook ([a-z]+)", README + DEVELOPERS))
    assert told <= set(COMMANDS)


def test_how_to_run_and_test_it_stands_under_its_heading_as_one_command():
    for heading in ("## Run it", "## Test it"):
        section = README.split(heading)[1].split("\n## ")[0]
        blocks = re.findall(r"```sh\n(.*?)```", section, flags=re.DOTALL)
        assert len(blocks[0].strip().splitlines()) == 1, heading


def test_the_ways_in_are_told():
    for way in ("/api/v1/acts", "/api/v1/acts/check", "/api/v1/openapi.json", "`--json`", "`--at`", "`--as-known-on`"):
        assert way in README, way


def test_what_the_commands_end_with_is_told():
    assert re.search(r"end with 0 .* with 1 .* with 2 ", README, flags=re.DOTALL)


def test_every_folder_of_tests_is_told_of():
    for path in (ROOT / "tests").iterdir():
        if path.is_dir() and path.name != "__pycache__":
            assert f"{path.name}/" in DEVELOPERS or f"tests.{path.name}" in DEVELOPERS, path.name


def test_every_link_between_the_documents_leads_somewhere():
    for target in re.findall(r"\]\(([^)#]+)\)", README + DEVELOPERS):
        assert target.startswith("http") or (ROOT / target).exists(), target


def test_every_module_that_is_named_is_there():
    for name in re.findall(
        r"`((?:domain|models|acts|queries|output|web|api|cli|tests|migrations)/[\w/]*(?:\.py)?)`", DEVELOPERS
    ):
        assert (ROOT / "registry" / name).exists() or (ROOT / name).exists(), name


def test_every_act_is_named_in_the_documents():
    assert [name for name in ACTS if f"`{name}`" not in README + DEVELOPERS] == []
