"""Alignments as pages, JSON and the command line show them: of a stay, of a bay with what is to do next, and one alone."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from registry.domain.alignments import PARTS, Alignment, Setting, settings_to_enter
from registry.errors import Offer
from registry.models.seeks import EVER
from registry.models.standings import Standing, alignment_of, standings
from registry.queries import alignment_rows as rows

_WHOLE = tuple(f"{name}{end}" for name in ("roll", "pitch", "yaw") for end in ("_deg", "_sigma_deg"))


@dataclass(frozen=True, slots=True)
class AlignmentLine:
    """An alignment in a listing, with whose it was, where and when."""

    alignment: Alignment
    row: sa.RowMapping


@dataclass(frozen=True, slots=True)
class BayAlignments:
    """How a bay is mounted and aligned at an instant. `of_bay` and `of_pair` are earlier alignments, newest first."""

    mounting: sa.RowMapping | None
    arms: dict[str, sa.RowMapping]
    stay: sa.Row | None
    standing: Standing
    in_force: AlignmentLine | None
    settings: tuple[Setting, ...]
    of_bay: tuple[AlignmentLine, ...]
    of_pair: tuple[AlignmentLine, ...]
    steps: tuple[Offer, ...]


def bay_alignments(db: sa.Connection, bay_id: str, at: str, known: int = EVER) -> BayAlignments:
    """The alignment section of a bay. Six statements."""
    keys: dict[str, Any] = {"bay": bay_id, "at": at, "known": known}
    mounting = db.execute(rows.mounting, keys).mappings().first()
    arms = _arms(db, keys)
    stay = db.execute(rows.stay, keys).first()
    # Every statement is asked whether or not there is anything to find: what a page costs does not hang on its content.
    seated = [stay.installation_id] if stay else []
    standing = standings(db, seated, at, known).get(seated[0] if seated else "", Standing())
    lines = [
        _line(row)
        for row in db.execute(rows.alignments, keys | {"pairing": stay.pairing_id if stay else None}).mappings()
    ]
    current = standing.alignment.id if standing.alignment else None
    in_force = next((one for one in lines if one.alignment.id == current), None)
    earlier = [one for one in lines if one is not in_force]
    parts = parts_of(db, current)
    # Angles that rest on an older plate are typed into nothing.
    holds = in_force if standing.alignment and not standing.alignment.outdated else None
    return BayAlignments(
        mounting, arms, stay, standing, in_force,
        tuple(_settings(mounting, holds, parts, arms)),
        tuple(one for one in earlier if one.row["bay_id"] == bay_id),
        tuple(one for one in earlier if one.row["bay_id"] != bay_id),
        tuple(_steps(bay_id, mounting, arms, stay is not None, standing)),
    )  # fmt: skip


def _arms(db: sa.Connection, keys: dict[str, Any]) -> dict[str, sa.RowMapping]:
    return {row["leads_to"]: row for row in db.execute(rows.arms, keys).mappings()}


def _line(row: sa.RowMapping) -> AlignmentLine:
    found = alignment_of(row)
    assert found is not None, "a listing holds alignments only"
    return AlignmentLine(found, row)


def parts_of(db: sa.Connection, alignment_id: str | None) -> dict[str, sa.RowMapping]:
    """Part -> its row, in the order of the chain."""
    found = {row["part"]: row for row in db.execute(rows.parts, {"alignment": alignment_id}).mappings()}
    return {name: found[name] for name in PARTS if name in found}


def _settings(
    mounting: Any, line: AlignmentLine | None, parts: Mapping[str, Any], arms: Mapping[str, Any]
) -> list[Setting]:
    """What is typed into the unit; nothing of a withdrawn alignment."""
    valid = line is not None and line.alignment.state != "withdrawn"
    whole = {name: line.row[name] for name in _WHOLE} if valid and line and line.row["yaw_deg"] is not None else None
    dvl = parts.get("dvl_unit") if valid else None
    return settings_to_enter(mounting["orientation"] if mounting else None, whole, dvl, arms)


def _steps(bay_id: str, mounting: Any, arms: Any, seated: bool, standing: Standing) -> list[Offer]:
    """The acts that come next for this bay, in the order of the work."""
    key = {"bay": bay_id}
    steps = []
    if mounting is None:
        steps.append(Offer("record_mounting", "Enter how the bay is mounted", key))
    if not arms:
        steps.append(Offer("record_lever_arm", "Enter a lever arm", key))
    if seated and (standing.check is None or not standing.check.holds):
        steps.append(Offer("record_axis_check", "Enter the axis and sign check", key))
        steps.append(Offer("record_axis_recording", "Enter it from a recording", key))
    if seated and standing.mounting and standing.mounting.now != "agrees":
        steps.append(Offer("record_mounting_check", "Enter a mounting check", key))
    if not seated:
        return steps
    one = standing.alignment
    if one is None or one.outdated or one.state == "withdrawn":
        if standing.dowels and one is None:
            steps.append(Offer("carry_alignment", "Carry the alignment over", key))
        steps.append(Offer("record_alignment", "Enter an alignment", key))
        steps.append(Offer("fit_alignment", "Fit an alignment", key))
        steps.append(Offer("fit_dvl_run", "Fit a DVL run", key))
    elif one.state in ("carried", "outside", "cannot_decide"):
        steps.append(Offer("confirm_alignment", "Enter the residual of a check run", key))
    return steps


@dataclass(frozen=True, slots=True)
class AlignmentPage:
    """One alignment with everything it rests on and what became of it. `ended_at` is the removal that ended it; `of_bay` and
    `of_pair` are those before it, newest first."""

    alignment: Alignment
    row: sa.RowMapping
    parts: dict[str, sa.RowMapping]
    left: tuple[sa.RowMapping, ...]
    residuals: tuple[sa.RowMapping, ...]
    settings: tuple[Setting, ...]
    superseded: bool
    of_bay: tuple[AlignmentLine, ...]
    of_pair: tuple[AlignmentLine, ...]

    @property
    def ended_at(self) -> str | None:
        return self.row["removed_at"]


def alignment_page(db: sa.Connection, alignment_id: str, at: str, known: int = EVER) -> AlignmentPage | None:
    """One alignment as it stood at the instant, or None when it was not known yet."""
    keys: dict[str, Any] = {"alignment": alignment_id, "at": at, "known": known}
    row = db.execute(rows.one_alignment, keys).mappings().first()
    if row is None:
        return None
    keys |= {"bay": row["bay_id"]}
    # What was typed into the unit then: the mounting and the arms of that instant.
    then = keys | {"at": row["aligned_at"]}
    mounting, arms = db.execute(rows.mounting, then).mappings().first(), _arms(db, then)
    parts, line = parts_of(db, alignment_id), _line(row)
    left, residuals = (tuple(db.execute(query, keys).mappings()) for query in (rows.left, rows.residuals))
    newest = standings(db, [row["installation_id"]], at, known)[row["installation_id"]].alignment
    settings = tuple(_settings(mounting, line, parts, arms))
    earlier = _before(db, line, keys | {"pairing": row["pairing_id"]})
    return AlignmentPage(
        line.alignment, row, parts, left, residuals, settings, newest is not None and newest.id != alignment_id,
        tuple(one for one in earlier if one.row["bay_id"] == row["bay_id"]),
        tuple(one for one in earlier if one.row["bay_id"] != row["bay_id"]),
    )  # fmt: skip


def _before(db: sa.Connection, line: AlignmentLine, keys: dict[str, Any]) -> list[AlignmentLine]:
    """Alignments of the same bay or pair that were made before this one."""
    listed = [_line(row) for row in db.execute(rows.alignments, keys).mappings()]
    mine = (line.alignment.aligned_at, line.alignment.seq)
    return [one for one in listed if (one.alignment.aligned_at, one.alignment.seq) < mine]
