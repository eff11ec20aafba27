"""A test that is skipped proves nothing: only a missing browser may skip one, and never in CI."""

import re
from pathlib import Path

TESTS = Path(__file__).parents[1]
_SKIPS = re.compile(r"pytest\.(skip|importorskip|xfail)\b|mark\.(skip|skipif|xfail)\b|@unittest\.skip")


def test_nothing_is_skipped_but_for_want_of_a_browser():
    found = {
        str(path.relative_to(TESTS))
        for path in TESTS.rglob("*.py")
        if _SKIPS.search(path.read_text(encoding="utf-8")) and path != Path(__file__)
    }
    assert found == {"journeys/browser.py"}


def test_no_test_waits_for_a_clock():
    found = {
        str(path.relative_to(TESTS))
        for path in TESTS.rglob("*.py")
        if re.search(r"\btime\.sleep\(|wait_for_timeout\(", path.read_text(encoding="utf-8")) and path != Path(__file__)
    }
    assert found == set()


def test_no_test_ends_a_process_by_its_name():
    for path in TESTS.rglob("*.py"):
        assert path == Path(__file__) or not re.search(r"\bpkill\b|\bkillall\b", path.read_text(encoding="utf-8")), path
