"""The statements that mountings, axis and sign checks and alignments are shown from."""

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.models.alignments import alignment, alignment_left, alignment_part, alignment_residual
from registry.models.columns import Id
from registry.models.fleet import bay, bay_use, vehicle
from registry.models.installs import installation
from registry.models.installs import installation_span as span
from registry.models.log import log_entry
from registry.models.mountings import bay_mounting, lever_arm
from registry.models.pairings import pairing
from registry.models.people import person_private
from registry.models.seeks import AT, ended_by, known, newest
from registry.models.standings import ANSWER, with_answer

BAY, PAIRING, ALIGNMENT = (bindparam(name, type_=Id) for name in ("bay", "pairing", "alignment"))
_mountings = bay_mounting.alias("mountings")
_doer, _measurer = person_private.alias("doer"), person_private.alias("measurer")


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
_alignment_lines = with_answer(
    select(
        alignment, pairing.c.id.label("pairing_id"), pairing.c.name.label("pair"), vehicle.c.name.label("vehicle"), bay.c.letter,
        bay.c.code.label("bay_code"), bay.c.id.label("bay_id"), span.c.installed_at, ended_by(span, "removed_at").label("removed_at"),
        bay_use.c.use, _doer.c.name.label("by"), *ANSWER,
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
