"""Attachments: which file belongs to which thing. The row names the file by its hash; its bytes are outside the log."""

import sqlalchemy as sa

from registry.domain.attachments import KINDS, PURPOSES, SUBJECTS
from registry.models.base import column, folded, instant, maybe, one_of, says, to

attachment = folded(
    "attachment",
    to("half", nullable=True),
    to("pairing", nullable=True),
    to("vehicle", nullable=True),
    to("bay", nullable=True),
    to("hold", nullable=True),
    to("meter", nullable=True),
    column("purpose", sa.Text),
    column("sha256", sa.Text),
    column("size_bytes", sa.Integer),
    column("media_type", sa.Text),
    column("name", sa.Text),
    maybe("words", sa.Text),
    to("person", "attached_by_id"),
    *instant("attached"),
    one_of("purpose", *PURPOSES),
    one_of("media_type", *KINDS),
    says(
        "attachment_to_one_thing",
        " + ".join(f"(CASE WHEN {name} IS NULL THEN 0 ELSE 1 END)" for name in SUBJECTS) + " = 1",
        "A file is attached to one thing.",
    ),
    says(
        "attachment_named_by_its_hash",
        "length(sha256) = 64 AND ltrim(sha256, '0123456789abcdef') = ''",
        "A file is named by its SHA-256, in lower case.",
    ),
    says("attachment_holds_something", "size_bytes > 0", "An empty file is no attachment."),
    *(sa.Index(f"ix_attachment_{name}", name, "attached_at") for name in SUBJECTS),
    sa.Index("ix_attachment_sha256", "sha256"),
)  # fmt: skip
