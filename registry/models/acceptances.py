"""Named acceptances of findings: which, of which vehicle, resting on which entry, from when until when."""

import sqlalchemy as sa

from registry.domain.fit_use import ASKED
from registry.models.base import Stay, closing, column, folded, instant, maybe, one_of, says, to
from registry.models.columns import Day, Id

#: `bay` is its letter, empty when the finding is about the whole vehicle; `use` the one it was judged for, if not the
#: bay’s own. Without `from_on` it holds from its own instant on; `to_on` is its last day.
acceptance = folded(
    "acceptance",
    to("vehicle"),
    maybe("bay", sa.Text),
    column("finding", sa.Text),
    maybe("use", sa.Text),
    column("evidence_seq", sa.Integer, sa.ForeignKey("log_entry.seq", name="fk_acceptance_evidence_seq")),
    column("fact", sa.Text),
    column("reason", sa.Text),
    maybe("from_on", Day),
    column("to_on", Day),
    to("person", "accepted_by_id"),
    *instant("accepted"),
    *instant("withdrawn", nullable=True, closing=True),
    closing(maybe("withdrawn_by_id", Id, sa.ForeignKey("person.id"))),
    closing(maybe("why_withdrawn", sa.Text)),
    one_of("use", *ASKED),
    says("acceptance_rests_on_an_earlier_entry", "evidence_seq < seq", "It rests on an entry that is there already."),
    says("acceptance_begins_before_it_ends", "from_on IS NULL OR from_on <= to_on", "It cannot be over before it begins."),
    sa.Index("ix_acceptance_vehicle_id", "vehicle_id", "accepted_at"),
    changes="closes",
    stay=Stay("accepted_at", "withdrawn_at"),
)  # fmt: skip
