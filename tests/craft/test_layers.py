"""Laws of the codebase that no type checker holds: imports run one way, files stay small, rules and effects stay pure."""

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from registry.acts.act import ACTS
from registry.acts.catalogue import LIFT

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "registry"
MODULES = sorted(PACKAGE.rglob("*.py"))

#: Layer -> the layers it may import besides itself. What stands above it may import it; nothing imports upwards.
PURE = {"errors", "domain", "inertial"}
BELOW_ACTS = PURE | {"models", "paths"}
BELOW_OUTPUT = BELOW_ACTS | {"acts", "queries"}
TOP = {
    "config",
    "instance",
    "paths",
    "problems",
    "entering",
    "access",
    "accounts",
    "passwords",
    "photos",
    "backup",
    "downloads",
    "files",
    "exporting",
    "importing",
    "import_steps",
    "spreadsheets",
    "sheet_rows",
    "at_work",
    "workbooks",
    "calendar_keys",
    "apart",
    "under_way",
    "planner",
    "__version__",
}
MAY_IMPORT: dict[str, set[str]] = {
    "errors": set(),
    "paths": set(),
    "config": set(),
    "at_work": set(),
    "problems": {"errors"},
    "photos": {"errors", "pictures"},
    "pictures": {"errors", "domain"},
    "files": {"errors", "domain", "models", "pictures"},
    "downloads": {"errors", "files"},
    "apart": {"errors", "acts"},
    "under_way": {"errors", "acts", "apart"},
    "planner": BELOW_ACTS | {"acts", "queries"},
    "domain": {"errors"},
    "inertial": {"errors", "domain"},
    "models": PURE | {"paths"},
    "acts": BELOW_ACTS,
    "queries": BELOW_ACTS,
    "output": BELOW_OUTPUT,
    "instance": BELOW_ACTS | {"acts", "config", "files"},
    "passwords": BELOW_ACTS | {"acts"},
    "accounts": BELOW_ACTS | {"acts", "passwords"},
    "entering": BELOW_ACTS | {"acts", "instance", "accounts", "apart", "files"},
    "access": BELOW_ACTS | {"acts", "instance", "accounts", "photos"},
    "backup": BELOW_ACTS | {"acts", "instance", "config", "files"},
    "calendar_keys": BELOW_ACTS | {"accounts", "passwords"},
    "sheet_rows": {"errors", "domain"},
    "workbooks": {"errors", "domain", "sheet_rows"},
    "spreadsheets": {"errors", "domain", "sheet_rows", "workbooks"},
    "importing": BELOW_ACTS | {"acts", "accounts", "at_work", "instance"},
    "import_steps": BELOW_ACTS | {"acts", "at_work", "config", "importing", "instance", "sheet_rows", "spreadsheets"},
    "exporting": BELOW_OUTPUT | {"output", "accounts", "passwords"},
    "demo": BELOW_OUTPUT | TOP,
    "web": BELOW_OUTPUT | {"output"} | TOP,
    "api": BELOW_OUTPUT | {"output"} | TOP,
    "cli": BELOW_OUTPUT | {"output", "demo", "server"} | TOP,
    "app": BELOW_OUTPUT | {"output", "web", "api"} | TOP,
    "server": {"app", "config", "domain", "instance", "models", "errors", "paths"},
}


def layer(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


@cache
def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text("utf-8"))


def imported(tree: ast.AST) -> Iterator[str]:
    """Modules of the package that a module imports, at its top or within a function."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] == "registry":
            yield from (
                [f"{node.module}.{alias.name}" for alias in node.names] if node.module == "registry" else [node.module]
            )
        elif isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names if alias.name.split(".")[0] == "registry")


def named(path: Path) -> str:
    return str(path.relative_to(ROOT))


def test_imports_run_one_way():
    for path in MODULES:
        mine = layer(path)
        if mine == "__init__":
            assert list(imported(parsed(path))) == [], named(path)
            continue
        assert mine in MAY_IMPORT, f"{mine} is a layer nobody has placed yet: say in MAY_IMPORT what it may import"
        reached = {name.split(".")[1] for name in imported(parsed(path)) if "." in name}
        assert reached - {mine} <= MAY_IMPORT[mine], named(path)


def test_adapters_never_import_one_another():
    for one, other in [("web", "api"), ("web", "cli"), ("api", "web"), ("api", "cli"), ("cli", "web"), ("cli", "api")]:
        assert other not in MAY_IMPORT[one]


def test_no_two_layers_import_each_other():
    """Read off what is really imported, not off what may be."""
    reached: dict[str, set[str]] = {}
    for path in MODULES:
        reached.setdefault(layer(path), set()).update(
            name.split(".")[1] for name in imported(parsed(path)) if "." in name
        )
    below: dict[str, set[str]] = {}

    def under(name: str, way: tuple[str, ...] = ()) -> set[str]:
        assert name not in way, f"a circle: {' -> '.join((*way, name))}"
        if name not in below:
            nearest = reached.get(name, set()) - {name}
            below[name] = nearest | {far for near in nearest for far in under(near, (*way, name))}
        return below[name]

    for name in reached:
        under(name)


#: What a pure module may import of others' code: no database, no web, no clock of its own.
IMPURE = {
    "sqlalchemy",
    "alembic",
    "flask",
    "wtforms",
    "psycopg",
    "sqlite3",
    "pydantic",
    "click",
    "random",
    "secrets",
    "os",
    "time",
    "threading",
}


#: Pure but for the file it is handed: recordings are too long to be passed as text.
READS_FILES = {"registry/inertial/recording_files.py"}


def test_rules_read_no_row_clock_or_request():
    for path in (path for path in MODULES if layer(path) in PURE):
        tree = parsed(path)
        names = {
            alias.name.split(".")[0] for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names
        }
        names |= {(node.module or "").split(".")[0] for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
        assert not names & IMPURE, named(path)
        barred = {"now", "utcnow", "today", "input", "print"} | (set() if named(path) in READS_FILES else {"open"})
        assert not set(_called(tree)) & barred, named(path)


def _called(tree: ast.AST) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            yield (
                node.func.attr
                if isinstance(node.func, ast.Attribute)
                else node.func.id
                if isinstance(node.func, ast.Name)
                else ""
            )


# effects

#: Below the command line, the pages and the JSON, time is handed in.
LAYERS_WITHOUT_A_CLOCK = {"domain", "inertial", "models", "acts", "queries"}


def test_no_clock_is_read_below_the_adapters():
    for path in (path for path in MODULES if layer(path) in LAYERS_WITHOUT_A_CLOCK):
        assert not set(_called(parsed(path))) & {"now", "utcnow", "today", "monotonic", "perf_counter"}, named(path)
        assert "time" not in {
            alias.name for node in ast.walk(parsed(path)) if isinstance(node, ast.Import) for alias in node.names
        }


ACT_MODULES = [path for path in MODULES if layer(path) == "acts"]


@cache
def effects_in(path: Path) -> list[ast.FunctionDef]:
    return [node for node in ast.walk(parsed(path)) if isinstance(node, ast.FunctionDef) and node.name == "effects"]


def test_every_act_has_effects_that_see_the_entry_alone():
    found = [node for path in ACT_MODULES for node in effects_in(path)]
    assert len(found) >= len(ACTS)
    for node in found:
        assert [argument.arg for argument in node.args.args] == ["entry"]
        assert [decorator.id for decorator in node.decorator_list if isinstance(decorator, ast.Name)] == [
            "staticmethod"
        ]


def _reached_from_effects(path: Path) -> list[ast.FunctionDef]:
    """`effects` of a module, and every function of that module that they call, directly or not."""
    functions = {node.name: node for node in parsed(path).body if isinstance(node, ast.FunctionDef)}
    waiting, seen = list(effects_in(path)), []
    while waiting:
        node = waiting.pop()
        seen.append(node)
        waiting += [functions[name] for name in set(_called(node)) if name in functions and functions[name] not in seen]
    return seen


#: Names that would let an effect look at something other than its entry.
FORBIDDEN = {
    "db",
    "session",
    "connection",
    "case",
    "signer",
    "random",
    "uuid4",
    "now",
    "utcnow",
    "today",
    "datetime",
    "secrets",
    "environ",
    "execute",
    "select",
    "open",
}


def test_effects_touch_no_session_clock_or_chance():
    for path in ACT_MODULES:
        for function in _reached_from_effects(path):
            names = {node.id for node in ast.walk(function) if isinstance(node, ast.Name)} | {
                node.attr for node in ast.walk(function) if isinstance(node, ast.Attribute)
            }
            assert not names & FORBIDDEN, f"{function.name} reaches for {names & FORBIDDEN}"


def test_only_an_act_reads_rows_in_decide():
    """`effects` never takes a Case, `decide` always does: the two cannot be confused."""
    for cls in ACTS.values():
        assert isinstance(cls.__dict__.get("effects"), staticmethod), cls.name
    assert all(callable(lift) for lift in LIFT.values())


# size

MOST_LINES, MOST_LINES_OF_A_FUNCTION = 305, 45
#: Longer than they should be, and known to be: `file:function` -> its length. None of them may grow.
LONG_FUNCTIONS = {
    "registry/demo/incidents.py:_factory_repair": 49,
    "registry/domain/matches.py:reasons_against": 70,
}


def _lengths() -> dict[str, int]:
    found = {}
    for path in MODULES:
        for node in ast.walk(parsed(path)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                found[f"{named(path)}:{node.name}"] = node.end_lineno - node.lineno + 1
    return found


def test_files_stay_small():
    lengths = {named(path): len(path.read_text("utf-8").splitlines()) for path in MODULES}
    assert {name: length for name, length in lengths.items() if length > MOST_LINES} == {}


def test_functions_stay_small():
    long = {name: length for name, length in _lengths().items() if length > MOST_LINES_OF_A_FUNCTION}
    assert {name: length for name, length in long.items() if length > LONG_FUNCTIONS.get(name, 0)} == {}


def test_what_has_become_short_is_no_longer_excused():
    lengths = _lengths()
    assert [name for name in LONG_FUNCTIONS if lengths.get(name, 0) <= MOST_LINES_OF_A_FUNCTION] == []


# words

LEFT_OVER = re.compile(r"\b(TODO|FIXME|HACK|XXX)\b")
TEXT = sorted(
    path
    for folder in ("registry", "migrations", "templates", "tests")
    for path in (ROOT / folder).rglob("*")
    if path.suffix in (".py", ".html", ".js", ".css", ".mako", ".md")
)


def test_nothing_is_left_to_do():
    here = Path(__file__)
    assert [named(path) for path in TEXT if path != here and LEFT_OVER.search(path.read_text("utf-8"))] == []


def test_a_module_says_what_it_is_for():
    for path in MODULES:
        assert ast.get_docstring(parsed(path)) or not path.read_text("utf-8").strip(), named(path)


def test_no_module_is_called_after_nothing():
    assert not {path.stem for path in MODULES} & {"utils", "helpers", "common", "manager", "service", "misc"}
