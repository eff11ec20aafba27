"""Verifications by the user, line by line, with what a static test recorded and what a fail puts in doubt; readings of
hour counters; and intervals that somebody approved."""

import sqlalchemy as sa

from registry.domain.verifications import KINDS, QUANTITIES, REVIEWS, RULES, VERDICTS
from registry.models.base import Stay, closing, column, folded, instant, maybe, one_of, says, to
from registry.models.columns import Figure, Flag, Id

verification = folded(
    "verification",
    to("pairing"),
    column("kind", sa.Text),
    column("procedure", sa.Text),
    column("issue", sa.Text),
    to("bench_mark", nullable=True),
    column("conditions", sa.Text),
    column("adjusted", Flag),
    maybe("hours_run", Figure),
    column("rule", sa.Text),
    column("verdict", sa.Text),
    column("told", sa.Text),
    column("jumped", Flag),
    column("method", sa.Text),
    column("words", sa.Text),
    to("person", "entered_by_id"),
    to("person", "done_by_id"),
    *instant("verified"),
    *instant("reviewed", nullable=True, closing=True),
    closing(maybe("reviewed_by_id", Id, sa.ForeignKey("person.id"))),
    closing(maybe("review", sa.Text)),
    closing(maybe("review_words", sa.Text)),
    one_of("kind", *KINDS),
    one_of("rule", *RULES),
    one_of("verdict", *VERDICTS),
    one_of("review", *REVIEWS),
    says(
        "verification_reviewed_by_another", "reviewed_by_id IS NULL OR (reviewed_by_id <> done_by_id AND reviewed_by_id <> entered_by_id)",
        "A verification is not reviewed by the person who did or entered it.", "own_work",
    ),
    sa.Index("ix_verification_pairing_id", "pairing_id", "verified_at", "seq"),
    changes="closes",
    stay=Stay("verified_at", "reviewed_at"),
)  # fmt: skip

#: One thing that was judged. `tolerance` is ±; None says that no limit is on record, and then nothing is decided.
verification_line = folded(
    "verification_line",
    to("verification"),
    column("number", sa.Integer),
    column("quantity", sa.Text),
    column("measured", Figure),
    column("expected", Figure),
    maybe("as_found", Figure),
    maybe("as_left", Figure),
    maybe("u", Figure),
    maybe("tolerance", Figure),
    maybe("p_conform", Figure),
    column("outcome", sa.Text),
    column("told", sa.Text),
    one_of("quantity", *QUANTITIES),
    one_of("outcome", *VERDICTS),
    says("verification_line_says_something", "as_found IS NOT NULL OR as_left IS NOT NULL", "A line gives a figure."),
    sa.Index("ix_verification_line_verification_id", "verification_id"),
)

#: What was read off the recording of a static test; `worked_out` is canonical JSON of means, traces and Allan curves.
bench_recording = folded(
    "bench_recording",
    to("verification"),
    column("sha256", sa.Text),
    column("seconds", Figure),
    column("rate_hz", Figure),
    column("lat_deg", Figure),
    column("height_m", Figure),
    maybe("warm_up_min", Figure),
    column("worked_out", sa.Text),
    sa.Index("ix_bench_recording_verification_id", "verification_id"),
)

#: A stay that a failed verification puts in doubt, as the record had it then.
affected_stay = folded(
    "affected_stay",
    to("verification"),
    column("number", sa.Integer),
    to("installation"),
    *instant("installed"),
    *instant("removed", nullable=True),
    sa.Index("ix_affected_stay_verification_id", "verification_id"),
)

hours_reading = folded(
    "hours_reading",
    to("pairing"),
    column("hours_run", Figure),
    *instant("read"),
    sa.Index("ix_hours_reading_pairing_id", "pairing_id", "read_at", "seq"),
)

verification_interval = folded(
    "verification_interval",
    to("pairing"),
    column("days", sa.Integer),
    maybe("most_hours", Figure),
    maybe("proposed_days", sa.Integer),
    column("proposal", sa.Text),
    column("words", sa.Text),
    to("person", "approved_by_id"),
    *instant("since"),
    *instant("ended", nullable=True, closing=True),
    says("verification_interval_of_days", "days >= 1", "An interval is one day or more."),
    sa.Index("ix_verification_interval_pairing_id", "pairing_id", "since_at", "seq"),
    changes="closes",
    stay=Stay("since_at", "ended_at"),
)
