"""Audits: their lines, each a place to look at, and what answered each line.

A line names its place and nothing of what is expected there: that is looked up when the hardware has been read.
"""

import sqlalchemy as sa

from registry.domain.audits import SCOPES, VERDICTS
from registry.models.base import Stay, closing, column, folded, instant, maybe, once, one_of, says, to
from registry.models.columns import Id

audit = folded(
    "audit",
    column("reference", sa.Text),
    column("scope", sa.Text),
    to("site", nullable=True),
    to("vehicle", nullable=True),
    column("against", sa.Text),
    to("person", "auditor_id"),
    *instant("opened"),
    *instant("closed", nullable=True, closing=True),
    closing(maybe("closed_by_id", Id, sa.ForeignKey("person.id"))),
    closing(maybe("words", sa.Text)),
    one_of("scope", *SCOPES),
    says(
        "audit_of_its_scope",
        "(scope = 'site') = (site_id IS NOT NULL) AND (scope = 'vehicle') = (vehicle_id IS NOT NULL)",
        "An audit of a site names the site, one of a vehicle the vehicle, one of the fleet neither.",
    ),
    once("audit_reference_once", "reference", sentence="Another audit has that name."),
    changes="closes",
    stay=Stay("opened_at", "closed_at"),
)

#: A bay, a half that the record has on a shelf, or the label of a half that it does not know.
audit_line = folded(
    "audit_line",
    to("audit"),
    column("number", sa.Integer),
    to("bay", nullable=True),
    to("half", nullable=True),
    maybe("label", sa.Text),
    says(
        "audit_line_of_one_place",
        "(CASE WHEN bay_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN half_id IS NULL THEN 0 ELSE 1 END)"
        " + (CASE WHEN label IS NULL THEN 0 ELSE 1 END) = 1",
        "A line of an audit is about one thing.",
    ),
    once("audit_line_number_once", "audit_id", "number", sentence="That number is taken in this audit."),
    once("audit_line_bay_once", "audit_id", "bay_id", sentence="That bay is a line of the audit already."),
    once("audit_line_half_once", "audit_id", "half_id", sentence="That half is a line of the audit already."),
    sa.Index("ix_audit_line_bay_id", "bay_id"),
    sa.Index("ix_audit_line_half_id", "half_id"),
)

#: What answered a line; the newest counts. `sighting_id` is the sighting in a bay that was made in this audit.
audit_answer = folded(
    "audit_answer",
    to("audit"),
    to("audit_line"),
    to("sighting", nullable=True),
    column("verdict", sa.Text),
    column("expected", sa.Text),
    column("found", sa.Text),
    column("told", sa.Text),
    to("person", "by_id"),
    *instant("answered"),
    one_of("verdict", *VERDICTS),
    sa.Index("ix_audit_answer_audit_line_id", "audit_line_id", "answered_at"),
    sa.Index("ix_audit_answer_audit_id", "audit_id"),
    sa.Index("ix_audit_answer_sighting_id", "sighting_id"),
)
