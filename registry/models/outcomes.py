"""What became of removals; the newest outcome of each counts, those before it stay on record."""

import sqlalchemy as sa

from registry.domain.outcomes import FAULT_IN, OUTCOMES
from registry.models.base import column, folded, instant, one_of, says, to

removal_outcome = folded(
    "removal_outcome",
    to("removal"),
    column("outcome", sa.Text),
    column("fault_in", sa.Text),
    column("words", sa.Text),
    *instant("stated"),
    one_of("outcome", *OUTCOMES),
    one_of("fault_in", *FAULT_IN),
    says("removal_outcome_says_where", "(outcome = 'fault_found') = (fault_in <> 'neither')", "A fault that was found is in a half."),
    sa.Index("ix_removal_outcome_removal_id", "removal_id", "stated_at", "seq"),
)  # fmt: skip
