"""The secret address of a person's calendar of due days; the registry keeps its hash. Outside the log."""

import sqlalchemy as sa

from registry.models.base import column, maybe, once, plain, to
from registry.models.columns import Stamp

calendar_key = plain(
    "calendar_key",
    to("person", primary_key=True),
    column("key_sha", sa.LargeBinary),
    column("made_at", Stamp),
    maybe("ended_at", Stamp),
    once("calendar_key_once", "key_sha", sentence="That address already exists."),
    rights="insert update",
)
