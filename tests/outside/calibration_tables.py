"""calibration_cases.json groups its cases in tables: `cases` brings each row to the shape of the alignment cases."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

_TOLERANCE = {"abs": 1e-6, "digits": True}
_INPUTS_OF_ROW = {
    "y",
    "r",
    "interval_days",
    "mpe",
    "as_found_error",
    "interval_before",
    "hours",
    "days",
    "check",
    "days_to_due",
    "cal",
    "months",
    "on",
    "reading",
    "open_circuit",
    "upper_exclusive",
    "lower_inclusive",
    "unit",
    "quantity",
    "surface_potential_V",
    "distance_cm",
    "strap_pass",
    "surface_pass",
    "field_pass",
    "heading_error_deg",
    "distance_m",
    "rule",
    "what",
}
_REMARKS = {"id", "why", "what", "source", "note", "guide_bound", "method", "provenance"}


def _case(group: str, id_: str, inputs: dict, expected: dict, source: str, **more: Any) -> dict[str, Any]:
    return {
        "id": id_,
        "group": group,
        "inputs": inputs,
        "expected": expected,
        "tolerance": _TOLERANCE | more,
        "source": source,
    }


def _row(group: str, id_: str, row: dict, shared: dict, source: str, also: tuple[str, ...] = ()) -> dict[str, Any]:
    """A row of a table as a case: what is known before measuring is input, the rest is expected."""
    given = {k: v for k, v in row.items() if k in _INPUTS_OF_ROW or k in also}
    wanted = {k: v for k, v in row.items() if k not in given and k not in _REMARKS}
    return _case(group, id_, shared | given, wanted, source)


def cases(path: Path) -> Iterator[dict[str, Any]]:
    """Every case of the file, tables unrolled."""
    file = json.loads(path.read_text())
    h1 = file["gum_H1_end_gauge"]
    yield _case("uncertainty", h1["id"], h1["inputs"], h1["expected"], h1["source"])
    for one in file["combined_uncertainty"]:
        yield _case("uncertainty", one["id"], one["inputs"], one["expected"], one["source"])
    yield from _decisions(file["decision_rules"])
    yield from _intervals(file)
    due = file["due_dates"]
    for one in due["cases"]:
        # A due date is an answer beside a day of calibration, and a fact beside a day to be judged.
        yield _row("due", one["id"], one, {}, due["source"], () if "cal" in one else ("due",))
    yield from _look_back(file["look_back"])
    esd = file["esd_verdicts"]
    for one in esd["single"]:
        yield _row("reading", one["id"], one, {}, esd["source"])
    export = file["export_heading_check"]
    yield _case(
        "uncertainty",
        "HEADING-ARCMIN",
        {"class_deg": [0.07, 0.2], "lat_deg": 45},
        {"expected_arcmin": export["expected_arcmin"]},
        export["source"],
    )


def _decisions(table: list[dict]) -> Iterator[dict[str, Any]]:
    for one in table:
        if "rows" in one:
            for n, row in enumerate(one["rows"]):
                yield _row("decision", f"{one['id']}#{n}", row, one.get("inputs", {}), one["source"])
        else:
            more = {"abs": one["assert_abs"]} if "assert_abs" in one else {}
            yield _case("decision", one["id"], one["inputs"], one["expected"], one["source"], **more)


def _intervals(file: dict) -> Iterator[dict[str, Any]]:
    stairs = file["interval_staircase"]
    rules = {"rules": stairs["project_parameters"]}
    for one in stairs["cases"]:
        yield _row("interval", one["id"], one, rules, stairs["source"])
    for n, one in enumerate(stairs["sequence_mpe_0.010"]):
        yield _row("interval", f"ST-SEQUENCE#{n}", one, rules | {"mpe": 0.01}, stairs["source"])
    for one in file["interval_other_methods"]:
        if "expected" in one:
            yield _case("interval", one["id"], one["inputs"], one["expected"], one["source"])
        for n, row in enumerate(one.get("cases", [])):
            given = ("days",) if "days_left_by_hours" in row or "due" in row else ()
            case = _row("interval", f"{one['id']}#{n}", row, {}, one["source"], given)
            if "why" in row:
                case["expected"]["why"] = row["why"]
            yield case


def _look_back(table: dict) -> Iterator[dict[str, Any]]:
    for one in table["cases"]:
        if "rows" in one:
            for n, row in enumerate(one["rows"]):
                yield _case(
                    "look-back",
                    f"{one['id']}#{n}",
                    {k: row[k] for k in ("heading_error_deg", "distance_m")},
                    {"cross_track_m": row["cross_track_m"]},
                    table["source"],
                )
            continue
        wanted = {k: v for k, v in one.items() if k in ("needs_assessment", "expected_error") or k.startswith("day_")}
        given = {k: v for k, v in one.items() if k not in wanted and k not in _REMARKS} | {"what": one.get("what", "")}
        yield _case("look-back", one["id"], given, wanted, table["source"])
