"""Settings sheets with loads and read-backs, closing sheets, and what unit types demand: ports, firmware.

Revision 0011.

Imports nothing from the package; names every constraint; goes both ways; is never edited once released. Guards are
made by env.py, after the last revision.
"""

import sqlalchemy as sa
from alembic import op
from column_kinds_1 import figure, flag, forms, ident, instant

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "firmware_list",
        sa.Column("id", ident(), nullable=False),
        sa.Column("unit_type_id", ident(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("since_at", instant(), nullable=False),
        sa.Column("since_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_firmware_list"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_firmware_list_seq"),
        sa.ForeignKeyConstraint(["unit_type_id"], ["unit_type.id"], name="fk_firmware_list_unit_type_id"),
        *forms("firmware_list", instants=["since_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "type_ports",
        sa.Column("id", ident(), nullable=False),
        sa.Column("unit_type_id", ident(), nullable=False),
        sa.Column("serial_ports", sa.Integer(), nullable=False),
        sa.Column("network_ports", sa.Integer(), nullable=False),
        sa.Column("sheet_demanded", flag(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("since_at", instant(), nullable=False),
        sa.Column("since_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_type_ports"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_type_ports_seq"),
        sa.ForeignKeyConstraint(["unit_type_id"], ["unit_type.id"], name="fk_type_ports_unit_type_id"),
        sa.CheckConstraint("serial_ports >= 0 AND network_ports >= 0", name=op.f("type_ports_counted")),
        *forms("type_ports", instants=["since_at"], flags=["sheet_demanded"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "firmware_permitted",
        sa.Column("id", ident(), nullable=False),
        sa.Column("firmware_list_id", ident(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("version", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_firmware_permitted"),
        sa.ForeignKeyConstraint(
            ["firmware_list_id"], ["firmware_list.id"], name="fk_firmware_permitted_firmware_list_id"
        ),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_firmware_permitted_seq"),
        sa.UniqueConstraint("firmware_list_id", "kind", "version", name="firmware_permitted_once"),
        sa.CheckConstraint("kind IN ('sensor', 'electronics')", name=op.f("firmware_permitted_kind_known")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "closing_sheet",
        sa.Column("id", ident(), nullable=False),
        sa.Column("housing_closing_id", ident(), nullable=False),
        sa.Column("seals", sa.Text(), nullable=False),
        sa.Column("seal_batch", sa.Text(), nullable=True),
        sa.Column("faces", sa.Text(), nullable=False),
        sa.Column("torque_nm", figure(), nullable=True),
        sa.Column("data_cable", sa.Text(), nullable=False),
        sa.Column("power_cable", sa.Text(), nullable=False),
        sa.Column("desiccant", sa.Text(), nullable=False),
        sa.Column("dew_point_c", figure(), nullable=True),
        sa.Column("coldest_water_c", figure(), nullable=True),
        sa.Column("tools_out", sa.Integer(), nullable=True),
        sa.Column("tools_in", sa.Integer(), nullable=True),
        sa.Column("second_id", ident(), nullable=True),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("told", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("filled_in_at", instant(), nullable=False),
        sa.Column("filled_in_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_closing_sheet"),
        sa.ForeignKeyConstraint(
            ["housing_closing_id"], ["housing_closing.id"], name="fk_closing_sheet_housing_closing_id"
        ),
        sa.ForeignKeyConstraint(["second_id"], ["person.id"], name="fk_closing_sheet_second_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_closing_sheet_seq"),
        sa.CheckConstraint("tools_out >= 0 AND tools_in >= 0", name=op.f("closing_sheet_counts_tools")),
        sa.CheckConstraint("data_cable IN ('latched', 'loose', 'none')", name=op.f("closing_sheet_data_cable_known")),
        sa.CheckConstraint(
            "desiccant IN ('new', 'regenerated', 'old', 'none')", name=op.f("closing_sheet_desiccant_known")
        ),
        sa.CheckConstraint("faces IN ('clean', 'marked', 'not_looked')", name=op.f("closing_sheet_faces_known")),
        sa.CheckConstraint("power_cable IN ('latched', 'loose', 'none')", name=op.f("closing_sheet_power_cable_known")),
        sa.CheckConstraint("seals IN ('new', 'kept', 'damaged')", name=op.f("closing_sheet_seals_known")),
        sa.CheckConstraint(
            "verdict IN ('complete', 'incomplete', 'contradicts')", name=op.f("closing_sheet_verdict_known")
        ),
        *forms("closing_sheet", instants=["filled_in_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "settings_sheet",
        sa.Column("id", ident(), nullable=False),
        sa.Column("bay_id", ident(), nullable=False),
        sa.Column("unit_type_id", ident(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("led_by", sa.Text(), nullable=False),
        sa.Column("time_scale", sa.Text(), nullable=False),
        sa.Column("checksum", sa.Text(), nullable=False),
        sa.Column("answer", sa.Text(), nullable=True),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("since_at", instant(), nullable=False),
        sa.Column("since_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_settings_sheet"),
        sa.ForeignKeyConstraint(["bay_id"], ["bay.id"], name="fk_settings_sheet_bay_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_settings_sheet_seq"),
        sa.ForeignKeyConstraint(["unit_type_id"], ["unit_type.id"], name="fk_settings_sheet_unit_type_id"),
        sa.UniqueConstraint("bay_id", "version", name="settings_sheet_version_once"),
        sa.CheckConstraint("version >= 1", name=op.f("settings_sheet_counts")),
        sa.CheckConstraint("led_by IN ('unit', 'host')", name=op.f("settings_sheet_led_by_known")),
        sa.CheckConstraint(
            "length(checksum) = 64 AND ltrim(checksum, '0123456789abcdef') = ''",
            name=op.f("settings_sheet_named_by_its_checksum"),
        ),
        sa.CheckConstraint("time_scale IN ('utc', 'gps', 'tai', 'own')", name=op.f("settings_sheet_time_scale_known")),
        *forms("settings_sheet", instants=["since_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "settings_file",
        sa.Column("id", ident(), nullable=False),
        sa.Column("installation_id", ident(), nullable=False),
        sa.Column("outcome", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("saved_at", instant(), nullable=False),
        sa.Column("saved_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_settings_file"),
        sa.ForeignKeyConstraint(["installation_id"], ["installation.id"], name="fk_settings_file_installation_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_settings_file_seq"),
        sa.CheckConstraint("outcome IN ('saved', 'dead')", name=op.f("settings_file_outcome_known")),
        *forms("settings_file", instants=["saved_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "settings_load",
        sa.Column("id", ident(), nullable=False),
        sa.Column("settings_sheet_id", ident(), nullable=False),
        sa.Column("installation_id", ident(), nullable=False),
        sa.Column("half_id", ident(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("loaded_at", instant(), nullable=False),
        sa.Column("loaded_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_settings_load"),
        sa.ForeignKeyConstraint(["half_id"], ["half.id"], name="fk_settings_load_half_id"),
        sa.ForeignKeyConstraint(["installation_id"], ["installation.id"], name="fk_settings_load_installation_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_settings_load_seq"),
        sa.ForeignKeyConstraint(
            ["settings_sheet_id"], ["settings_sheet.id"], name="fk_settings_load_settings_sheet_id"
        ),
        *forms("settings_load", instants=["loaded_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "settings_readback",
        sa.Column("id", ident(), nullable=False),
        sa.Column("installation_id", ident(), nullable=False),
        sa.Column("settings_sheet_id", ident(), nullable=True),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("told", sa.Text(), nullable=False),
        sa.Column("next", sa.Text(), nullable=False),
        sa.Column("serials", sa.Text(), nullable=False),
        sa.Column("sensor_serial", sa.Text(), nullable=True),
        sa.Column("electronics_serial", sa.Text(), nullable=True),
        sa.Column("calibration", sa.Text(), nullable=True),
        sa.Column("firmware", sa.Text(), nullable=True),
        sa.Column("start_lat_deg", figure(), nullable=True),
        sa.Column("start_lon_deg", figure(), nullable=True),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("read_at", instant(), nullable=False),
        sa.Column("read_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_settings_readback"),
        sa.ForeignKeyConstraint(["installation_id"], ["installation.id"], name="fk_settings_readback_installation_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_settings_readback_seq"),
        sa.ForeignKeyConstraint(
            ["settings_sheet_id"], ["settings_sheet.id"], name="fk_settings_readback_settings_sheet_id"
        ),
        sa.CheckConstraint(
            "verdict IN ('agrees', 'cannot_tell', 'other_version', 'other_bay', 'no_sheet')",
            name=op.f("settings_readback_verdict_known"),
        ),
        *forms("settings_readback", instants=["read_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "settings_value",
        sa.Column("id", ident(), nullable=False),
        sa.Column("settings_sheet_id", ident(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("part", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_settings_value"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_settings_value_seq"),
        sa.ForeignKeyConstraint(
            ["settings_sheet_id"], ["settings_sheet.id"], name="fk_settings_value_settings_sheet_id"
        ),
        sa.UniqueConstraint("settings_sheet_id", "number", name="settings_value_once"),
        sa.CheckConstraint(
            "part IN ('run', 'mounting', 'lever_arm', 'port', 'aiding', 'feeds', 'own')",
            name=op.f("settings_value_part_known"),
        ),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "readback_value",
        sa.Column("id", ident(), nullable=False),
        sa.Column("settings_readback_id", ident(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("wanted", sa.Text(), nullable=True),
        sa.Column("agrees", flag(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_readback_value"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_readback_value_seq"),
        sa.ForeignKeyConstraint(
            ["settings_readback_id"], ["settings_readback.id"], name="fk_readback_value_settings_readback_id"
        ),
        sa.UniqueConstraint("settings_readback_id", "number", name="readback_value_once"),
        *forms("readback_value", flags=["agrees"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index("ix_firmware_list_unit_type_id", "firmware_list", ["unit_type_id", "since_at", "seq"])
    op.create_index("ix_type_ports_unit_type_id", "type_ports", ["unit_type_id", "since_at", "seq"])
    op.create_index(
        "ix_closing_sheet_housing_closing_id", "closing_sheet", ["housing_closing_id", "filled_in_at", "seq"]
    )
    op.create_index("ix_settings_sheet_bay_id", "settings_sheet", ["bay_id", "since_at", "seq"])
    op.create_index("ix_settings_file_installation_id", "settings_file", ["installation_id", "saved_at", "seq"])
    op.create_index("ix_settings_load_half_id", "settings_load", ["half_id", "loaded_at", "seq"])
    op.create_index("ix_settings_load_installation_id", "settings_load", ["installation_id", "loaded_at", "seq"])
    op.create_index("ix_settings_readback_installation_id", "settings_readback", ["installation_id", "read_at", "seq"])


def downgrade() -> None:
    op.drop_table("readback_value")
    op.drop_table("settings_value")
    op.drop_table("settings_readback")
    op.drop_table("settings_load")
    op.drop_table("settings_file")
    op.drop_table("settings_sheet")
    op.drop_table("closing_sheet")
    op.drop_table("firmware_permitted")
    op.drop_table("type_ports")
    op.drop_table("firmware_list")
