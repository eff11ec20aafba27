"""What a unit type demands of settings, by date: its ports, whether a sheet is needed, and the firmware that is permitted."""

import sqlalchemy as sa

from registry.domain.units import KINDS
from registry.models.base import column, folded, instant, once, one_of, says, to
from registry.models.columns import Flag

type_ports = folded(
    "type_ports",
    to("unit_type"),
    column("serial_ports", sa.Integer),
    column("network_ports", sa.Integer),
    column("sheet_demanded", Flag),
    column("source", sa.Text),
    *instant("since"),
    says("type_ports_counted", "serial_ports >= 0 AND network_ports >= 0", "A type has no ports or some."),
    sa.Index("ix_type_ports_unit_type_id", "unit_type_id", "since_at", "seq"),
)

#: The newest list of a type is in force; `firmware_permitted` are its lines.
firmware_list = folded(
    "firmware_list",
    to("unit_type"),
    column("reason", sa.Text),
    *instant("since"),
    sa.Index("ix_firmware_list_unit_type_id", "unit_type_id", "since_at", "seq"),
)

firmware_permitted = folded(
    "firmware_permitted",
    to("firmware_list"),
    column("kind", sa.Text),
    column("version", sa.Text),
    one_of("kind", *KINDS),
    once("firmware_permitted_once", "firmware_list_id", "kind", "version", sentence="The list names that already."),
)
