"""Settings sheets of bays with their values, loads of them into electronics halves, read-backs, and files read out before a removal."""

import sqlalchemy as sa

from registry.domain.readbacks import VERDICTS
from registry.domain.settings import LED_BY, PARTS, SAVED, TIME_SCALES
from registry.models.base import column, folded, instant, maybe, once, one_of, says, to
from registry.models.columns import Figure, Flag

settings_sheet = folded(
    "settings_sheet",
    to("bay"),
    to("unit_type"),
    column("version", sa.Integer),
    column("led_by", sa.Text),
    column("time_scale", sa.Text),
    column("checksum", sa.Text),
    maybe("answer", sa.Text),
    column("words", sa.Text),
    *instant("since"),
    one_of("led_by", *LED_BY),
    one_of("time_scale", *TIME_SCALES),
    says("settings_sheet_counts", "version >= 1", "Versions of a sheet count from one."),
    says(
        "settings_sheet_named_by_its_checksum",
        "length(checksum) = 64 AND ltrim(checksum, '0123456789abcdef') = ''",
        "A checksum is a SHA-256, in lower case.",
    ),
    once("settings_sheet_version_once", "bay_id", "version", sentence="That bay has a sheet of that version already."),
    sa.Index("ix_settings_sheet_bay_id", "bay_id", "since_at", "seq"),
)

settings_value = folded(
    "settings_value",
    to("settings_sheet"),
    column("number", sa.Integer),
    column("part", sa.Text),
    column("name", sa.Text),
    column("value", sa.Text),
    column("unit", sa.Text),
    column("source", sa.Text),
    one_of("part", *PARTS),
    once("settings_value_once", "settings_sheet_id", "number", sentence="That line of the sheet is there already."),
)

#: `half_id` is the electronics half that holds it from then on, wherever it goes.
settings_load = folded(
    "settings_load",
    to("settings_sheet"),
    to("installation"),
    to("half"),
    column("words", sa.Text),
    *instant("loaded"),
    sa.Index("ix_settings_load_installation_id", "installation_id", "loaded_at", "seq"),
    sa.Index("ix_settings_load_half_id", "half_id", "loaded_at", "seq"),
)

#: `settings_sheet_id` is the sheet the values are, if they are any.
settings_readback = folded(
    "settings_readback",
    to("installation"),
    to("settings_sheet", nullable=True),
    column("verdict", sa.Text),
    column("told", sa.Text),
    column("next", sa.Text),
    column("serials", sa.Text),
    maybe("sensor_serial", sa.Text),
    maybe("electronics_serial", sa.Text),
    maybe("calibration", sa.Text),
    maybe("firmware", sa.Text),
    maybe("start_lat_deg", Figure),
    maybe("start_lon_deg", Figure),
    column("words", sa.Text),
    *instant("read"),
    one_of("verdict", *VERDICTS),
    sa.Index("ix_settings_readback_installation_id", "installation_id", "read_at", "seq"),
)

readback_value = folded(
    "readback_value",
    to("settings_readback"),
    column("number", sa.Integer),
    column("name", sa.Text),
    column("value", sa.Text),
    maybe("wanted", sa.Text),
    column("agrees", Flag),
    once("readback_value_once", "settings_readback_id", "number", sentence="That value was read already."),
)

settings_file = folded(
    "settings_file",
    to("installation"),
    column("outcome", sa.Text),
    column("words", sa.Text),
    *instant("saved"),
    one_of("outcome", *SAVED),
    sa.Index("ix_settings_file_installation_id", "installation_id", "saved_at", "seq"),
)
