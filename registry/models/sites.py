"""Sites, ashore and afloat, and the ESD stations at them."""

import sqlalchemy as sa

from registry.domain.fleet import SITE_KINDS
from registry.domain.handling import STATION_KINDS
from registry.models.base import column, folded, once, one_of, to

site = folded(
    "site",
    column("code", sa.Text),
    column("name", sa.Text),
    column("kind", sa.Text),
    column("offset_min", sa.Integer),
    one_of("kind", *SITE_KINDS),
    once("site_code_once", "code", sentence="Another site bears that code."),
    once("site_name_once", "name", sentence="Another site has that name."),
)

station = folded(
    "station",
    column("code", sa.Text),
    to("site"),
    column("name", sa.Text),
    column("kind", sa.Text),
    one_of("kind", *STATION_KINDS),
    once("station_code_once", "code", sentence="Another station bears that code."),
    once("station_name_once", "site_id", "name", sentence="Another station at this site has that name."),
)
