"""Answers reference cases with the computations of `registry.inertial`, in the keys of each case's `expected`.

A case can be added to the JSON files as data alone: it is handed to the function whose prefix its id starts with,
or, when no prefix fits, to the functions of its group until one answers every key that is expected.
"""

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from tests.outside import (
    adapters_bench,
    adapters_calibration,
    adapters_directions,
    adapters_dvl,
    adapters_earth,
    adapters_geometry,
    calibration_tables,
)

DATA = Path(__file__).parent / "data"
#: Prefix of an id -> function of (inputs, expected, case) that gives the answer.
HANDLERS = {
    **adapters_earth.HANDLERS,
    **adapters_geometry.HANDLERS,
    **adapters_directions.HANDLERS,
    **adapters_dvl.HANDLERS,
    **adapters_bench.HANDLERS,
    **adapters_calibration.HANDLERS,
}


class NoAdapter(LookupError):
    """No function here answers this case."""


@cache
def alignment_cases() -> dict[str, dict[str, Any]]:
    """The cases of alignment_cases.json by id."""
    return {case["id"]: case for case in json.loads((DATA / "alignment_cases.json").read_text())["cases"]}


@cache
def calibration_cases() -> dict[str, dict[str, Any]]:
    """The cases of calibration_cases.json by id, each brought to the shape of the alignment cases."""
    return {case["id"]: case for case in calibration_tables.cases(DATA / "calibration_cases.json")}


def all_cases() -> Iterator[dict[str, Any]]:
    yield from alignment_cases().values()
    yield from calibration_cases().values()


def compute_case(case: dict[str, Any]) -> dict[str, Any]:
    """The answer to a case, with exactly the keys of its `expected`. Raises NoAdapter when nothing here answers it."""
    expected = case["expected"]
    inputs = case.get("inputs", {})
    for prefix in sorted(HANDLERS, key=len, reverse=True):
        if case["id"].startswith(prefix):
            return _only(HANDLERS[prefix](inputs, expected, case), expected)
    group = case.get("group", case["id"].partition("-")[0])
    for prefix in (p for p in HANDLERS if p.startswith(f"{group}-")):
        try:
            answer = HANDLERS[prefix](inputs, expected, case)
        except (KeyError, TypeError, ValueError, IndexError):
            continue
        if set(expected) <= set(answer):
            return _only(answer, expected)
    raise NoAdapter(case["id"])


def _only(answer: dict[str, Any], expected: dict[str, Any]) -> dict[str, Any]:
    return {key: answer[key] for key in expected}
