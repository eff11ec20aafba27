"""How stays stand: their newest axis and sign check, mounting check and alignment. Read alike by acts and by the pages that show it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.alignments import Alignment, LeftAngle
from registry.domain.axis_checks import AxisCheck
from registry.domain.mounting_checks import BETWEEN, MountingCheck
from registry.domain.mountings import ORIENTATIONS
from registry.domain.times import say
from registry.models.alignments import alignment, alignment_answer
from registry.models.axis_checks import axis_check
from registry.models.firmware_since import other_firmware_since
from registry.models.installs import installation
from registry.models.mounting_checks import mounting_check
from registry.models.mountings import bay_mounting
from registry.models.seeks import EVER, newest

_checks, _mountings, _alignments, _answers = (
    table.alias(name)
    for table, name in (
        (axis_check, "checks"),
        (bay_mounting, "mountings"),
        (alignment, "alignments"),
        (alignment_answer, "answers"),
    )
)
_felts, _felt_under = mounting_check.alias("felts"), bay_mounting.alias("felt_under")


def with_answer(selected: sa.Select[Any]) -> sa.Select[Any]:
    """The newest answer to each alignment by the instant."""
    mine = newest(_answers, "answered_at", _answers.c.alignment_id == alignment.c.id)
    return selected.outerjoin(alignment_answer, alignment_answer.c.id == mine)


ANSWER = (
    alignment_answer.c.answer, alignment_answer.c.answered_at, alignment_answer.c.told.label("answer_told"),
    alignment_answer.c.words.label("answer_words"), alignment_answer.c.residual_deg, alignment_answer.c.sigma_deg.label("residual_sigma_deg"),
    alignment_answer.c.seq.label("answer_seq"),
)  # fmt: skip
_under = bay_mounting.alias("under")
_other_firmware = other_firmware_since(axis_check, "checked_at")
#: For stays: their newest axis and sign check, mounting check and alignment with its answer, and whether the bay has dowels.
_standing = with_answer(
    select(
        installation.c.id.label("installation_id"), bay_mounting.c.dowels, bay_mounting.c.orientation, bay_mounting.c.id.label("mounting_id"),
        bay_mounting.c.since_at.label("mounted_at"), _under.c.orientation.label("checked_orientation"), _other_firmware.label("firmware_at"), alignment.c.bay_mounting_id,
        axis_check.c.id.label("check_id"), axis_check.c.verdict.label("check_verdict"), axis_check.c.told.label("check_told"),
        axis_check.c.next.label("check_next"), axis_check.c.checked_at, axis_check.c.seq.label("check_seq"),
        *(mounting_check.c[name].label(f"felt_{name}") for name in ("id", "verdict", "told", "next", "checked_at", "seq", "still_open")),
        _felt_under.c.orientation.label("felt_orientation"),
        alignment.c.id, alignment.c.found_by, alignment.c.verdict, alignment.c.told, alignment.c.next, alignment.c.aligned_at, alignment.c.seq,
        *ANSWER,
    )
    .select_from(installation)
    .outerjoin(axis_check, axis_check.c.id == newest(_checks, "checked_at", _checks.c.installation_id == installation.c.id))
    .outerjoin(_under, _under.c.id == axis_check.c.bay_mounting_id)
    .outerjoin(mounting_check, mounting_check.c.id == newest(_felts, "checked_at", _felts.c.installation_id == installation.c.id))
    .outerjoin(_felt_under, _felt_under.c.id == mounting_check.c.bay_mounting_id)
    .outerjoin(bay_mounting, bay_mounting.c.id == newest(_mountings, "since_at", _mountings.c.bay_id == installation.c.bay_id))
    .outerjoin(alignment, alignment.c.id == newest(_alignments, "aligned_at", _alignments.c.installation_id == installation.c.id))
).where(installation.c.id.in_(bindparam("installations", expanding=True)))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Standing:
    """How a stay stands: its newest axis and sign check, its newest mounting check and alignment, and whether its bay has
    dowels."""

    check: AxisCheck | None = None
    alignment: Alignment | None = None
    dowels: bool = False
    mounting: MountingCheck | None = None


def standings(db: sa.Connection, installations: Iterable[str], at: str, known: int = EVER) -> dict[str, Standing]:
    """Installation id -> how that stay stood at the instant. One statement for any number of stays."""
    wanted = sorted(set(installations))
    found = db.execute(_standing, {"installations": wanted, "at": at, "known": known}).mappings()
    return {
        row["installation_id"]: Standing(_check_of(row), _aligned(row), row["dowels"] == "two", _felt(row))
        for row in found
    }


def _felt(row: Mapping[str, Any]) -> MountingCheck | None:
    """The mounting check that a row of the standings tells of; None when the stay has none."""
    if row["felt_id"] is None:
        return None
    told = (row[f"felt_{name}"] for name in ("id", "verdict", "told", "next", "checked_at", "seq"))
    return MountingCheck(*told, left_open(row["felt_still_open"]), row["felt_orientation"], row["orientation"])


def left_open(text: str) -> tuple[str, ...]:
    """The orientations that a mounting check left open, as its row keeps them."""
    return tuple(text.split(BETWEEN)) if text else ()


def _check_of(row: Mapping[str, Any]) -> AxisCheck | None:
    if row["check_id"] is None:
        return None
    told = (row[f"check_{name}"] for name in ("id", "verdict", "told", "next"))
    return AxisCheck(*told, row["checked_at"], row["check_seq"], _since_the_check(row))


def _since_the_check(row: Mapping[str, Any]) -> str:
    """What happened since that the check says nothing of."""
    if row["firmware_at"]:
        return f"Other firmware was read on {say(row['firmware_at'])}."
    if row["checked_orientation"] and row["checked_orientation"] != row["orientation"]:
        return f"The mounting was entered anew for {say(row['mounted_at'])}: {ORIENTATIONS[row['orientation']]}."
    return ""


def _aligned(row: Mapping[str, Any]) -> Alignment | None:
    """The alignment of a stay, with whether the bay's mounting was entered anew since."""
    found = alignment_of(row)
    if found and row["bay_mounting_id"] and row["bay_mounting_id"] != row["mounting_id"]:
        return replace(found, outdated=f"The mounting of the bay was entered anew for {say(row['mounted_at'])}.")
    return found


def alignment_of(row: Mapping[str, Any]) -> Alignment | None:
    """The alignment in a row of these statements, None when the stay has none."""
    if row["id"] is None:
        return None
    told = (
        row[name]
        for name in ("id", "found_by", "verdict", "told", "next", "aligned_at", "seq", "answer", "answered_at")
    )
    return Alignment(*told, answer_told=row["answer_told"] or "", answer_seq=row["answer_seq"], residual=_residual(row))


def _residual(row: Mapping[str, Any]) -> LeftAngle | None:
    """What the check run that answered an alignment left of the heading."""
    if row["residual_deg"] is None:
        return None
    return LeftAngle("yaw", row["residual_deg"], row["residual_sigma_deg"])
