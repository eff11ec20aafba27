"""Missions: the list, those of a vehicle or a pair, and one with everything it rode on."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any

import sqlalchemy as sa

from registry.domain.alignments import Alignment, say_state
from registry.domain.axis_checks import VERDICTS as AXIS_VERDICTS
from registry.domain.axis_checks import AxisCheck
from registry.domain.findings import Finding
from registry.domain.fit import VERDICTS as FIT
from registry.domain.mission_alignments import Aligned, alignment_of_mission
from registry.domain.mission_impacts import MissionImpact
from registry.domain.missions import AIDED, Span, age_days, hours_without, shared, unaligned_hours, unconfirmed_since
from registry.domain.sailing import against
from registry.domain.times import NEVER, say
from registry.domain.verifications import Due
from registry.models.due import dues
from registry.models.plans import plan_at
from registry.models.sailing import findings_to_sail
from registry.models.seeks import EVER
from registry.models.standings import Standing, standings
from registry.queries import mission_rows as rows
from registry.queries.fleet import vehicles_at
from registry.queries.mission_impacts import impacts_of_mission


@dataclass(frozen=True, slots=True)
class Share:
    """What a mission rode on in one bay for a stretch of it. `due` is how verification stood when the stretch began;
    `due_within` says that it fell due before the end. `unconfirmed_since` stands where nobody can say the pair was there."""

    installation_id: str
    pairing_id: str
    pair: str
    since: str
    until: str
    hours: float
    percent: float
    unaligned_h: float
    installed_at: str
    seq: int
    installed_by: str | None
    signoff_id: str | None
    signed_at: str | None
    station: str | None
    due: Due | None
    due_within: bool
    alignment: Alignment | None
    axis_check: AxisCheck | None
    proved_at: str
    proved_days: int
    unconfirmed_since: str | None

    @property
    def alignment_said(self) -> str:
        return say_state(self.alignment) if self.alignment else "No alignment on record."

    @property
    def check_said(self) -> str:
        words = AXIS_VERDICTS[self.axis_check.verdict] if self.axis_check else "no axis and sign check on record"
        return f"{words[0].upper()}{words[1:]}."


@dataclass(frozen=True, slots=True)
class BayRidden:
    """One bay over a mission: each pair's share of it, and hours with no pair at all."""

    letter: str
    code: str
    shares: tuple[Share, ...]
    empty_h: float


@dataclass(frozen=True, slots=True)
class PutRight:
    """One thing that was amended: which, what was entered and what holds, in words."""

    part: str
    was: str
    now: str
    why: str
    seq: int

    def say(self) -> str:
        """`Started: entered as 10 May 2026, 10:00 UTC; it was 10 May 2026, 09:30 UTC. The clock ran fast.`"""
        what = self.part.replace("_", " ").capitalize()
        return f"{what}: entered as {self.was}; it was {self.now}. {self.why}"


@dataclass(frozen=True, slots=True)
class MissionPage:
    """One mission. `amended` is what of it was put right, `run_entries` every entry that told of its start and end.
    `sailing` are the findings at its start as the record has them now; `told_then` is the verdict as the
    log told it when the start was entered. `impacts` are those whose lists it stands on, the worst answer first;
    `ahead` is what stands against its vehicle while it is planned."""

    row: sa.RowMapping
    amended: tuple[PutRight, ...]
    run_entries: tuple[sa.Row, ...]
    span: Span | None = None
    bays: tuple[BayRidden, ...] = ()
    sailing: tuple[Finding, ...] = ()
    severity: str | None = None
    told_then: str | None = None
    holds: tuple[sa.RowMapping, ...] = ()
    impacts: tuple[MissionImpact, ...] = ()
    ahead: tuple[Finding, ...] = ()

    @property
    def state(self) -> str:
        return state_of(self.row)

    @property
    def aided(self) -> str:
        return AIDED[self.row["aided_by"]] if self.row["aided_by"] else ""

    @property
    def unconfirmed(self) -> tuple[Share, ...]:
        return tuple(share for bay in self.bays for share in bay.shares if share.unconfirmed_since)

    @property
    def all_the_same(self) -> str | None:
        """Why it sailed although something stopped its vehicle, in the words of who started it."""
        starts = (json.loads(one.entry)["body"] for one in self.run_entries if one.act == "start_mission")
        return next((body.get("all_the_same") for body in starts), None)

    @property
    def aligned(self) -> Aligned:
        shares = [share for bay in self.bays for share in bay.shares]
        return alignment_of_mission(self.unaligned_h, [(share.pair, share.alignment) for share in shares])

    @property
    def stops_ahead(self) -> tuple[Finding, ...]:
        return tuple(one for one in against(self.ahead) if one.severity == "stops")

    @property
    def spoiled(self) -> MissionImpact | None:
        """The worst that was found, unless all that was found left this mission as it was."""
        return next((one for one in self.impacts if one.answer != "not_affected"), None)

    @property
    def unaligned_h(self) -> float:
        return sum(share.unaligned_h for bay in self.bays for share in bay.shares)

    def told(self) -> dict[str, Any]:
        """All of it by name: what JSON says, over HTTP and at the command line alike."""
        return {
            **dict(self.row), "state": self.state, "amended": [asdict(one) for one in self.amended], "hours": self.span.hours if self.span else None, "bays": [asdict(one) for one in self.bays], "severity_at_sailing": self.severity,
            "verdict_at_sailing": FIT[self.severity] if self.severity else None, "severity_told_then": self.told_then, "findings_at_sailing": [asdict(one) for one in self.sailing], "holds": [dict(one) for one in self.holds], "alignment_told": self.aligned.said if self.span else None, "why_it_sailed_all_the_same": self.all_the_same, "findings_ahead": [asdict(one) for one in self.ahead],
            "impacts": [{**asdict(one), "told": one.answer_said} for one in self.impacts],
        }  # fmt: skip


def state_of(row: Mapping[str, Any]) -> str:
    """`taken back`, `planned`, `under way` or `ended`."""
    if row["withdrawn_seq"]:
        return "taken back"
    return "planned" if row["started_at"] is None else "ended" if row["ended_at"] else "under way"


def missions_listed(
    db: sa.Connection, at: str, known: int = EVER, *, skip: int = 0, most: int = 100
) -> list[sa.RowMapping]:
    """Missions, the newest first."""
    return list(db.execute(rows.page, {"at": at, "known": known, "skip": skip, "most": most}).mappings())


def missions_of_vehicle(db: sa.Connection, vehicle_id: str, at: str, known: int = EVER) -> tuple[sa.RowMapping, ...]:
    """Missions of a vehicle that were planned or had begun; one entered when it was over is not told before it began."""
    found = db.execute(rows.of_vehicle, {"vehicle": vehicle_id, "at": at, "known": known}).mappings()
    return tuple(row for row in found if row["started_at"] or row["planned_from_at"])


def missions_of_pair(db: sa.Connection, pairing_id: str, at: str, known: int = EVER) -> tuple[sa.RowMapping, ...]:
    """Missions that rode on this pair for any part of them."""
    return tuple(db.execute(rows.of_pair, {"pairing": pairing_id, "at": at, "known": known}).mappings())


def mission_page(db: sa.Connection, mission_id: str, at: str, known: int = EVER) -> MissionPage | None:
    """One mission as it stands at the instant, or None when it was not known yet."""
    row = db.execute(rows.one, {"mission": mission_id, "at": at, "known": known}).mappings().first()
    if row is None:
        return None
    keys = {"mission": mission_id, "known": known}
    amended = tuple(_put_right(one) for one in db.execute(rows.amendments, keys))
    told = tuple(db.execute(rows.run_entries, keys))
    if row["started_at"] is None or row["started_at"] > at:
        return MissionPage(row, amended, told, ahead=_ahead(db, row, at, known))
    span = Span(row["started_at"], min(row["ended_at"] or at, at))
    ridden = _Ridden(db, row, span, at, known)
    then, before = (
        next(iter(vehicles_at(db, row["started_at"], size, [row["vehicle_id"]])), None)
        for size in (known, min(known, row["begun_seq"]))
    )
    return MissionPage(
        row, amended, told, span, ridden.bays(), tuple(then.findings) if then else (), then.severity if then else None,
        before.severity if before else None, ridden.holds, impacts_of_mission(db, mission_id, at, known),
    )  # fmt: skip


def _ahead(db: sa.Connection, row: sa.RowMapping, at: str, known: int) -> tuple[Finding, ...]:
    """What stands against the vehicle of a planned mission on its planned days."""
    if row["withdrawn_seq"] or row["planned_from_at"] is None:
        return ()
    since = max(at, row["planned_from_at"])
    return tuple(findings_to_sail(db, row["vehicle_id"], at, since, row["planned_to_at"], row["use"], known))


def _put_right(one: sa.Row) -> PutRight:
    if one.part == "vehicle":
        return PutRight(one.part, one.was_vehicle, one.now_vehicle, one.why, one.seq)
    return PutRight(one.part, say(one.was_at), say(one.now_at), one.why, one.seq)


class _Ridden:
    """What a vehicle carried over a span of time, read once, and cut to the stretches of each bay."""

    def __init__(self, db: sa.Connection, row: sa.RowMapping, span: Span, at: str, known: int):
        self._db, self._span, self._known = db, span, known
        keys: dict[str, Any] = {"vehicle": row["vehicle_id"], "at": at, "known": known}
        keys |= {"since": span.since, "until": span.until}
        self._bays = db.execute(rows.bays, keys).all()
        found: dict[str, sa.RowMapping] = {}
        for stay in db.execute(rows.stays, keys).mappings():
            found.setdefault(stay["installation_id"], stay)  # the newest sign-off that held, of several
        self._stays = list(found.values())
        keys |= {
            "bays": [one.id for one in self._bays],
            "installations": list(found),
            "halves": [stay[name] for stay in self._stays for name in ("sensor_id", "electronics_id")],
            "pairings": [stay["pairing_id"] for stay in self._stays],
        }
        self._scans, self._differences = (
            db.execute(query, keys).mappings().all() for query in (rows.scans, rows.differences)
        )
        self._turns = db.execute(rows.turns, keys).all()
        self.holds = tuple(db.execute(rows.holds, keys).mappings())
        self._standings = standings(db, list(found), span.until, known)
        self._plan = plan_at(db, None, span.since, known)
        self._dues: dict[str, dict[str, Due]] = {}

    def bays(self) -> tuple[BayRidden, ...]:
        ridden = []
        for one in self._bays:
            cut = [
                (stay, part)
                for stay in self._stays
                if stay["bay_id"] == one.id
                and (part := shared(self._span, stay["installed_at"], stay["removed_at"])) is not None
            ]
            shares = tuple(self._share(stay, part) for stay, part in cut)
            empty = hours_without(self._span, [part for _stay, part in cut])
            ridden.append(BayRidden(one.letter, one.code, shares, empty))
        return tuple(ridden)

    def _share(self, stay: sa.RowMapping, part: Span) -> Share:
        id_ = stay["installation_id"]
        standing = self._standings.get(id_, Standing())
        turns = [(turn.at, bool(turn.holds)) for turn in self._turns if turn.installation_id == id_]
        due = self._due_by(part.since).get(stay["pairing_id"])
        scans = [stay["installed_at"], *self._proving(stay)]
        proved = max(one for one in scans if one <= part.until)
        noted = [one["noted_at"] for one in self._differences if self._concerns(one, stay)]
        told = {name: stay[name] for name in ("installation_id", "pairing_id", "pair", "installed_at", "seq", "installed_by", "signoff_id", "signed_at", "station")}  # fmt: skip
        return Share(
            **told, since=part.since, until=part.until, hours=part.hours, percent=100 * part.hours / (self._span.hours or 1),
            unaligned_h=unaligned_hours(part, turns), due=due, due_within=due is not None and due.due_on < part.until[:10],
            alignment=standing.alignment, axis_check=standing.check, proved_at=proved, proved_days=age_days(proved, part.until),
            unconfirmed_since=unconfirmed_since(part, scans, noted),
        )  # fmt: skip

    def _due_by(self, at: str) -> dict[str, Due]:
        """How verification of every pair aboard stood, read once for each instant at which a share begins: the start,
        and each swap."""
        if at not in self._dues:
            pairings = sorted({stay["pairing_id"] for stay in self._stays})
            self._dues[at] = dues(self._db, at, self._known, pairings, self._plan)
        return self._dues[at]

    def _proving(self, stay: sa.RowMapping) -> Iterable[str]:
        """Scans in the bay that found this pair there, while it sat there."""
        for one in self._scans:
            mine = one["sensor_id"] == stay["sensor_id"] and one["electronics_id"] == stay["electronics_id"]
            during = stay["installed_at"] <= one["sighted_at"] < (stay["removed_at"] or NEVER)
            if mine and during and one["bay_id"] == stay["bay_id"]:
                yield one["sighted_at"]

    @staticmethod
    def _concerns(one: sa.RowMapping, stay: sa.RowMapping) -> bool:
        """A difference noted of this bay, or of either half, while the record had the pair there."""
        of_it = one["bay_id"] == stay["bay_id"] or one["half_id"] in (stay["sensor_id"], stay["electronics_id"])
        return of_it and stay["installed_at"] <= one["noted_at"] < (stay["removed_at"] or NEVER)
