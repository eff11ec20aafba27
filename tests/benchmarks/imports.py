"""What an import costs, as ratios within one run: `python -m tests.benchmarks.imports`.

A row carried over beside the same act entered alone; a try beside entering; four times as many rows beside so many; and a
mixed load of vehicles, pairs, installs, calibrations and missions. Time of the processor, on SQLite.
"""

import random
import tempfile
import time
from pathlib import Path

from registry.models.database import Database, owner_engine
from registry.models.schema import migrate
from tests.carrying import carrier, read
from tests.cast import World, furnished

FEW, MANY = 500, 2000
PAIRS = 100


def main() -> None:
    with tempfile.TemporaryDirectory(prefix="pairbook-imports-") as name:
        folder = Path(name)
        few, many = (entered(opened(folder / str(count)), "halves", halves(count)) for count in (FEW, MANY))
        alone = one_by_one(opened(folder / "alone"), halves(FEW)) / FEW
        tried = entered(opened(folder / "tried"), "halves", halves(FEW), judge=True) / FEW
        tell("a row carried over : the same act alone", few / FEW, alone)
        tell("a row tried : a row entered", tried, few / FEW)
        tell(f"a row of {MANY:,} : a row of {FEW:,}", many / MANY, few / FEW)
        mixed(opened(folder / "mixed"))


def tell(what: str, one: float, other: float) -> None:
    print(f"{what:<48} {one / other:6.2f}   ({one * 1e6:,.0f} and {other * 1e6:,.0f} µs a row)")


def opened(folder: Path) -> World:
    folder.mkdir()
    engine = owner_engine(f"sqlite:///{folder / 'registry.sqlite3'}")
    migrate(engine)
    engine.dispose()
    return furnished(Database(f"sqlite:///{folder / 'registry.sqlite3'}"))


def halves(count: int) -> list[dict[str, str]]:
    told = {"unit_type": "Reed", "maker": "Ardlune", "site": "North shed", "since": "2025-02-05"}
    kinds = (("sensor", "RS-100"), ("electronics", "RE-200"))
    return [
        {"kind": kinds[n % 2][0], "part": kinds[n % 2][1], "serial": f"QT-{100_000 + n}", **told} for n in range(count)
    ]


def entered(world: World, kind: str, rows: list[dict[str, str]], judge: bool = False) -> float:
    """Seconds that these rows take in one transaction."""
    began = time.process_time()
    todo = read(kind, rows)
    with world.database.writing() as db:
        one = carrier(world, db, kind)
        one.look_up(todo)
        for group in todo:
            if judge:
                assert (judged := one.judge(group)).state in ("ready", "near"), judged
            else:
                one.enter(group)
    return time.process_time() - began


def one_by_one(world: World, rows: list[dict[str, str]]) -> float:
    began = time.process_time()
    for row in rows:
        told = {name: text for name, text in row.items() if name != "since"}
        world.do("receive_half", f"{row['since']}T00:00:00Z", by="oda", **told)
    return time.process_time() - began


def mixed(world: World) -> None:
    """A fleet of thirty bays and a hundred pairs, three stays, two certificates and two missions for each."""
    hulls = [f"Hull {n}" for n in range(10)]
    bays = [(hull, letter) for hull in hulls for letter in "ABC"]
    fleet = {"hull": "torpedo", "length_m": "5", "site": "North shed", "since": "2024-01-01", "housing": "Forward", "closing_method": "gasket", "accepts": "Ardlune Reed"}  # fmt: skip
    dice = random.Random(5)
    load = {
        "vehicles": [{**fleet, "vehicle": hull, "hull_number": f"HN {hull}", "letter": letter, "from_bow_m": f"1.{'ABC'.index(letter)}"} for hull, letter in bays],
        "halves": halves(2 * PAIRS),
        "pairs": [{"pair": f"QP-{n}", "sensor": f"QT-{100_000 + 2 * n}", "electronics": f"QT-{100_001 + 2 * n}", "grade": "calibration sheet", "statement": f"ST-{n}", "stated_on": "2025-03-01"} for n in range(PAIRS)],
        "installs": [],
        "calibrations": [],
        "missions": [],
    }  # fmt: skip
    for turn in range(3):
        for n, (hull, letter) in enumerate(bays):
            pair, month = f"QP-{(n + 30 * turn) % PAIRS}", 4 + turn
            load["installs"].append({"vehicle": hull, "letter": letter, "pair": pair, "installed_at": f"2025-{month:02d}-02 08:00", "removed_at": f"2025-{month:02d}-{dice.randint(10, 27)} 17:00", "done_by": "Ida"})  # fmt: skip
    for n in range(PAIRS):
        for line in ("gyro bias x", "gyro bias y"):
            load["calibrations"].append({"pair": f"QP-{n}", "certificate": f"CC-{n}", "calibrated_on": "2025-02-20", "place": "Ardlune works", "quantity": line, "unit": "deg/h", "as_found": "0.01"})  # fmt: skip
    for n in range(PAIRS):
        day = f"2025-{4 + n // 50:02d}-{1 + n // 2 % 25:02d}"
        load["missions"].append({"vehicle": hulls[n % 2], "reference": f"HS-{n}", "area": "Outer bank", "started_at": f"{day} 06:00", "ended_at": f"{day} 16:00", "distance_km": "12"})  # fmt: skip
    first = None
    for kind, rows in load.items():
        each = entered(world, kind, rows) / len(rows)
        first = first or each
        print(f"{kind:<48} {each / first:6.2f}   ({each * 1e6:,.0f} µs a row of {len(rows)})")


if __name__ == "__main__":
    main()
