"""Closing sheets: what was seen to when a housing was closed. The newest of a closing counts."""

import sqlalchemy as sa

from registry.domain.closing_sheets import DESICCANTS, FACES, LATCHED, SEALS, VERDICTS
from registry.models.base import column, folded, instant, maybe, one_of, says, to
from registry.models.columns import Figure

closing_sheet = folded(
    "closing_sheet",
    to("housing_closing"),
    column("seals", sa.Text),
    maybe("seal_batch", sa.Text),
    column("faces", sa.Text),
    maybe("torque_nm", Figure),
    column("data_cable", sa.Text),
    column("power_cable", sa.Text),
    column("desiccant", sa.Text),
    maybe("dew_point_c", Figure),
    maybe("coldest_water_c", Figure),
    maybe("tools_out", sa.Integer),
    maybe("tools_in", sa.Integer),
    to("person", "second_id", nullable=True),
    column("verdict", sa.Text),
    column("told", sa.Text),
    column("words", sa.Text),
    *instant("filled_in"),
    one_of("seals", *SEALS),
    one_of("faces", *FACES),
    one_of("data_cable", *LATCHED),
    one_of("power_cable", *LATCHED),
    one_of("desiccant", *DESICCANTS),
    one_of("verdict", *VERDICTS),
    says("closing_sheet_counts_tools", "tools_out >= 0 AND tools_in >= 0", "Tools are counted from none up."),
    sa.Index("ix_closing_sheet_housing_closing_id", "housing_closing_id", "filled_in_at", "seq"),
)
