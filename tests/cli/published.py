"""Cases with their sources, as the outside checks have them (tests/outside/data), found by id."""

import json
from functools import cache
from pathlib import Path
from typing import Any

DATA = Path(__file__).parents[1] / "outside" / "data"


def _all(part: Any) -> dict[str, dict[str, Any]]:
    if isinstance(part, list):
        return {key: value for each in part for key, value in _all(each).items()}
    if not isinstance(part, dict):
        return {}
    mine = {part["id"]: part} if "id" in part else {}
    return mine | {key: value for each in part.values() for key, value in _all(each).items()}


@cache
def _cases() -> dict[str, dict[str, Any]]:
    files = ("alignment_cases.json", "calibration_cases.json")
    return {key: value for name in files for key, value in _all(json.loads((DATA / name).read_text("utf-8"))).items()}


def case(name: str) -> dict[str, Any]:
    return _cases()[name]


def words(*numbers: float) -> list[str]:
    """Numbers as they are typed."""
    return [repr(float(number)) for number in numbers]
