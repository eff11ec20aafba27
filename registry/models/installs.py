"""Installations: the immutable fact that a pair was put into a bay, and the span of time it stayed.

An amendment voids a span and adds another for the same installation; everything that hangs on the installation
(removal, settings, alignment) keeps pointing at it.
"""

import sqlalchemy as sa

from registry.domain.installs import CONDITIONS, REMOVAL_REASONS
from registry.models.base import Stay, closing, column, folded, guard, instant, key, maybe, one_of, refers, to
from registry.models.columns import Flag, Id

installation = folded(
    "installation",
    to("bay"),
    column("pairing_id", Id),
    column("sensor_id", Id),
    column("electronics_id", Id),
    refers(
        "installation_of_both_halves_of_a_pairing",
        ["pairing_id", "sensor_id", "electronics_id"],
        "pairing",
        ["id", "sensor_id", "electronics_id"],
    ),
    key("installation_by_all_it_names", "id", "bay_id", "pairing_id", "sensor_id", "electronics_id"),
)

_KEYS = ["bay_id", "pairing_id", "sensor_id", "electronics_id"]
_LIVE = sa.text("removed_at IS NULL AND voided_seq IS NULL")

installation_span = folded(
    "installation_span",
    column("installation_id", Id),
    *(column(name, Id) for name in _KEYS),
    *instant("installed"),
    *instant("removed", nullable=True, closing=True),
    column("opened_by", Id),
    closing(maybe("closed_by", Id)),
    refers("installation_span_of_its_installation", ["installation_id", *_KEYS], "installation", ["id", *_KEYS]),
    *(sa.Index(f"one_live_{name}", name, unique=True, sqlite_where=_LIVE, postgresql_where=_LIVE) for name in _KEYS),
    *(sa.Index(f"seek_{name}", name, "installed_at", "seq") for name in _KEYS),
    sa.Index("ix_installation_span_opened_by", "opened_by"),
    sa.Index("ix_installation_span_closed_by", "closed_by"),
    changes="closes",
    stay=Stay("installed_at", "removed_at", apart=("bay_id", "sensor_id", "electronics_id")),
)

#: `as_recorded` is false when other halves came out than the record had in the bay: then nobody knows where those are.
removal = folded(
    "removal",
    to("installation"),
    column("act_id", Id),
    to("person", "done_by_id"),
    column("reason", sa.Text),
    column("condition", sa.Text),
    column("seat_follows", Flag),
    column("as_recorded", Flag),
    column("words", sa.Text),
    one_of("reason", *REMOVAL_REASONS),
    one_of("condition", *CONDITIONS),
    sa.Index("ix_removal_installation_id", "installation_id"),
    sa.Index("ix_removal_act_id", "act_id"),
)

amendment = folded(
    "amendment",
    column("amended_act_id", Id),
    column("instant", sa.Text),
    *instant("was"),
    *instant("now"),
    column("why", sa.Text),
    one_of("instant", "installed", "removed", "moved"),
    sa.Index("ix_amendment_amended_act_id", "amended_act_id"),
)

guard(
    "installation_span_within_its_pairing", "installation_span", "INSERT",
    "NOT EXISTS (SELECT 1 FROM pairing p WHERE p.id = NEW.pairing_id AND p.voided_seq IS NULL"
    " AND p.paired_at <= NEW.installed_at"
    " AND (p.ended_at IS NULL OR (NEW.removed_at IS NOT NULL AND NEW.removed_at <= p.ended_at)))",
    "The pairing did not hold for all of that time.", "pair_ended",
)  # fmt: skip
