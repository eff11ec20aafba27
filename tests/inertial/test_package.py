"""Laws of the package: what it imports, how its results look, and how it says no."""

import ast
import dataclasses
import inspect
import json
import re
import subprocess
import sys
from datetime import date
from importlib import import_module
from pathlib import Path

import numpy as np
import pytest

import registry.inertial as inertial
from registry.inertial import (
    METHODS,
    CannotCompute,
    as_record,
    fit_directions,
    inputs,
    method,
    misalignment_cost,
    staircase,
)

PACKAGE = Path(inertial.__file__).parent
SOURCES = sorted(PACKAGE.glob("*.py"))
TREES = {path.name: ast.parse(path.read_text()) for path in SOURCES}


def run(code):
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()


def test_importing_the_package_loads_neither_numpy_nor_scipy():
    assert run("import sys, registry.inertial; print('numpy' in sys.modules, 'scipy' in sys.modules)") == [
        "False",
        "False",
    ]


def test_every_public_name_loads_without_scipy_and_without_the_registry():
    code = (
        "import sys, registry.inertial as i\n"
        "for name in i.__all__: getattr(i, name)\n"
        "print(any(m.split('.')[0] in ('scipy', 'sqlalchemy', 'flask', 'pygeomag') for m in sys.modules))\n"
        "print([m for m in sys.modules if m.startswith('registry.') and not m.startswith('registry.inertial')])"
    )
    assert run(code) == ["False", "[]"]


def test_no_public_name_is_that_of_a_module():
    assert not set(inertial.__all__) & {path.stem for path in SOURCES}
    assert set(dir(inertial)) == set(inertial.__all__)
    with pytest.raises(AttributeError, match="has no tea"):
        assert inertial.tea


def test_the_package_imports_itself_numpy_and_scipy_only():
    for name, tree in TREES.items():
        for node in ast.walk(tree):
            if isinstance(node, ast.Import):
                modules = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                modules = [node.module]
            else:
                continue
            for module in modules:
                top = module.split(".")[0]
                assert top in {"numpy", "scipy", "pygeomag", "registry", *sys.stdlib_module_names}, (name, module)
                if top == "registry":
                    assert module.startswith("registry.inertial"), (name, module)


def test_scipy_is_imported_inside_the_functions_that_need_it():
    for name, tree in TREES.items():
        for node in tree.body:
            if isinstance(node, (ast.Import, ast.ImportFrom)):
                assert "scipy" not in ast.dump(node), name


def test_files_stay_under_300_lines_and_functions_under_40():
    long = [path.name for path in SOURCES if len(path.read_text().splitlines()) >= 300]
    assert not long
    for name, tree in TREES.items():
        for node in ast.walk(tree):
            if isinstance(node, ast.FunctionDef):
                body = node.body[1:] if ast.get_docstring(node) else node.body
                statements = body[-1].end_lineno - body[0].lineno + 1 if body else 0
                assert statements < 40, (name, node.name, statements)


def results():
    for path in SOURCES:
        module = import_module(f"registry.inertial.{path.stem}") if path.stem != "__init__" else inertial
        for name, found in vars(module).items():
            if inspect.isclass(found) and dataclasses.is_dataclass(found) and found.__module__ == module.__name__:
                yield name, found


def test_every_result_is_frozen_and_carries_its_method_verdict_and_next():
    # These are inputs and parts of results, not results.
    parts = {
        "Pose",
        "Phase",
        "Attitude",
        "FeltPose",
        "Mounting",
        "Track",
        "DvlRun",
        "Leg",
        "Limit",
        "UnitClass",
        "Band",
        "Part",
        "Use",
        "Fitting",
        "Line",
        "LimitDay",
        "Check",
        "StaticSummary",
        "StaticReading",
        "Ellipsoid",
        "Column",
        "WahbaSolution",
        "ComplexFit",
        "Slopes",
        "ScaleBias",
        "Observable",
        "ShipLimits",
        "StaircaseRules",
        "ShownMotions",
    }
    # Plain quantities whose meaning is all in their field names.
    quiet = {
        "SensorMotion",
        "OffsetOnMap",
        "LatencyEffect",
        "LevelError",
        "EndError",
        "Chained",
        "Propagated",
        "GlobalRisk",
        "TrueAzimuth",
        "North",
        "StaticRecording",
        "LeverArm",
    }
    seen = set()
    for name, found in results():
        seen.add(name)
        assert found.__dataclass_params__.frozen and hasattr(found, "__slots__"), name
        fields = {field.name for field in dataclasses.fields(found)}
        if name in parts or name.endswith("Limits"):
            continue
        assert "method" in fields, name
        if name not in quiet:
            assert {"verdict", "next"} <= fields, name
        if any(field.startswith("half_width") for field in fields):
            assert "coverage" in fields, name
    assert parts | quiet <= seen


def test_every_method_has_a_version_and_a_source_and_is_used():
    used = set()
    # Signs off a recording are judged where signs are: outside the package, by a method of its list.
    for path in (*SOURCES, PACKAGE.parent / "acts" / "axis_checks.py"):
        used |= set(re.findall(r"""method\(\s*["']([a-z-]+)["']""", path.read_text()))
        used |= set(re.findall(r'"(dvl-(?:[a-z]+-)?fit|direction-[a-z]+)"', path.read_text()))
    assert used == set(METHODS)
    for name, entry in METHODS.items():
        assert re.fullmatch(r"20\d\d-\d+", entry.version) and entry.source and method(name) == f"{name} {entry.version}"
    with pytest.raises(KeyError):
        method("guess")


#: One figure of a method on a fixed input, with the version it was computed by. When a change moves one, give the
#: method a new version: a stored result must be traceable to the method that made it.
FINGERPRINTS = {
    "direction-fit 2026-1": lambda: (
        fit_directions(np.eye(3), np.eye(3) + 0.001 * np.arange(9).reshape(3, 3), [0.2, 0.3, 0.4]).yaw_deg
    ),
    "misalignment-cost 2026-1": lambda: misalignment_cost(0.65, class_percent=0.5).total_over_class,
    "interval 2026-1": lambda: staircase(365, 0.01, 0.004).new_days,
    "allan-terms 2026-1": lambda: (
        inertial.read_terms(inertial.allan_deviation(np.random.default_rng(1).standard_normal(4000), 10.0)).walk
    ),
    "dvl-fit 2026-1": lambda: (
        inertial.fit_dvl(
            inertial.DvlRun(
                np.random.default_rng(2).standard_normal((90, 2)) * 0.01 + (1.3, 0.01),
                np.tile([1.3, 0.0], (90, 1)),
                inertial.TRUE_NORTH,
                1500.0,
            )
        ).half_width_alpha_deg
    ),
    "trend 2026-1": lambda: inertial.fit_trend([0, 100, 200, 300], [0.1, 0.2, 0.32, 0.39], upper=1.0).meets.earliest,
}
KNOWN = {
    "direction-fit 2026-1": -0.013003333202452054,
    "misalignment-cost 2026-1": 2.4796120928309215,
    "interval 2026-1": 456,
    "allan-terms 2026-1": 0.005275433374286545,
    "dvl-fit 2026-1": 0.09180620414813435,
    "trend 2026-1": 729.2692266463844,
}


@pytest.mark.parametrize("version", FINGERPRINTS)
def test_a_method_gives_the_number_its_version_stands_for(version):
    assert version == method(version.split()[0])
    assert FINGERPRINTS[version]() == pytest.approx(KNOWN[version], rel=1e-6)


def test_a_result_becomes_plain_json_with_units_in_its_names():
    record = as_record(misalignment_cost(0.65, class_percent=0.5))
    assert json.loads(json.dumps(record))["cross_m_per_km"] == pytest.approx(11.3, abs=0.1)
    assert record["method"] == "misalignment-cost 2026-1" and record["limits"]["open_share"] == pytest.approx(1 / 3)


def test_records_hold_no_nan_no_arrays_and_no_dates():
    given = {
        "a": np.array([1.0, np.nan]),
        2: (np.int64(3), np.bool_(True)),
        "d": date(2026, 5, 4),
        "i": float("inf"),
        "e": inertial.Rule.GUARDED,
        "s": {1},
    }
    assert as_record(given) == {
        "a": [1.0, None],
        "2": [3, True],
        "d": "2026-05-04",
        "i": None,
        "e": "guarded",
        "s": [1],
    }


def test_a_refusal_is_a_value_error_with_a_sentence_and_a_way_on():
    refused = CannotCompute("The record is short.", "Record longer.")
    assert isinstance(refused, ValueError)
    assert (refused.sentence, refused.next, str(refused)) == (
        "The record is short.",
        "Record longer.",
        "The record is short. Record longer.",
    )


def test_sentences_keep_the_house_wording():
    forbidden = re.compile(r"\b(error occurred|invalid|please|illegal|failed to|sorry|unable)\b", re.IGNORECASE)
    for name, tree in TREES.items():
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                assert not forbidden.search(node.value), (name, node.value)


def test_every_public_function_says_what_it_takes_and_gives():
    for name in inertial.__all__:
        found = getattr(inertial, name)
        if callable(found) and not isinstance(found, type):
            assert inspect.getdoc(found), name


@pytest.mark.parametrize(
    ("ask", "sentence"),
    [
        (lambda: inputs.number("x", "The speed"), "not a number"),
        (lambda: inputs.number(True, "The speed"), "is one number"),
        (lambda: inputs.number(None, "The speed"), "is missing"),
        (lambda: inputs.number([1, 2], "The speed"), "is one number"),
        (lambda: inputs.number(0, "The speed", above=0), "must be over 0"),
        (lambda: inputs.vector([1, 2], "The arm"), "needs 3 numbers"),
        (lambda: inputs.rows([[1, 2]], "The rows"), "3 numbers in each row"),
        (lambda: inputs.rows([[1, 2, 3]], "The rows", least=2), "1 of the 2 rows"),
        (lambda: inputs.series([[1]], "The times"), "one column"),
        (lambda: inputs.series([], "The times"), "0 of the 1"),
        (lambda: inputs.series([1, None], "The times"), "not a number|not finite"),
    ],
)
def test_numbers_that_are_none_are_named(ask, sentence):
    with pytest.raises(CannotCompute, match=sentence):
        ask()
