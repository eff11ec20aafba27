"""The spine: people, sites, units, pairings, the fleet, ESD sign-offs, installs, holds, sightings, openings and the log.

Revision 0001, the first.

Imports nothing from the package; names every constraint; goes both ways; is never edited once released. Guards are
made by env.py, after the last revision.
"""

import sqlalchemy as sa
from alembic import op
from column_kinds_1 import day, figure, flag, forms, ident, instant

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

LIVE = sa.text("removed_at IS NULL AND voided_seq IS NULL")


def upgrade() -> None:
    if op.get_bind().dialect.name == "postgresql":
        # Exclusion constraints on ranges need it; it is a trusted extension, so the database's owner may create it.
        op.execute("CREATE EXTENSION IF NOT EXISTS btree_gist")
    op.create_table(
        "attempt",
        sa.Column("key_sha", sa.LargeBinary(), nullable=False),
        sa.Column("failures", sa.Integer(), nullable=False),
        sa.Column("wait_until", instant(), nullable=True),
        sa.PrimaryKeyConstraint("key_sha", name="pk_attempt"),
        *forms("attempt", instants=["wait_until?"]),
        sqlite_strict=True,
    )
    op.create_table(
        "log_checkpoint",
        sa.Column("size", sa.Integer(), nullable=False, autoincrement=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("size", name="pk_log_checkpoint"),
        sqlite_strict=True,
    )
    op.create_table(
        "log_entry",
        sa.Column("seq", sa.Integer(), nullable=False, autoincrement=False),
        sa.Column("act_id", ident(), nullable=False),
        sa.Column("act", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("by_id", ident(), nullable=False),
        sa.Column("done_by_id", ident(), nullable=False),
        sa.Column("second_id", ident(), nullable=True),
        sa.Column("via", sa.Text(), nullable=False),
        sa.Column("happened_at", instant(), nullable=False),
        sa.Column("happened_offset_min", sa.Integer(), nullable=False),
        sa.Column("recorded_at", instant(), nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("origin_seq", sa.Integer(), nullable=False),
        sa.Column("sent_sha", sa.LargeBinary(), nullable=False),
        sa.Column("entry", sa.LargeBinary(), nullable=False),
        sa.Column("leaf", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("seq", name="pk_log_entry"),
        sa.UniqueConstraint("act_id", name="log_entry_act_once"),
        *forms("log_entry", instants=["happened_at", "recorded_at"]),
        sqlite_strict=True,
    )
    op.create_table(
        "log_node",
        sa.Column("level", sa.Integer(), nullable=False, autoincrement=False),
        sa.Column("ix", sa.Integer(), nullable=False, autoincrement=False),
        sa.Column("hash", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("level", "ix", name="pk_log_node"),
        sqlite_strict=True,
    )
    op.create_table(
        "log_rest",
        sa.Column("writing", sa.Integer(), nullable=False, autoincrement=False),
        sa.PrimaryKeyConstraint("writing", name="pk_log_rest"),
        sa.CheckConstraint("writing = 0", name=op.f("log_rest_is_no_writing")),
        sqlite_strict=True,
    )
    op.create_table(
        "security_event",
        sa.Column("id", ident(), nullable=False),
        sa.Column("at", instant(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("person_id", ident(), nullable=True),
        sa.Column("detail", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_security_event"),
        *forms("security_event", instants=["at"]),
        sqlite_strict=True,
    )
    op.create_table(
        "amendment",
        sa.Column("id", ident(), nullable=False),
        sa.Column("amended_act_id", ident(), nullable=False),
        sa.Column("instant", sa.Text(), nullable=False),
        sa.Column("was_at", instant(), nullable=False),
        sa.Column("was_offset_min", sa.Integer(), nullable=False),
        sa.Column("now_at", instant(), nullable=False),
        sa.Column("now_offset_min", sa.Integer(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_amendment"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_amendment_seq"),
        sa.CheckConstraint("instant IN ('installed', 'removed', 'moved')", name=op.f("amendment_instant_known")),
        *forms("amendment", instants=["was_at", "now_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "log_head",
        sa.Column("one", sa.Integer(), nullable=False, autoincrement=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("recorded_at", instant(), nullable=False),
        sa.Column("writing", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("one", name="pk_log_head"),
        sa.ForeignKeyConstraint(
            ["writing"], ["log_rest.writing"], name="log_head_rests", deferrable=True, initially="DEFERRED"
        ),
        sa.CheckConstraint("one = 1", name=op.f("log_head_is_one_row")),
        sa.CheckConstraint("writing IN (0, 1)", name=op.f("log_head_writing_is_yes_or_no")),
        *forms("log_head", instants=["recorded_at"]),
        sqlite_strict=True,
    )
    op.create_table(
        "outfit",
        sa.Column("id", ident(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("label_host", sa.Text(), nullable=False),
        sa.Column("invented", flag(), nullable=False),
        sa.Column("anchor_on", day(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_outfit"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_outfit_seq"),
        *forms("outfit", days=["anchor_on?"], flags=["invented"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "person",
        sa.Column("id", ident(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_person"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_person_seq"),
        sa.UniqueConstraint("code", name="person_code_once"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "site",
        sa.Column("id", ident(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_site"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_site_seq"),
        sa.UniqueConstraint("code", name="site_code_once"),
        sa.UniqueConstraint("name", name="site_name_once"),
        sa.CheckConstraint("kind IN ('shore', 'vessel')", name=op.f("site_kind_known")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "unit_type",
        sa.Column("id", ident(), nullable=False),
        sa.Column("maker", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("sensor_part", sa.Text(), nullable=False),
        sa.Column("electronics_part", sa.Text(), nullable=False),
        sa.Column("supply_least_v", figure(), nullable=True),
        sa.Column("supply_most_v", figure(), nullable=True),
        sa.Column("serial_ports", sa.Integer(), nullable=True),
        sa.Column("network_ports", sa.Integer(), nullable=True),
        sa.Column("export_classification", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_unit_type"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_unit_type_seq"),
        sa.UniqueConstraint("maker", "name", name="unit_type_name_once"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "vehicle",
        sa.Column("id", ident(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("hull_number", sa.Text(), nullable=False),
        sa.Column("hull", sa.Text(), nullable=False),
        sa.Column("length_m", figure(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_vehicle"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_vehicle_seq"),
        sa.UniqueConstraint("code", name="vehicle_code_once"),
        sa.UniqueConstraint("name", name="vehicle_name_once"),
        sa.CheckConstraint("hull IN ('torpedo', 'open_frame', 'surface')", name=op.f("vehicle_hull_known")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "accepted_statement",
        sa.Column("id", ident(), nullable=False),
        sa.Column("unit_type_id", ident(), nullable=False),
        sa.Column("grade", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_accepted_statement"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_accepted_statement_seq"),
        sa.ForeignKeyConstraint(["unit_type_id"], ["unit_type.id"], name="fk_accepted_statement_unit_type_id"),
        sa.UniqueConstraint("unit_type_id", "grade", name="accepted_statement_once"),
        sa.CheckConstraint(
            "grade IN ('calibration_sheet', 'acceptance_report', 'letter')", name=op.f("accepted_statement_grade_known")
        ),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "class_limit",
        sa.Column("id", ident(), nullable=False),
        sa.Column("unit_type_id", ident(), nullable=False),
        sa.Column("quantity", sa.Text(), nullable=False),
        sa.Column("value", figure(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("statistic", sa.Text(), nullable=False),
        sa.Column("conditions", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_class_limit"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_class_limit_seq"),
        sa.ForeignKeyConstraint(["unit_type_id"], ["unit_type.id"], name="fk_class_limit_unit_type_id"),
        sa.CheckConstraint(
            "quantity IN ('heading_secant_latitude', 'roll_pitch', 'distance_with_dvl', 'free_inertial_drift', 'gyro_bias', 'angle_random_walk')",
            name=op.f("class_limit_quantity_known"),
        ),
        sa.CheckConstraint(
            "statistic IN ('rms', '1_sigma', 'cep_50', '95_percent')", name=op.f("class_limit_statistic_known")
        ),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "credential",
        sa.Column("person_id", ident(), nullable=False),
        sa.Column("password_hash", sa.Text(), nullable=True),
        sa.Column("pin_hash", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("person_id", name="pk_credential"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_credential_person_id"),
        sqlite_strict=True,
    )
    op.create_table(
        "departure",
        sa.Column("id", ident(), nullable=False),
        sa.Column("person_id", ident(), nullable=False),
        sa.Column("left_at", instant(), nullable=False),
        sa.Column("left_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_departure"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_departure_person_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_departure_seq"),
        sa.UniqueConstraint("person_id", name="departure_once"),
        *forms("departure", instants=["left_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "half",
        sa.Column("id", ident(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("unit_type_id", ident(), nullable=False),
        sa.Column("revision", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_half"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_half_seq"),
        sa.ForeignKeyConstraint(["unit_type_id"], ["unit_type.id"], name="fk_half_unit_type_id"),
        sa.UniqueConstraint("id", "kind", "unit_type_id", name="half_by_kind_and_type"),
        sa.UniqueConstraint("code", name="half_code_once"),
        sa.CheckConstraint("kind IN ('sensor', 'electronics')", name=op.f("half_kind_known")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "housing",
        sa.Column("id", ident(), nullable=False),
        sa.Column("vehicle_id", ident(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("closing_method", sa.Text(), nullable=False),
        sa.Column("free_volume_l", figure(), nullable=True),
        sa.Column("vacuum_limit_mbar", figure(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_housing"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_housing_seq"),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name="fk_housing_vehicle_id"),
        sa.UniqueConstraint("id", "vehicle_id", name="housing_by_vehicle"),
        sa.UniqueConstraint("vehicle_id", "name", name="housing_name_once"),
        sa.CheckConstraint(
            "closing_method IN ('vacuum', 'gasket', 'oil_filled', 'none')", name=op.f("housing_closing_method_known")
        ),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "person_private",
        sa.Column("person_id", ident(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("badge", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("person_id", name="pk_person_private"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_person_private_person_id"),
        sa.UniqueConstraint("badge", name="person_badge_once"),
        sa.UniqueConstraint("name", name="person_name_once"),
        sqlite_strict=True,
    )
    op.create_table(
        "person_role",
        sa.Column("id", ident(), nullable=False),
        sa.Column("person_id", ident(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("given_at", instant(), nullable=False),
        sa.Column("given_offset_min", sa.Integer(), nullable=False),
        sa.Column("ended_at", instant(), nullable=True),
        sa.Column("ended_offset_min", sa.Integer(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_person_role"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_person_role_closed_seq"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_person_role_person_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_person_role_seq"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_person_role_voided_seq"),
        sa.CheckConstraint(
            "(ended_at IS NULL) = (closed_seq IS NULL) AND (ended_offset_min IS NULL) = (closed_seq IS NULL)",
            name=op.f("person_role_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("person_role_closed_by_a_later_entry")),
        sa.CheckConstraint("ended_at > given_at", name=op.f("person_role_ends_after_it_begins")),
        sa.CheckConstraint(
            "role IN ('technician', 'workshop_lead', 'verifier', 'release_authority', 'fleet_manager', 'auditor', 'keeper')",
            name=op.f("person_role_role_known"),
        ),
        *forms("person_role", instants=["given_at", "ended_at?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "station",
        sa.Column("id", ident(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("site_id", ident(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_station"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_station_seq"),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name="fk_station_site_id"),
        sa.UniqueConstraint("code", name="station_code_once"),
        sa.UniqueConstraint("site_id", "name", name="station_name_once"),
        sa.CheckConstraint("kind IN ('protected_area', 'field_kit')", name=op.f("station_kind_known")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "token",
        sa.Column("id", ident(), nullable=False),
        sa.Column("person_id", ident(), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("key_sha", sa.LargeBinary(), nullable=False),
        sa.Column("made_at", instant(), nullable=False),
        sa.Column("ended_at", instant(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_token"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_token_person_id"),
        sa.UniqueConstraint("key_sha", name="token_key_once"),
        *forms("token", instants=["made_at", "ended_at?"]),
        sqlite_strict=True,
    )
    op.create_table(
        "training",
        sa.Column("id", ident(), nullable=False),
        sa.Column("person_id", ident(), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("trained_on", day(), nullable=False),
        sa.Column("good_to_on", day(), nullable=False),
        sa.Column("given_by", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_training"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_training_person_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_training_seq"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_training_voided_seq"),
        sa.CheckConstraint(
            "subject IN ('esd', 'pressure_housings', 'lifting', 'lithium', 'fibre')",
            name=op.f("training_subject_known"),
        ),
        *forms("training", days=["trained_on", "good_to_on"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "vehicle_place",
        sa.Column("id", ident(), nullable=False),
        sa.Column("vehicle_id", ident(), nullable=False),
        sa.Column("site_id", ident(), nullable=False),
        sa.Column("since_at", instant(), nullable=False),
        sa.Column("since_offset_min", sa.Integer(), nullable=False),
        sa.Column("by_act", ident(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_vehicle_place"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_vehicle_place_seq"),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name="fk_vehicle_place_site_id"),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name="fk_vehicle_place_vehicle_id"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_vehicle_place_voided_seq"),
        *forms("vehicle_place", instants=["since_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "web_session",
        sa.Column("key_sha", sa.LargeBinary(), nullable=False),
        sa.Column("person_id", ident(), nullable=False),
        sa.Column("started_at", instant(), nullable=False),
        sa.Column("seen_at", instant(), nullable=False),
        sa.Column("ended_at", instant(), nullable=True),
        sa.PrimaryKeyConstraint("key_sha", name="pk_web_session"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_web_session_person_id"),
        *forms("web_session", instants=["started_at", "seen_at", "ended_at?"]),
        sqlite_strict=True,
    )
    op.create_table(
        "bay",
        sa.Column("id", ident(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("vehicle_id", ident(), nullable=False),
        sa.Column("housing_id", ident(), nullable=False),
        sa.Column("letter", sa.Text(), nullable=False),
        sa.Column("from_bow_m", figure(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_bay"),
        sa.ForeignKeyConstraint(
            ["housing_id", "vehicle_id"], ["housing.id", "housing.vehicle_id"], name="bay_in_a_housing_of_its_vehicle"
        ),
        sa.ForeignKeyConstraint(["housing_id"], ["housing.id"], name="fk_bay_housing_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_bay_seq"),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name="fk_bay_vehicle_id"),
        sa.UniqueConstraint("code", name="bay_code_once"),
        sa.UniqueConstraint("vehicle_id", "letter", name="bay_letter_once"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "meter",
        sa.Column("id", ident(), nullable=False),
        sa.Column("site_id", ident(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("reads", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("added_at", instant(), nullable=False),
        sa.Column("added_offset_min", sa.Integer(), nullable=False),
        sa.Column("ended_at", instant(), nullable=True),
        sa.Column("ended_offset_min", sa.Integer(), nullable=True),
        sa.Column("end_reason", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_meter"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_meter_closed_seq"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_meter_seq"),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name="fk_meter_site_id"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_meter_voided_seq"),
        sa.UniqueConstraint("name", name="meter_name_once"),
        sa.CheckConstraint(
            "(ended_at IS NULL) = (closed_seq IS NULL) AND (ended_offset_min IS NULL) = (closed_seq IS NULL) AND (end_reason IS NULL) = (closed_seq IS NULL)",
            name=op.f("meter_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("meter_closed_by_a_later_entry")),
        sa.CheckConstraint("ended_at > added_at", name=op.f("meter_ends_after_it_begins")),
        sa.CheckConstraint(
            "reads IN ('strap', 'resistance', 'field', 'charged_plate')", name=op.f("meter_reads_known")
        ),
        *forms("meter", instants=["added_at", "ended_at?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "meter_calibration",
        sa.Column("id", ident(), nullable=False),
        sa.Column("meter_id", ident(), nullable=False),
        sa.Column("calibrated_on", day(), nullable=False),
        sa.Column("due_on", day(), nullable=False),
        sa.Column("as_found", sa.Text(), nullable=False),
        sa.Column("certificate", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_meter_calibration"),
        sa.ForeignKeyConstraint(["meter_id"], ["meter.id"], name="fk_meter_calibration_meter_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_meter_calibration_seq"),
        sa.CheckConstraint(
            "as_found IN ('within', 'outside', 'not_stated')", name=op.f("meter_calibration_as_found_known")
        ),
        sa.CheckConstraint("due_on > calibrated_on", name=op.f("meter_due_after_calibration")),
        *forms("meter_calibration", days=["calibrated_on", "due_on"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "plan_figure",
        sa.Column("id", ident(), nullable=False),
        sa.Column("site_id", ident(), nullable=True),
        sa.Column("figure", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("since_at", instant(), nullable=False),
        sa.Column("since_offset_min", sa.Integer(), nullable=False),
        sa.Column("ended_at", instant(), nullable=True),
        sa.Column("ended_offset_min", sa.Integer(), nullable=True),
        sa.Column("end_reason", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_plan_figure"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_plan_figure_closed_seq"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_plan_figure_seq"),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name="fk_plan_figure_site_id"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_plan_figure_voided_seq"),
        sa.CheckConstraint(
            "(ended_at IS NULL) = (closed_seq IS NULL) AND (ended_offset_min IS NULL) = (closed_seq IS NULL) AND (end_reason IS NULL) = (closed_seq IS NULL)",
            name=op.f("plan_figure_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("plan_figure_closed_by_a_later_entry")),
        sa.CheckConstraint("ended_at > since_at", name=op.f("plan_figure_ends_after_it_begins")),
        *forms("plan_figure", instants=["since_at", "ended_at?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "station_check",
        sa.Column("id", ident(), nullable=False),
        sa.Column("station_id", ident(), nullable=False),
        sa.Column("checked_at", instant(), nullable=False),
        sa.Column("checked_offset_min", sa.Integer(), nullable=False),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("good_to_on", day(), nullable=True),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_station_check"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_station_check_seq"),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name="fk_station_check_station_id"),
        sa.CheckConstraint("verdict IN ('pass', 'fail', 'incomplete')", name=op.f("station_check_verdict_known")),
        *forms("station_check", instants=["checked_at"], days=["good_to_on?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "station_reading",
        sa.Column("id", ident(), nullable=False),
        sa.Column("station_check_id", ident(), nullable=False),
        sa.Column("quantity", sa.Text(), nullable=False),
        sa.Column("value", figure(), nullable=True),
        sa.Column("open_circuit", flag(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("least", figure(), nullable=True),
        sa.Column("below", figure(), nullable=True),
        sa.Column("limit_source", sa.Text(), nullable=False),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("meter_id", ident(), nullable=True),
        sa.Column("meter_due_on", day(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_station_reading"),
        sa.ForeignKeyConstraint(["meter_id"], ["meter.id"], name="fk_station_reading_meter_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_station_reading_seq"),
        sa.ForeignKeyConstraint(["station_check_id"], ["station_check.id"], name="fk_station_reading_station_check_id"),
        sa.CheckConstraint(
            "verdict IN ('pass', 'fail_low', 'fail_high', 'incomplete')", name=op.f("station_reading_verdict_known")
        ),
        *forms("station_reading", days=["meter_due_on?"], flags=["open_circuit"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "esd_signoff",
        sa.Column("id", ident(), nullable=False),
        sa.Column("station_id", ident(), nullable=False),
        sa.Column("person_id", ident(), nullable=False),
        sa.Column("station_check_id", ident(), nullable=True),
        sa.Column("signed_at", instant(), nullable=False),
        sa.Column("signed_offset_min", sa.Integer(), nullable=False),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("good_to_at", instant(), nullable=False),
        sa.Column("air_c", figure(), nullable=True),
        sa.Column("humidity_pct", figure(), nullable=True),
        sa.Column("ended_at", instant(), nullable=True),
        sa.Column("ended_offset_min", sa.Integer(), nullable=True),
        sa.Column("end_reason", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_esd_signoff"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_esd_signoff_closed_seq"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_esd_signoff_person_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_esd_signoff_seq"),
        sa.ForeignKeyConstraint(["station_check_id"], ["station_check.id"], name="fk_esd_signoff_station_check_id"),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name="fk_esd_signoff_station_id"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_esd_signoff_voided_seq"),
        sa.CheckConstraint(
            "(ended_at IS NULL) = (closed_seq IS NULL) AND (ended_offset_min IS NULL) = (closed_seq IS NULL) AND (end_reason IS NULL) = (closed_seq IS NULL)",
            name=op.f("esd_signoff_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("esd_signoff_closed_by_a_later_entry")),
        sa.CheckConstraint("ended_at > signed_at", name=op.f("esd_signoff_ends_after_it_begins")),
        sa.CheckConstraint("verdict IN ('pass', 'fail', 'incomplete')", name=op.f("esd_signoff_verdict_known")),
        *forms("esd_signoff", instants=["signed_at", "good_to_at", "ended_at?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "fault",
        sa.Column("id", ident(), nullable=False),
        sa.Column("half_id", ident(), nullable=False),
        sa.Column("noted_at", instant(), nullable=False),
        sa.Column("noted_offset_min", sa.Integer(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_fault"),
        sa.ForeignKeyConstraint(["half_id"], ["half.id"], name="fk_fault_half_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_fault_seq"),
        *forms("fault", instants=["noted_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "firmware",
        sa.Column("id", ident(), nullable=False),
        sa.Column("half_id", ident(), nullable=False),
        sa.Column("version", sa.Text(), nullable=False),
        sa.Column("since_at", instant(), nullable=False),
        sa.Column("since_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_firmware"),
        sa.ForeignKeyConstraint(["half_id"], ["half.id"], name="fk_firmware_half_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_firmware_seq"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_firmware_voided_seq"),
        *forms("firmware", instants=["since_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "half_place",
        sa.Column("id", ident(), nullable=False),
        sa.Column("half_id", ident(), nullable=False),
        sa.Column("site_id", ident(), nullable=False),
        sa.Column("spot", sa.Text(), nullable=False),
        sa.Column("since_at", instant(), nullable=False),
        sa.Column("since_offset_min", sa.Integer(), nullable=False),
        sa.Column("by_act", ident(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_half_place"),
        sa.ForeignKeyConstraint(["half_id"], ["half.id"], name="fk_half_place_half_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_half_place_seq"),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name="fk_half_place_site_id"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_half_place_voided_seq"),
        *forms("half_place", instants=["since_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "housing_closing",
        sa.Column("id", ident(), nullable=False),
        sa.Column("housing_id", ident(), nullable=False),
        sa.Column("closed_at", instant(), nullable=False),
        sa.Column("closed_offset_min", sa.Integer(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_housing_closing"),
        sa.ForeignKeyConstraint(["housing_id"], ["housing.id"], name="fk_housing_closing_housing_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_housing_closing_seq"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_housing_closing_voided_seq"),
        *forms("housing_closing", instants=["closed_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "identity",
        sa.Column("id", ident(), nullable=False),
        sa.Column("half_id", ident(), nullable=False),
        sa.Column("scheme", sa.Text(), nullable=False),
        sa.Column("issuer", sa.Text(), nullable=False),
        sa.Column("part", sa.Text(), nullable=False),
        sa.Column("serial", sa.Text(), nullable=False),
        sa.Column("joined", sa.Text(), nullable=False),
        sa.Column("printed_part", sa.Text(), nullable=False),
        sa.Column("printed_serial", sa.Text(), nullable=False),
        sa.Column("folded_serial", sa.Text(), nullable=False),
        sa.Column("read_from", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_identity"),
        sa.ForeignKeyConstraint(["half_id"], ["half.id"], name="fk_identity_half_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_identity_seq"),
        sa.UniqueConstraint("scheme", "issuer", "part", "serial", name="identity_names_one_half"),
        sa.CheckConstraint("read_from IN ('label', 'typed')", name=op.f("identity_read_from_known")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "knock",
        sa.Column("id", ident(), nullable=False),
        sa.Column("vehicle_id", ident(), nullable=True),
        sa.Column("half_id", ident(), nullable=True),
        sa.Column("knocked_at", instant(), nullable=False),
        sa.Column("knocked_offset_min", sa.Integer(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_knock"),
        sa.ForeignKeyConstraint(["half_id"], ["half.id"], name="fk_knock_half_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_knock_seq"),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name="fk_knock_vehicle_id"),
        sa.CheckConstraint("(vehicle_id IS NULL) <> (half_id IS NULL)", name=op.f("knock_of_one_thing")),
        *forms("knock", instants=["knocked_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "leak_test",
        sa.Column("id", ident(), nullable=False),
        sa.Column("housing_id", ident(), nullable=False),
        sa.Column("tested_at", instant(), nullable=False),
        sa.Column("tested_offset_min", sa.Integer(), nullable=False),
        sa.Column("start_mbar", figure(), nullable=False),
        sa.Column("start_c", figure(), nullable=False),
        sa.Column("end_mbar", figure(), nullable=False),
        sa.Column("end_c", figure(), nullable=False),
        sa.Column("hold_min", figure(), nullable=False),
        sa.Column("limit_mbar", figure(), nullable=False),
        sa.Column("change_mbar", figure(), nullable=True),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("electronics_on", flag(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_leak_test"),
        sa.ForeignKeyConstraint(["housing_id"], ["housing.id"], name="fk_leak_test_housing_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_leak_test_seq"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_leak_test_voided_seq"),
        sa.CheckConstraint("verdict IN ('holds', 'does_not', 'cannot_judge')", name=op.f("leak_test_verdict_known")),
        *forms("leak_test", instants=["tested_at"], flags=["electronics_on"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "opening",
        sa.Column("id", ident(), nullable=False),
        sa.Column("housing_id", ident(), nullable=False),
        sa.Column("opened_at", instant(), nullable=False),
        sa.Column("opened_offset_min", sa.Integer(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_opening"),
        sa.ForeignKeyConstraint(["housing_id"], ["housing.id"], name="fk_opening_housing_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_opening_seq"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_opening_voided_seq"),
        *forms("opening", instants=["opened_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "pairing",
        sa.Column("id", ident(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("sensor_id", ident(), nullable=False),
        sa.Column("sensor_kind", sa.Text(), nullable=False),
        sa.Column("electronics_id", ident(), nullable=False),
        sa.Column("electronics_kind", sa.Text(), nullable=False),
        sa.Column("unit_type_id", ident(), nullable=False),
        sa.Column("grade", sa.Text(), nullable=False),
        sa.Column("statement", sa.Text(), nullable=False),
        sa.Column("stated_on", day(), nullable=False),
        sa.Column("paired_at", instant(), nullable=False),
        sa.Column("paired_offset_min", sa.Integer(), nullable=False),
        sa.Column("ended_at", instant(), nullable=True),
        sa.Column("ended_offset_min", sa.Integer(), nullable=True),
        sa.Column("end_reason", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_pairing"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_pairing_closed_seq"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_pairing_seq"),
        sa.ForeignKeyConstraint(["unit_type_id"], ["unit_type.id"], name="fk_pairing_unit_type_id"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_pairing_voided_seq"),
        sa.ForeignKeyConstraint(
            ["sensor_id", "sensor_kind", "unit_type_id"],
            ["half.id", "half.kind", "half.unit_type_id"],
            name="pairing_of_a_sensor_half",
        ),
        sa.ForeignKeyConstraint(
            ["electronics_id", "electronics_kind", "unit_type_id"],
            ["half.id", "half.kind", "half.unit_type_id"],
            name="pairing_of_an_electronics_half",
        ),
        sa.UniqueConstraint("id", "sensor_id", "electronics_id", name="pairing_by_its_halves"),
        sa.UniqueConstraint("name", name="pairing_name_once"),
        sa.CheckConstraint(
            "(ended_at IS NULL) = (closed_seq IS NULL) AND (ended_offset_min IS NULL) = (closed_seq IS NULL) AND (end_reason IS NULL) = (closed_seq IS NULL)",
            name=op.f("pairing_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("pairing_closed_by_a_later_entry")),
        sa.CheckConstraint("ended_at > paired_at", name=op.f("pairing_ends_after_it_begins")),
        sa.CheckConstraint(
            "grade IN ('calibration_sheet', 'acceptance_report', 'letter')", name=op.f("pairing_grade_known")
        ),
        sa.CheckConstraint(
            "sensor_kind = 'sensor' AND electronics_kind = 'electronics'", name=op.f("pairing_of_one_half_of_each_kind")
        ),
        *forms("pairing", instants=["paired_at", "ended_at?"], days=["stated_on"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "retirement",
        sa.Column("id", ident(), nullable=False),
        sa.Column("half_id", ident(), nullable=True),
        sa.Column("vehicle_id", ident(), nullable=True),
        sa.Column("retired_at", instant(), nullable=False),
        sa.Column("retired_offset_min", sa.Integer(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_retirement"),
        sa.ForeignKeyConstraint(["half_id"], ["half.id"], name="fk_retirement_half_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_retirement_seq"),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name="fk_retirement_vehicle_id"),
        sa.UniqueConstraint("half_id", name="retirement_of_a_half_once"),
        sa.UniqueConstraint("vehicle_id", name="retirement_of_a_vehicle_once"),
        sa.CheckConstraint("(half_id IS NULL) <> (vehicle_id IS NULL)", name=op.f("retirement_of_one_thing")),
        *forms("retirement", instants=["retired_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "bay_type",
        sa.Column("id", ident(), nullable=False),
        sa.Column("bay_id", ident(), nullable=False),
        sa.Column("unit_type_id", ident(), nullable=False),
        sa.Column("accepted_at", instant(), nullable=False),
        sa.Column("accepted_offset_min", sa.Integer(), nullable=False),
        sa.Column("ended_at", instant(), nullable=True),
        sa.Column("ended_offset_min", sa.Integer(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_bay_type"),
        sa.ForeignKeyConstraint(["bay_id"], ["bay.id"], name="fk_bay_type_bay_id"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_bay_type_closed_seq"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_bay_type_seq"),
        sa.ForeignKeyConstraint(["unit_type_id"], ["unit_type.id"], name="fk_bay_type_unit_type_id"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_bay_type_voided_seq"),
        sa.CheckConstraint(
            "(ended_at IS NULL) = (closed_seq IS NULL) AND (ended_offset_min IS NULL) = (closed_seq IS NULL)",
            name=op.f("bay_type_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("bay_type_closed_by_a_later_entry")),
        sa.CheckConstraint("ended_at > accepted_at", name=op.f("bay_type_ends_after_it_begins")),
        *forms("bay_type", instants=["accepted_at", "ended_at?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "bay_use",
        sa.Column("id", ident(), nullable=False),
        sa.Column("bay_id", ident(), nullable=False),
        sa.Column("use", sa.Text(), nullable=False),
        sa.Column("heading_tolerance_deg", figure(), nullable=True),
        sa.Column("since_at", instant(), nullable=False),
        sa.Column("since_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_bay_use"),
        sa.ForeignKeyConstraint(["bay_id"], ["bay.id"], name="fk_bay_use_bay_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_bay_use_seq"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_bay_use_voided_seq"),
        sa.CheckConstraint(
            "use IN ('transit', 'camera', 'sidescan', 'multibeam', 'other')", name=op.f("bay_use_use_known")
        ),
        *forms("bay_use", instants=["since_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "discrepancy",
        sa.Column("id", ident(), nullable=False),
        sa.Column("bay_id", ident(), nullable=True),
        sa.Column("half_id", ident(), nullable=True),
        sa.Column("noted_at", instant(), nullable=False),
        sa.Column("noted_offset_min", sa.Integer(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("settled_at", instant(), nullable=True),
        sa.Column("settled_offset_min", sa.Integer(), nullable=True),
        sa.Column("settled_by_id", ident(), nullable=True),
        sa.Column("answer", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_discrepancy"),
        sa.ForeignKeyConstraint(["bay_id"], ["bay.id"], name="fk_discrepancy_bay_id"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_discrepancy_closed_seq"),
        sa.ForeignKeyConstraint(["half_id"], ["half.id"], name="fk_discrepancy_half_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_discrepancy_seq"),
        sa.ForeignKeyConstraint(["settled_by_id"], ["person.id"], name="fk_discrepancy_settled_by_id"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_discrepancy_voided_seq"),
        sa.CheckConstraint("bay_id IS NOT NULL OR half_id IS NOT NULL", name=op.f("discrepancy_about_something")),
        sa.CheckConstraint(
            "(settled_at IS NULL) = (closed_seq IS NULL) AND (settled_offset_min IS NULL) = (closed_seq IS NULL) AND (settled_by_id IS NULL) = (closed_seq IS NULL) AND (answer IS NULL) = (closed_seq IS NULL)",
            name=op.f("discrepancy_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("discrepancy_closed_by_a_later_entry")),
        sa.CheckConstraint("settled_at > noted_at", name=op.f("discrepancy_ends_after_it_begins")),
        *forms("discrepancy", instants=["noted_at", "settled_at?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "esd_reading",
        sa.Column("id", ident(), nullable=False),
        sa.Column("esd_signoff_id", ident(), nullable=False),
        sa.Column("quantity", sa.Text(), nullable=False),
        sa.Column("value", figure(), nullable=True),
        sa.Column("open_circuit", flag(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("least", figure(), nullable=True),
        sa.Column("below", figure(), nullable=True),
        sa.Column("limit_source", sa.Text(), nullable=False),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("meter_id", ident(), nullable=True),
        sa.Column("meter_due_on", day(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_esd_reading"),
        sa.ForeignKeyConstraint(["esd_signoff_id"], ["esd_signoff.id"], name="fk_esd_reading_esd_signoff_id"),
        sa.ForeignKeyConstraint(["meter_id"], ["meter.id"], name="fk_esd_reading_meter_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_esd_reading_seq"),
        sa.CheckConstraint(
            "verdict IN ('pass', 'fail_low', 'fail_high', 'incomplete')", name=op.f("esd_reading_verdict_known")
        ),
        *forms("esd_reading", days=["meter_due_on?"], flags=["open_circuit"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "esd_insulator",
        sa.Column("id", ident(), nullable=False),
        sa.Column("esd_signoff_id", ident(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("potential_v", figure(), nullable=False),
        sa.Column("distance_cm", figure(), nullable=False),
        sa.Column("far_enough", flag(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_esd_insulator"),
        sa.ForeignKeyConstraint(["esd_signoff_id"], ["esd_signoff.id"], name="fk_esd_insulator_esd_signoff_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_esd_insulator_seq"),
        *forms("esd_insulator", flags=["far_enough"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "hold",
        sa.Column("id", ident(), nullable=False),
        sa.Column("half_id", ident(), nullable=True),
        sa.Column("pairing_id", ident(), nullable=True),
        sa.Column("vehicle_id", ident(), nullable=True),
        sa.Column("bay_id", ident(), nullable=True),
        sa.Column("cause", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("placed_by_id", ident(), nullable=False),
        sa.Column("done_by_id", ident(), nullable=False),
        sa.Column("placed_at", instant(), nullable=False),
        sa.Column("placed_offset_min", sa.Integer(), nullable=False),
        sa.Column("released_at", instant(), nullable=True),
        sa.Column("released_offset_min", sa.Integer(), nullable=True),
        sa.Column("released_by_id", ident(), nullable=True),
        sa.Column("release_reason", sa.Text(), nullable=True),
        sa.Column("evidence", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_hold"),
        sa.ForeignKeyConstraint(["bay_id"], ["bay.id"], name="fk_hold_bay_id"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_hold_closed_seq"),
        sa.ForeignKeyConstraint(["done_by_id"], ["person.id"], name="fk_hold_done_by_id"),
        sa.ForeignKeyConstraint(["half_id"], ["half.id"], name="fk_hold_half_id"),
        sa.ForeignKeyConstraint(["pairing_id"], ["pairing.id"], name="fk_hold_pairing_id"),
        sa.ForeignKeyConstraint(["placed_by_id"], ["person.id"], name="fk_hold_placed_by_id"),
        sa.ForeignKeyConstraint(["released_by_id"], ["person.id"], name="fk_hold_released_by_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_hold_seq"),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name="fk_hold_vehicle_id"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_hold_voided_seq"),
        sa.CheckConstraint(
            "cause IN ('placed', 'out_of_order', 'dropped', 'knocked', 'wet', 'suspect', 'failed_signoff', 'failed_leak_test', 'failed_verification')",
            name=op.f("hold_cause_known"),
        ),
        sa.CheckConstraint(
            "(released_at IS NULL) = (closed_seq IS NULL) AND (released_offset_min IS NULL) = (closed_seq IS NULL) AND (released_by_id IS NULL) = (closed_seq IS NULL) AND (release_reason IS NULL) = (closed_seq IS NULL) AND (evidence IS NULL) = (closed_seq IS NULL)",
            name=op.f("hold_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("hold_closed_by_a_later_entry")),
        sa.CheckConstraint("released_at > placed_at", name=op.f("hold_ends_after_it_begins")),
        sa.CheckConstraint(
            "(CASE WHEN half_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN pairing_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN vehicle_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN bay_id IS NULL THEN 0 ELSE 1 END) = 1",
            name=op.f("hold_on_one_thing"),
        ),
        sa.CheckConstraint(
            "released_by_id IS NULL OR (released_by_id <> placed_by_id AND released_by_id <> done_by_id)",
            name=op.f("hold_released_by_another"),
        ),
        *forms("hold", instants=["placed_at", "released_at?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "installation",
        sa.Column("id", ident(), nullable=False),
        sa.Column("bay_id", ident(), nullable=False),
        sa.Column("pairing_id", ident(), nullable=False),
        sa.Column("sensor_id", ident(), nullable=False),
        sa.Column("electronics_id", ident(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_installation"),
        sa.ForeignKeyConstraint(["bay_id"], ["bay.id"], name="fk_installation_bay_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_installation_seq"),
        sa.ForeignKeyConstraint(
            ["pairing_id", "sensor_id", "electronics_id"],
            ["pairing.id", "pairing.sensor_id", "pairing.electronics_id"],
            name="installation_of_both_halves_of_a_pairing",
        ),
        sa.UniqueConstraint(
            "id", "bay_id", "pairing_id", "sensor_id", "electronics_id", name="installation_by_all_it_names"
        ),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "recheck",
        sa.Column("id", ident(), nullable=False),
        sa.Column("knock_id", ident(), nullable=False),
        sa.Column("pairing_id", ident(), nullable=True),
        sa.Column("housing_id", ident(), nullable=True),
        sa.Column("half_id", ident(), nullable=True),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("asked_at", instant(), nullable=False),
        sa.Column("asked_offset_min", sa.Integer(), nullable=False),
        sa.Column("answered_at", instant(), nullable=True),
        sa.Column("answered_offset_min", sa.Integer(), nullable=True),
        sa.Column("answered_by_id", ident(), nullable=True),
        sa.Column("answer", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_recheck"),
        sa.ForeignKeyConstraint(["answered_by_id"], ["person.id"], name="fk_recheck_answered_by_id"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_recheck_closed_seq"),
        sa.ForeignKeyConstraint(["half_id"], ["half.id"], name="fk_recheck_half_id"),
        sa.ForeignKeyConstraint(["housing_id"], ["housing.id"], name="fk_recheck_housing_id"),
        sa.ForeignKeyConstraint(["knock_id"], ["knock.id"], name="fk_recheck_knock_id"),
        sa.ForeignKeyConstraint(["pairing_id"], ["pairing.id"], name="fk_recheck_pairing_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_recheck_seq"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_recheck_voided_seq"),
        sa.CheckConstraint(
            "(answered_at IS NULL) = (closed_seq IS NULL) AND (answered_offset_min IS NULL) = (closed_seq IS NULL) AND (answered_by_id IS NULL) = (closed_seq IS NULL) AND (answer IS NULL) = (closed_seq IS NULL)",
            name=op.f("recheck_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("recheck_closed_by_a_later_entry")),
        sa.CheckConstraint("answered_at > asked_at", name=op.f("recheck_ends_after_it_begins")),
        sa.CheckConstraint(
            "pairing_id IS NOT NULL OR housing_id IS NOT NULL OR half_id IS NOT NULL", name=op.f("recheck_of_something")
        ),
        sa.CheckConstraint(
            "what IN ('verification', 'axis_and_sign', 'alignment', 'leak_test', 'connectors', 'visual')",
            name=op.f("recheck_what_known"),
        ),
        *forms("recheck", instants=["asked_at", "answered_at?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "sighting",
        sa.Column("id", ident(), nullable=False),
        sa.Column("bay_id", ident(), nullable=False),
        sa.Column("sensor_id", ident(), nullable=True),
        sa.Column("electronics_id", ident(), nullable=True),
        sa.Column("sighted_at", instant(), nullable=False),
        sa.Column("sighted_offset_min", sa.Integer(), nullable=False),
        sa.Column("outcome", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("act_id", ident(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_sighting"),
        sa.ForeignKeyConstraint(["bay_id"], ["bay.id"], name="fk_sighting_bay_id"),
        sa.ForeignKeyConstraint(["electronics_id"], ["half.id"], name="fk_sighting_electronics_id"),
        sa.ForeignKeyConstraint(["sensor_id"], ["half.id"], name="fk_sighting_sensor_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_sighting_seq"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_sighting_voided_seq"),
        sa.CheckConstraint("outcome IN ('as_recorded', 'differs')", name=op.f("sighting_outcome_known")),
        *forms("sighting", instants=["sighted_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "installation_span",
        sa.Column("id", ident(), nullable=False),
        sa.Column("installation_id", ident(), nullable=False),
        sa.Column("bay_id", ident(), nullable=False),
        sa.Column("pairing_id", ident(), nullable=False),
        sa.Column("sensor_id", ident(), nullable=False),
        sa.Column("electronics_id", ident(), nullable=False),
        sa.Column("installed_at", instant(), nullable=False),
        sa.Column("installed_offset_min", sa.Integer(), nullable=False),
        sa.Column("removed_at", instant(), nullable=True),
        sa.Column("removed_offset_min", sa.Integer(), nullable=True),
        sa.Column("opened_by", ident(), nullable=False),
        sa.Column("closed_by", ident(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_installation_span"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_installation_span_closed_seq"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_installation_span_seq"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_installation_span_voided_seq"),
        sa.ForeignKeyConstraint(
            ["installation_id", "bay_id", "pairing_id", "sensor_id", "electronics_id"],
            [
                "installation.id",
                "installation.bay_id",
                "installation.pairing_id",
                "installation.sensor_id",
                "installation.electronics_id",
            ],
            name="installation_span_of_its_installation",
        ),
        sa.CheckConstraint(
            "(removed_at IS NULL) = (closed_seq IS NULL) AND (removed_offset_min IS NULL) = (closed_seq IS NULL) AND (closed_by IS NULL) = (closed_seq IS NULL)",
            name=op.f("installation_span_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("installation_span_closed_by_a_later_entry")),
        sa.CheckConstraint("removed_at > installed_at", name=op.f("installation_span_ends_after_it_begins")),
        *forms("installation_span", instants=["installed_at", "removed_at?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "removal",
        sa.Column("id", ident(), nullable=False),
        sa.Column("installation_id", ident(), nullable=False),
        sa.Column("act_id", ident(), nullable=False),
        sa.Column("done_by_id", ident(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("condition", sa.Text(), nullable=False),
        sa.Column("seat_follows", flag(), nullable=False),
        sa.Column("as_recorded", flag(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_removal"),
        sa.ForeignKeyConstraint(["done_by_id"], ["person.id"], name="fk_removal_done_by_id"),
        sa.ForeignKeyConstraint(["installation_id"], ["installation.id"], name="fk_removal_installation_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_removal_seq"),
        sa.CheckConstraint("condition IN ('sound', 'suspect', 'wet', 'knocked')", name=op.f("removal_condition_known")),
        sa.CheckConstraint(
            "reason IN ('planned', 'swap', 'suspect', 'wet', 'knocked', 'repair', 'other')",
            name=op.f("removal_reason_known"),
        ),
        *forms("removal", flags=["seat_follows", "as_recorded"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )

    op.create_index("ix_log_entry_done_by_id", "log_entry", ["done_by_id", "seq"])
    op.create_index("ix_log_entry_recorded_at", "log_entry", ["recorded_at"])
    op.create_index("ix_security_event_at", "security_event", ["at"])
    op.create_index("ix_amendment_amended_act_id", "amendment", ["amended_act_id"])
    op.create_index("ix_class_limit_unit_type_id", "class_limit", ["unit_type_id"])
    op.create_index("ix_person_role_person_id", "person_role", ["person_id", "given_at"])
    op.create_index("ix_training_person_id", "training", ["person_id", "trained_on"])
    op.create_index("ix_vehicle_place_by_act", "vehicle_place", ["by_act"])
    op.create_index("ix_vehicle_place_vehicle_id", "vehicle_place", ["vehicle_id", "since_at", "seq"])
    op.create_index("ix_fault_half_id", "fault", ["half_id", "noted_at"])
    op.create_index("ix_firmware_half_id", "firmware", ["half_id", "since_at"])
    op.create_index("ix_half_place_by_act", "half_place", ["by_act"])
    op.create_index("ix_half_place_half_id", "half_place", ["half_id", "since_at", "seq"])
    op.create_index("ix_half_place_site_id", "half_place", ["site_id"])
    op.create_index("ix_housing_closing_housing_id", "housing_closing", ["housing_id", "closed_at"])
    op.create_index("ix_identity_folded_serial", "identity", ["folded_serial"])
    op.create_index("ix_identity_half_id", "identity", ["half_id"])
    op.create_index("ix_identity_joined", "identity", ["joined"])
    op.create_index("ix_identity_printed_serial", "identity", ["printed_serial"])
    op.create_index("ix_knock_half_id", "knock", ["half_id"])
    op.create_index("ix_knock_vehicle_id", "knock", ["vehicle_id"])
    op.create_index("ix_leak_test_housing_id", "leak_test", ["housing_id", "tested_at"])
    op.create_index("ix_opening_housing_id", "opening", ["housing_id", "opened_at"])
    op.create_index("ix_pairing_electronics_id", "pairing", ["electronics_id", "paired_at"])
    op.create_index("ix_pairing_sensor_id", "pairing", ["sensor_id", "paired_at"])
    op.create_index("ix_bay_type_bay_id", "bay_type", ["bay_id", "accepted_at"])
    op.create_index("ix_bay_use_bay_id", "bay_use", ["bay_id", "since_at", "seq"])
    op.create_index("ix_discrepancy_bay_id", "discrepancy", ["bay_id", "noted_at"])
    op.create_index("ix_discrepancy_half_id", "discrepancy", ["half_id", "noted_at"])
    op.create_index("ix_hold_bay_id", "hold", ["bay_id", "placed_at"])
    op.create_index("ix_hold_half_id", "hold", ["half_id", "placed_at"])
    op.create_index("ix_hold_pairing_id", "hold", ["pairing_id", "placed_at"])
    op.create_index("ix_hold_vehicle_id", "hold", ["vehicle_id", "placed_at"])
    op.create_index("ix_recheck_half_id", "recheck", ["half_id", "asked_at"])
    op.create_index("ix_recheck_housing_id", "recheck", ["housing_id", "asked_at"])
    op.create_index("ix_recheck_pairing_id", "recheck", ["pairing_id", "asked_at"])
    op.create_index("ix_sighting_bay_id", "sighting", ["bay_id", "sighted_at"])
    op.create_index("ix_sighting_electronics_id", "sighting", ["electronics_id", "sighted_at"])
    op.create_index("ix_sighting_sensor_id", "sighting", ["sensor_id", "sighted_at"])
    op.create_index("ix_installation_span_closed_by", "installation_span", ["closed_by"])
    op.create_index("ix_installation_span_opened_by", "installation_span", ["opened_by"])
    op.create_index(
        "one_live_bay_id", "installation_span", ["bay_id"], unique=True, sqlite_where=LIVE, postgresql_where=LIVE
    )
    op.create_index(
        "one_live_electronics_id",
        "installation_span",
        ["electronics_id"],
        unique=True,
        sqlite_where=LIVE,
        postgresql_where=LIVE,
    )
    op.create_index(
        "one_live_pairing_id",
        "installation_span",
        ["pairing_id"],
        unique=True,
        sqlite_where=LIVE,
        postgresql_where=LIVE,
    )
    op.create_index(
        "one_live_sensor_id", "installation_span", ["sensor_id"], unique=True, sqlite_where=LIVE, postgresql_where=LIVE
    )
    op.create_index("seek_bay_id", "installation_span", ["bay_id", "installed_at", "seq"])
    op.create_index("seek_electronics_id", "installation_span", ["electronics_id", "installed_at", "seq"])
    op.create_index("seek_pairing_id", "installation_span", ["pairing_id", "installed_at", "seq"])
    op.create_index("seek_sensor_id", "installation_span", ["sensor_id", "installed_at", "seq"])
    op.create_index("ix_removal_act_id", "removal", ["act_id"])
    op.create_index("ix_removal_installation_id", "removal", ["installation_id"])
    op.create_index("ix_plan_figure_figure", "plan_figure", ["figure", "since_at"])
    op.create_index("ix_meter_calibration_meter_id", "meter_calibration", ["meter_id", "calibrated_on"])
    op.create_index("ix_station_check_station_id", "station_check", ["station_id", "checked_at"])
    op.create_index("ix_esd_signoff_person_id", "esd_signoff", ["person_id", "signed_at"])
    op.create_index("ix_station_reading_meter_id", "station_reading", ["meter_id"])
    op.create_index("ix_station_reading_station_check_id", "station_reading", ["station_check_id"])
    op.create_index("ix_esd_insulator_esd_signoff_id", "esd_insulator", ["esd_signoff_id"])
    op.create_index("ix_esd_reading_esd_signoff_id", "esd_reading", ["esd_signoff_id"])
    op.create_index("ix_esd_reading_meter_id", "esd_reading", ["meter_id"])
    op.bulk_insert(sa.table("log_rest", sa.column("writing")), [{"writing": 0}])
    head = sa.table(
        "log_head", *(sa.column(name) for name in ("one", "size", "writing")), sa.column("recorded_at", instant())
    )
    op.bulk_insert(head, [{"one": 1, "size": 0, "recorded_at": "2000-01-01T00:00:00.000000Z", "writing": 0}])


def downgrade() -> None:
    op.drop_table("removal")
    op.drop_table("installation_span")
    op.drop_table("sighting")
    op.drop_table("recheck")
    op.drop_table("installation")
    op.drop_table("hold")
    op.drop_table("esd_insulator")
    op.drop_table("esd_reading")
    op.drop_table("discrepancy")
    op.drop_table("bay_use")
    op.drop_table("bay_type")
    op.drop_table("retirement")
    op.drop_table("pairing")
    op.drop_table("opening")
    op.drop_table("leak_test")
    op.drop_table("knock")
    op.drop_table("identity")
    op.drop_table("housing_closing")
    op.drop_table("half_place")
    op.drop_table("firmware")
    op.drop_table("fault")
    op.drop_table("esd_signoff")
    op.drop_table("station_reading")
    op.drop_table("station_check")
    op.drop_table("plan_figure")
    op.drop_table("meter_calibration")
    op.drop_table("meter")
    op.drop_table("bay")
    op.drop_table("web_session")
    op.drop_table("vehicle_place")
    op.drop_table("training")
    op.drop_table("token")
    op.drop_table("station")
    op.drop_table("person_role")
    op.drop_table("person_private")
    op.drop_table("housing")
    op.drop_table("half")
    op.drop_table("departure")
    op.drop_table("credential")
    op.drop_table("class_limit")
    op.drop_table("accepted_statement")
    op.drop_table("vehicle")
    op.drop_table("unit_type")
    op.drop_table("site")
    op.drop_table("person")
    op.drop_table("outfit")
    op.drop_table("log_head")
    op.drop_table("amendment")
    op.drop_table("security_event")
    op.drop_table("log_rest")
    op.drop_table("log_node")
    op.drop_table("log_entry")
    op.drop_table("log_checkpoint")
    op.drop_table("attempt")
