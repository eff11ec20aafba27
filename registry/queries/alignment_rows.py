"""The statements that mountings, axis and sign checks and alignments are shown from."""

from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.models.alignments import alignment, alignment_answer, alignment_left, alignment_part, alignment_residual
from registry.models.axis_checks import axis_check
from registry.models.columns import Id
from registry.models.fleet import bay, bay_use, vehicle
from registry.models.installs import installation
from registry.models.installs import installation_span as span
from registry.models.log import log_entry
from registry.models.mounting_checks import mounting_check
from registry.models.mountings import bay_mounting, lever_arm
from registry.models.pairings import pairing
from registry.models.people import person_private
from registry.models.seeks import AT, ended_by, known, newest
from registry.models.units import firmware

BAY, PAIRING, ALIGNMENT = (bindparam(name, type_=Id) for name in ("bay", "pairing", "alignment"))
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
_doer, _measurer = person_private.alias("doer"), person_private.alias("measurer")


def _with_answer(selected: sa.Select[Any]) -> sa.Select[Any]:
    """The newest answer to each alignment by the instant."""
    mine = newest(_answers, "answered_at", _answers.c.alignment_id == alignment.c.id)
    return selected.outerjoin(alignment_answer, alignment_answer.c.id == mine)


_ANSWER = (
    alignment_answer.c.answer, alignment_answer.c.answered_at, alignment_answer.c.told.label("answer_told"),
    alignment_answer.c.words.label("answer_words"), alignment_answer.c.residual_deg, alignment_answer.c.sigma_deg.label("residual_sigma_deg"),
    alignment_answer.c.seq.label("answer_seq"),
)  # fmt: skip
_under, _firmware, _before = bay_mounting.alias("under"), firmware.alias("runs"), firmware.alias("ran")
_ran = (
    select(_before.c.version)
    .where(_before.c.half_id == _firmware.c.half_id, known(_before), _before.c.since_at <= axis_check.c.checked_at)
    .order_by(_before.c.since_at.desc(), _before.c.seq.desc())
    .limit(1)
    .correlate(_firmware, axis_check)
    .scalar_subquery()
)
#: When another firmware was read from either half than ran at the check; the first reading ever changes nothing.
_other_firmware = (
    select(sa.func.max(_firmware.c.since_at))
    .where(
        _firmware.c.half_id.in_((installation.c.sensor_id, installation.c.electronics_id)), known(_firmware),
        _firmware.c.since_at > axis_check.c.checked_at, _firmware.c.since_at <= AT, _firmware.c.version != _ran,
    )
    .correlate(installation, axis_check)
    .scalar_subquery()
)  # fmt: skip
#: For stays: their newest axis and sign check, mounting check and alignment with its answer, and whether the bay has dowels.
standing = _with_answer(
    select(
        installation.c.id.label("installation_id"), bay_mounting.c.dowels, bay_mounting.c.orientation, bay_mounting.c.id.label("mounting_id"),
        bay_mounting.c.since_at.label("mounted_at"), _under.c.orientation.label("checked_orientation"), _other_firmware.label("firmware_at"), alignment.c.bay_mounting_id,
        axis_check.c.id.label("check_id"), axis_check.c.verdict.label("check_verdict"), axis_check.c.told.label("check_told"),
        axis_check.c.next.label("check_next"), axis_check.c.checked_at, axis_check.c.seq.label("check_seq"),
        *(mounting_check.c[name].label(f"felt_{name}") for name in ("id", "verdict", "told", "next", "checked_at", "seq", "still_open")),
        _felt_under.c.orientation.label("felt_orientation"),
        alignment.c.id, alignment.c.found_by, alignment.c.verdict, alignment.c.told, alignment.c.next, alignment.c.aligned_at, alignment.c.seq,
        *_ANSWER,
    )
    .select_from(installation)
    .outerjoin(axis_check, axis_check.c.id == newest(_checks, "checked_at", _checks.c.installation_id == installation.c.id))
    .outerjoin(_under, _under.c.id == axis_check.c.bay_mounting_id)
    .outerjoin(mounting_check, mounting_check.c.id == newest(_felts, "checked_at", _felts.c.installation_id == installation.c.id))
    .outerjoin(_felt_under, _felt_under.c.id == mounting_check.c.bay_mounting_id)
    .outerjoin(bay_mounting, bay_mounting.c.id == newest(_mountings, "since_at", _mountings.c.bay_id == installation.c.bay_id))
    .outerjoin(alignment, alignment.c.id == newest(_alignments, "aligned_at", _alignments.c.installation_id == installation.c.id))
).where(installation.c.id.in_(bindparam("installations", expanding=True)))  # fmt: skip

mounting = (
    select(bay_mounting, _measurer.c.name.label("measured_by"))
    .select_from(bay_mounting)
    .outerjoin(_measurer, _measurer.c.person_id == bay_mounting.c.measured_by_id)
    .where(bay_mounting.c.id == newest(_mountings, "since_at", _mountings.c.bay_id == BAY))
)
arms = (
    select(lever_arm, _measurer.c.name.label("measured_by"))
    .select_from(lever_arm)
    .outerjoin(_measurer, _measurer.c.person_id == lever_arm.c.measured_by_id)
    .where(lever_arm.c.bay_id == BAY, known(lever_arm), lever_arm.c.since_at <= AT)
    .order_by(lever_arm.c.since_at, lever_arm.c.seq)
)
stay = (
    select(span.c.installation_id, span.c.pairing_id, pairing.c.name.label("pair"), span.c.installed_at)
    .join(pairing, pairing.c.id == span.c.pairing_id)
    .where(span.c.bay_id == BAY, known(span), span.c.installed_at <= AT, ended_by(span, "removed_at").is_(None))
    .order_by(span.c.installed_at.desc(), span.c.seq.desc())
    .limit(1)
)
_uses = bay_use.alias("uses")
_home, _mine = installation.alias("home"), alignment.alias("mine")
_alignment_lines = _with_answer(
    select(
        alignment, pairing.c.id.label("pairing_id"), pairing.c.name.label("pair"), vehicle.c.name.label("vehicle"), bay.c.letter,
        bay.c.code.label("bay_code"), bay.c.id.label("bay_id"), span.c.installed_at, ended_by(span, "removed_at").label("removed_at"),
        bay_use.c.use, _doer.c.name.label("by"), *_ANSWER,
    )
    .select_from(span)
    .join(alignment, alignment.c.installation_id == span.c.installation_id)
    .join(pairing, pairing.c.id == span.c.pairing_id)
    .join(bay, bay.c.id == span.c.bay_id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .outerjoin(bay_use, bay_use.c.id == newest(_uses, "since_at", _uses.c.bay_id == bay.c.id))
    .join(log_entry, log_entry.c.seq == alignment.c.seq)
    .outerjoin(_doer, _doer.c.person_id == log_entry.c.done_by_id)
).where(known(span), known(alignment), alignment.c.aligned_at <= AT)  # fmt: skip
#: Alignments of a bay and of a pair, newest first, wherever they were made.
alignments = _alignment_lines.where(sa.or_(span.c.bay_id == BAY, span.c.pairing_id == PAIRING)).order_by(
    alignment.c.aligned_at.desc(), alignment.c.seq.desc()
)
#: Its stay is sought among those of the bay: nothing leads from an installation to its spans.
one_alignment = _alignment_lines.where(
    alignment.c.id == ALIGNMENT,
    span.c.bay_id
    == select(_home.c.bay_id)
    .join(_mine, _mine.c.installation_id == _home.c.id)
    .where(_mine.c.id == ALIGNMENT)
    .scalar_subquery(),
)
parts = select(alignment_part).where(alignment_part.c.alignment_id == ALIGNMENT)
left = select(alignment_left).where(alignment_left.c.alignment_id == ALIGNMENT).order_by(alignment_left.c.judged)
residuals = (
    select(alignment_residual)
    .where(alignment_residual.c.alignment_id == ALIGNMENT)
    .order_by(alignment_residual.c.number)
)
