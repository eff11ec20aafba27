"""Pairings: which sensor half and which electronics half left the maker as one, on what statement, from when to when."""

import sqlalchemy as sa

from registry.domain.units import GRADES
from registry.models.base import (
    Stay,
    closing,
    column,
    folded,
    guard,
    instant,
    key,
    maybe,
    once,
    one_of,
    refers,
    says,
    to,
)
from registry.models.columns import Day, Id

pairing = folded(
    "pairing",
    column("name", sa.Text),
    column("sensor_id", Id),
    column("sensor_kind", sa.Text),
    column("electronics_id", Id),
    column("electronics_kind", sa.Text),
    to("unit_type"),
    column("grade", sa.Text),
    column("statement", sa.Text),
    column("stated_on", Day),
    *instant("paired"),
    *instant("ended", nullable=True, closing=True),
    closing(maybe("end_reason", sa.Text)),
    one_of("grade", *GRADES),
    refers("pairing_of_a_sensor_half", ["sensor_id", "sensor_kind", "unit_type_id"], "half", ["id", "kind", "unit_type_id"]),
    refers("pairing_of_an_electronics_half", ["electronics_id", "electronics_kind", "unit_type_id"], "half", ["id", "kind", "unit_type_id"]),
    says(
        "pairing_of_one_half_of_each_kind", "sensor_kind = 'sensor' AND electronics_kind = 'electronics'",
        "A pair is one sensor half and one electronics half.", "same_kind",
    ),
    once("pairing_name_once", "name", sentence="Another pair has that name."),
    # `sensor_id` and `electronics_id` stand inside the key: an installation can name only the two halves of one pairing.
    key("pairing_by_its_halves", "id", "sensor_id", "electronics_id"),
    sa.Index("ix_pairing_sensor_id", "sensor_id", "paired_at"),
    sa.Index("ix_pairing_electronics_id", "electronics_id", "paired_at"),
    changes="closes",
    stay=Stay("paired_at", "ended_at", apart=("sensor_id", "electronics_id")),
)  # fmt: skip

guard(
    "pairing_ends_after_its_stays", "pairing", "UPDATE",
    "NEW.ended_at IS NOT NULL AND EXISTS (SELECT 1 FROM installation_span s WHERE s.pairing_id = NEW.id"
    " AND s.voided_seq IS NULL AND (s.removed_at IS NULL OR s.removed_at > NEW.ended_at))",
    "A pairing cannot end while the pair sits in a bay.", "pair_installed",
)  # fmt: skip
guard(
    "pairing_voided_only_unused", "pairing", "UPDATE",
    "NEW.voided_seq IS NOT NULL AND EXISTS (SELECT 1 FROM installation_span s WHERE s.pairing_id = NEW.id"
    " AND s.voided_seq IS NULL)",
    "A pairing that an installation rests on cannot be voided.", "pair_installed",
)  # fmt: skip
