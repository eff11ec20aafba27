"""Fewest openings, as an integer program over zeros and ones, solved by HiGHS through scipy.

For each vehicle, is it made fit; for each of its bays, which way is taken (keep what is in it, or seat a spare); for
each housing, is it opened:

    for each bay      its ways add up to the fitness of its vehicle: one way when the vehicle is made fit, else none
    for each bay      its ways that need the hull open: at most the opening of its housing; one opening serves all bays
    for each spare    it is seated once at most
    for each vehicle  its minutes are at most those left before it sails

Three programs, one after the other, each held at what the one before found: most vehicles fit, then fewest openings,
then fewest minutes. Nothing is weighed against anything else.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

#: So many zeros and ones are solved within a second or so each; more are refused.
MOST_COLUMNS = 6000


@dataclass(frozen=True, slots=True)
class Way:
    """One way to make a bay fit: its minutes, whether the housing (by its place in the hull) must be open for it, and
    the spare (by number) it takes, if any."""

    housing: int
    minutes: int
    opens: bool
    spare: int | None = None


@dataclass(frozen=True, slots=True)
class Shell:
    """A housing: whether opening it counts (it does not when it stands open), whether it must be opened anyway, and the
    minutes it takes opened and left shut: never less opened, so that nothing is opened to save time."""

    counts: bool
    must_open: bool
    opened_min: int
    shut_min: int

    def __post_init__(self) -> None:
        if self.opened_min < self.shut_min:
            raise ValueError("a housing takes as long opened as left shut, or longer")


@dataclass(frozen=True, slots=True)
class Hull:
    """A vehicle: for each bay its ways, its housings, the minutes left, and whether something keeps it ashore that no
    work here clears."""

    bays: tuple[tuple[Way, ...], ...]
    shells: tuple[Shell, ...]
    most_min: int
    barred: bool = False


@dataclass(frozen=True, slots=True)
class Answer:
    """For each hull the number of the way taken in each bay, or None when it is not made fit. `proved`: no plan is
    better; else the solver ran out of time and this is the best it had."""

    ways: tuple[tuple[int, ...] | None, ...]
    proved: bool = True

    def opened(self, hulls: Sequence[Hull], number: int) -> tuple[bool, ...]:
        """For each housing of a hull, whether it is opened."""
        return opened(hulls[number], self.ways[number])

    def score(self, hulls: Sequence[Hull]) -> tuple[int, int, int]:
        """Vehicles made fit, openings, minutes."""
        costs = [cost(hull, ways) for hull, ways in zip(hulls, self.ways, strict=True) if ways is not None]
        return len(costs), sum(openings for openings, _ in costs), sum(minutes for _, minutes in costs)


def opened(hull: Hull, ways: tuple[int, ...] | None) -> tuple[bool, ...]:
    if ways is None:
        return tuple(False for _ in hull.shells)
    taken = [bay[way] for bay, way in zip(hull.bays, ways, strict=True)]
    return tuple(
        shell.must_open or any(way.opens and way.housing == place for way in taken)
        for place, shell in enumerate(hull.shells)
    )


def cost(hull: Hull, ways: tuple[int, ...]) -> tuple[int, int]:
    """Openings that count, and minutes, of a hull made fit by these ways."""
    are_open = opened(hull, ways)
    minutes = sum(bay[way].minutes for bay, way in zip(hull.bays, ways, strict=True))
    minutes += sum(s.opened_min if is_open else s.shut_min for s, is_open in zip(hull.shells, are_open, strict=True))
    return sum(s.counts and is_open for s, is_open in zip(hull.shells, are_open, strict=True)), minutes


def columns(hulls: Iterable[Hull]) -> int:
    return sum(1 + len(hull.shells) + sum(map(len, hull.bays)) for hull in hulls)


def without(hulls: Sequence[Hull], *, spare: int | None = None, hull: int | None = None) -> list[Hull]:
    """The same hulls when a spare is not there, or when one of them does not sail."""
    found = []
    for number, one in enumerate(hulls):
        # A way that is gone keeps its number: it takes longer than there is time.
        bays = tuple(
            tuple(
                replace(way, minutes=one.most_min + 1) if spare is not None and way.spare == spare else way
                for way in bay
            )
            for bay in one.bays
        )
        found.append(replace(one, bays=bays, barred=one.barred or number == hull))
    return found


def fewest_openings(hulls: Sequence[Hull], limit_s: float = 5.0) -> Answer:
    """The plan that makes most hulls fit, of those the one with fewest openings, of those the one with fewest minutes.

    Each of the three programs may take `limit_s`.
    """
    model = _Model(hulls)
    proved = True
    for objective in (model.fit, model.openings, model.minutes):
        proved = model.improve(objective, limit_s) and proved
    return replace(model.answer(), proved=proved)


class _Model:
    """Columns of zeros and ones, rows that hold between them, and the best plan so far."""

    def __init__(self, hulls: Sequence[Hull]):
        self.hulls = hulls
        self.size = 0
        self.rows: list[tuple[dict[int, float], float, float]] = []
        self.fit: dict[int, float] = {}
        self.openings: dict[int, float] = {}
        self.minutes: dict[int, float] = {}
        self.places: list[tuple[int, list[list[int]]]] = []
        self.spares: dict[int, dict[int, float]] = {}
        for hull in hulls:
            self._add(hull)
        self.rows += [(uses, 0, 1) for uses in self.spares.values()]
        self.best = [0.0] * self.size

    def _columns(self, count: int) -> list[int]:
        self.size += count
        return list(range(self.size - count, self.size))

    def _add(self, hull: Hull) -> None:
        (fit,) = self._columns(1)
        shells = self._columns(len(hull.shells))
        bays = [self._columns(len(bay)) for bay in hull.bays]
        self.places.append((fit, bays))
        self.fit[fit] = -1
        mine: dict[int, float] = {fit: 0}
        if hull.barred:
            self.rows.append(({fit: 1}, 0, 0))
        for column, shell in zip(shells, hull.shells, strict=True):
            self.rows.append(({column: 1, fit: -1}, 0 if shell.must_open else -1, 0))
            self.openings[column] = float(shell.counts)
            mine[column] = shell.opened_min - shell.shut_min
            mine[fit] += shell.shut_min
        for ways, listed in zip(bays, hull.bays, strict=True):
            self.rows.append(({**dict.fromkeys(ways, 1.0), fit: -1}, 0, 0))
            for place, shell in enumerate(shells):
                inside = [
                    column for column, way in zip(ways, listed, strict=True) if way.opens and way.housing == place
                ]
                if inside:  # one row for all ways of a bay: one at most is taken, and the tighter the row, the sooner it is solved
                    self.rows.append(({**dict.fromkeys(inside, 1.0), shell: -1}, -1, 0))
            for column, way in zip(ways, listed, strict=True):
                mine[column] = way.minutes
                if way.minutes > hull.most_min:
                    self.rows.append(({column: 1}, 0, 0))
                if way.spare is not None:
                    self.spares.setdefault(way.spare, {})[column] = 1
        self.rows.append((mine, 0, hull.most_min))
        self.minutes |= mine

    def improve(self, objective: dict[int, float], limit_s: float) -> bool:
        """Make this the least it can be, and hold it there. False when time ran out before that was proved."""
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import coo_array

        if not objective:
            return True
        places = [
            (row, column, value) for row, (terms, _, _) in enumerate(self.rows) for column, value in terms.items()
        ]
        row, column, value = (np.array(part) for part in zip(*places, strict=True))
        matrix = coo_array((value, (row, column)), shape=(len(self.rows), self.size)).tocsc()
        low, high = (np.array([one[end] for one in self.rows]) for end in (1, 2))
        costs = np.zeros(self.size)
        costs[list(objective)] = list(objective.values())
        options = {"time_limit": limit_s, "mip_rel_gap": 0.0}
        found: Any = milp(
            costs, integrality=np.ones(self.size), bounds=Bounds(0, 1), constraints=LinearConstraint(matrix, low, high), options=options
        )  # fmt: skip
        if found.x is not None:
            self.best = [round(float(one)) for one in found.x]
        reached = sum(value * self.best[column] for column, value in objective.items())
        self.rows.append((dict(objective), -np.inf, reached))
        return found.status == 0

    def answer(self) -> Answer:
        ways = [
            tuple(next(number for number, one in enumerate(bay) if self.best[one]) for bay in bays)
            if self.best[fit]
            else None
            for fit, bays in self.places
        ]
        return Answer(tuple(ways))
