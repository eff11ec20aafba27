"""Unit types, halves, the names that printed labels give them, and what changes about a half with time."""

import sqlalchemy as sa

from registry.domain.units import GRADES, KINDS, QUANTITIES, STATISTICS
from registry.models.base import column, folded, instant, key, maybe, once, one_of, says, to
from registry.models.columns import Figure, Id

unit_type = folded(
    "unit_type",
    column("maker", sa.Text),
    column("name", sa.Text),
    column("sensor_part", sa.Text),
    column("electronics_part", sa.Text),
    maybe("supply_least_v", Figure),
    maybe("supply_most_v", Figure),
    maybe("serial_ports", sa.Integer),
    maybe("network_ports", sa.Integer),
    column("export_classification", sa.Text),
    once("unit_type_name_once", "maker", "name", sentence="That maker’s type is already in the registry."),
)

class_limit = folded(
    "class_limit",
    to("unit_type"),
    column("quantity", sa.Text),
    column("value", Figure),
    column("unit", sa.Text),
    column("statistic", sa.Text),
    column("conditions", sa.Text),
    one_of("quantity", *QUANTITIES),
    one_of("statistic", *STATISTICS),
    sa.Index("ix_class_limit_unit_type_id", "unit_type_id"),
)

accepted_statement = folded(
    "accepted_statement",
    to("unit_type"),
    column("grade", sa.Text),
    one_of("grade", *GRADES),
    once(
        "accepted_statement_once",
        "unit_type_id",
        "grade",
        sentence="That grade is already accepted.",
        code="already_so",
    ),
)

half = folded(
    "half",
    column("code", sa.Text),
    column("kind", sa.Text),
    to("unit_type"),
    column("revision", sa.Text),
    one_of("kind", *KINDS),
    once("half_code_once", "code", sentence="Another half bears that code."),
    # The kind and the type stand inside the key, so that a pairing cannot name two halves of a kind or of two types.
    key("half_by_kind_and_type", "id", "kind", "unit_type_id"),
)

#: What a printed label calls a half: the key is the tuple, never the joined text, which two tuples may share. The
#: printed columns are what people read and search: some schemes have no serial of their own inside the key.
identity = folded(
    "identity",
    to("half"),
    column("scheme", sa.Text),
    column("issuer", sa.Text),
    column("part", sa.Text),
    column("serial", sa.Text),
    column("joined", sa.Text),
    column("printed_part", sa.Text),
    column("printed_serial", sa.Text),
    column("folded_serial", sa.Text),
    column("read_from", sa.Text),
    one_of("read_from", "label", "typed"),
    once(
        "identity_names_one_half",
        "scheme",
        "issuer",
        "part",
        "serial",
        sentence="Another half bears that maker, part and serial.",
    ),
    sa.Index("ix_identity_half_id", "half_id"),
    sa.Index("ix_identity_printed_serial", "printed_serial"),
    sa.Index("ix_identity_joined", "joined"),
    sa.Index("ix_identity_folded_serial", "folded_serial"),
)

#: From `since_at` on the half lies there, until a later row or an installation says otherwise.
half_place = folded(
    "half_place",
    to("half"),
    to("site"),
    column("spot", sa.Text),
    *instant("since"),
    column("by_act", Id),
    sa.Index("ix_half_place_half_id", "half_id", "since_at", "seq"),
    sa.Index("ix_half_place_site_id", "site_id"),
    sa.Index("ix_half_place_by_act", "by_act"),
    changes="voids",
)

firmware = folded(
    "firmware",
    to("half"),
    column("version", sa.Text),
    *instant("since"),
    sa.Index("ix_firmware_half_id", "half_id", "since_at"),
    changes="voids",
)

fault = folded(
    "fault",
    to("half"),
    *instant("noted"),
    column("words", sa.Text),
    sa.Index("ix_fault_half_id", "half_id", "noted_at"),
)

retirement = folded(
    "retirement",
    to("half", nullable=True),
    to("vehicle", nullable=True),
    *instant("retired"),
    column("why", sa.Text),
    says("retirement_of_one_thing", "(half_id IS NULL) <> (vehicle_id IS NULL)", "One thing is retired at a time."),
    once("retirement_of_a_half_once", "half_id", sentence="That half is already retired.", code="already_so"),
    once("retirement_of_a_vehicle_once", "vehicle_id", sentence="That vehicle is already retired.", code="already_so"),
)
