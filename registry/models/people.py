"""People: an id and a label code in the log, dated roles and training; names and secrets outside the fold."""

import sqlalchemy as sa

from registry.domain.people import ROLES, TRAINING
from registry.models.base import Stay, column, folded, instant, maybe, once, one_of, plain, to
from registry.models.columns import Day, Flag, Id, Stamp

#: What the log was opened for: the outfit's name, the letter its codes begin with, the host printed on its labels,
#: and whether all of it is invented. A later row replaces an earlier; every host it ever had keeps being read.
outfit = folded(
    "outfit",
    column("name", sa.Text),
    column("origin", sa.Text),
    column("label_host", sa.Text),
    column("invented", Flag),
    maybe("anchor_on", Day),
)

person = folded(
    "person",
    column("code", sa.Text),
    once("person_code_once", "code", sentence="Another person bears that code."),
)

person_role = folded(
    "person_role",
    to("person"),
    column("role", sa.Text),
    *instant("given"),
    *instant("ended", nullable=True, closing=True),
    one_of("role", *ROLES),
    sa.Index("ix_person_role_person_id", "person_id", "given_at"),
    changes="closes",
    stay=Stay("given_at", "ended_at", apart=("person_id role",)),
)

training = folded(
    "training",
    to("person"),
    column("subject", sa.Text),
    column("trained_on", Day),
    column("good_to_on", Day),
    column("given_by", sa.Text),
    one_of("subject", *TRAINING),
    sa.Index("ix_training_person_id", "person_id", "trained_on"),
    changes="voids",
)

departure = folded(
    "departure",
    to("person"),
    *instant("left"),
    once("departure_once", "person_id", sentence="That person has already left.", code="already_so"),
)

person_private = plain(
    "person_private",
    to("person", primary_key=True),
    column("name", sa.Text),
    maybe("badge", sa.Text),
    once("person_name_once", "name", sentence="Another person has that name. Add what tells them apart."),
    once("person_badge_once", "badge", sentence="Another person has that badge."),
    rights="insert update",
)

credential = plain(
    "credential",
    to("person", primary_key=True),
    maybe("password_hash", sa.Text),
    maybe("pin_hash", sa.Text),
    rights="insert update",
)

#: Failed attempts in a row at one person's password, one person's PIN, or the names nobody has.
attempt = plain(
    "attempt",
    column("key_sha", sa.LargeBinary, primary_key=True),
    column("failures", sa.Integer),
    maybe("wait_until", Stamp),
    rights="insert update",
)

web_session = plain(
    "web_session",
    column("key_sha", sa.LargeBinary, primary_key=True),
    to("person"),
    column("started_at", Stamp),
    column("seen_at", Stamp),
    maybe("ended_at", Stamp),
    rights="insert update",
)

token = plain(
    "token",
    column("id", Id, primary_key=True),
    to("person"),
    column("label", sa.Text),
    column("key_sha", sa.LargeBinary),
    column("made_at", Stamp),
    maybe("ended_at", Stamp),
    once("token_key_once", "key_sha", sentence="That token already exists."),
    rights="insert update",
)

security_event = plain(
    "security_event",
    column("id", Id, primary_key=True),
    column("at", Stamp),
    column("what", sa.Text),
    maybe("person_id", Id),
    column("detail", sa.Text),
    sa.Index("ix_security_event_at", "at"),
    rights="insert",
)
