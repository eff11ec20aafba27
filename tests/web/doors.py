"""The doors of one registry, as people and programs come through them: pages, JSON and command line, at one clock."""

import json
import os
import sys
import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from pathlib import Path
from typing import Any
from urllib.parse import urljoin, urlsplit

import pytest
import sqlalchemy as sa
from argon2 import PasswordHasher
from click.testing import CliRunner, Result
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from registry import accounts
from registry.instance import Instance
from registry.models.base import metadata
from registry.models.database import Database
from tests.cast import ROLES, World
from tests.web.html import Form, Node, read_html

PASSWORD, PIN = "three unrelated words", "2846"
#: Everything but the log and its tables that a request may write: counted apart.
ACCOUNT_TABLES = ("attempt", "credential", "web_session", "token", "calendar_key", "security_event")
#: Settings by which a command works on another registry.
ELSEWHERE = {"PAIRBOOK_HOME", "PAIRBOOK_DATABASE_URL", "PAIRBOOK_OWNER_URL"}
#: As strong as it need be where nobody attacks: the real parameters take a tenth of a second each.
CHEAP = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)


@dataclass
class Page:
    """An answer, and what a person sees of it."""

    response: TestResponse
    path: str

    def __post_init__(self) -> None:
        self.status, self.text = self.response.status_code, self.response.get_data().decode(errors="replace")

    @cached_property
    def _read(self) -> tuple[Node, list[str]]:
        is_page = self.response.mimetype == "text/html" and not 300 <= self.status < 400
        return read_html(self.text) if is_page else (Node("", {}), [])

    @property
    def root(self) -> Node:
        return self._read[0]

    @property
    def faults(self) -> list[str]:
        return self._read[1]

    @property
    def title(self) -> str:
        return self.root.one("title").words

    @property
    def heading(self) -> str:
        return self.root.one("h1").words

    @property
    def words(self) -> str:
        """What stands on the page itself, without head and foot."""
        return self.root.one("main").words

    @property
    def strips(self) -> list[str]:
        return [node.words for node in self.root.all("p", cls="strip")]

    @property
    def flashes(self) -> list[str]:
        """What the request before had to say: strips above the page's own part."""
        return [
            node.words
            for node in self.root.all("p", cls="strip")
            if node.has(role="status") and not node.inside("main")
        ]

    def told(self) -> list[str]:
        """Every reason in the band of a refusal."""
        bands = [node for node in self.root.all("section", cls="verdict") if node.has(role="alert")]
        return [item.words for band in bands for item in band.all("li")]

    def beside(self, field_id: str) -> list[str]:
        """What is told beside one entry of a form."""
        return [
            node.words
            for node in self.root.all("p", cls="told")
            if node.attrs.get("id", "").startswith(f"{field_id}-t")
        ]

    def links(self, *classes: str) -> dict[str, str]:
        """Words -> address of every link in the page's own part."""
        found = [node for node in self.root.one("main").all("a") if not classes or set(classes) & set(node.classes)]
        return {node.words: node.attrs.get("href", "") for node in found}

    def form(self, action: str | None = None, method: str | None = None) -> Form:
        """The one form of the page's own part with this action."""
        found = [Form(node) for node in self.root.one("main").all("form")]
        found = [
            one
            for one in found
            if (action is None or (one.action or self.path).split("?")[0] == action)
            and (method is None or one.method == method)
        ]
        assert len(found) == 1, f"{len(found)} forms: {[(one.method, one.action) for one in found]}"
        return found[0]


class Visitor:
    """A browser without script: follows links, fills forms, keeps cookies. `who` is signed in, or nobody is."""

    def __init__(self, doors: "Doors", who: str | None = None):
        self.doors, self.who = doors, who
        self.client: FlaskClient = doors.app.test_client()
        if who:
            _id, key = accounts.sign_in(doors.instance.database, who.capitalize(), PASSWORD, doors.world.now)
            with self.client.session_transaction() as session:
                session["key"] = key
                session.permanent = True

    def get(self, path: str, **more: Any) -> Page:
        answer = self.client.get(path, **more)
        return Page(answer, answer.request.full_path.removesuffix("?"))

    def post(self, path: str, data: Any = None, **more: Any) -> Page:
        """As any program could send it: no token is added."""
        return Page(self.client.post(path, data=data, **more), path)

    def send(self, page: Page, form: Form, button: tuple[str, str] | None = None, **told: Any) -> Page:
        """Fill a form and press its button; does not follow where it leads."""
        target = urljoin(page.path, form.action) if form.action else page.path
        pairs = form.filled(**told) + ([button] if button else [])
        if form.method == "get":
            return self.get(urlsplit(target).path, query_string=pairs)
        data: dict[str, list[str]] = {}
        for name, value in pairs:
            data.setdefault(name, []).append(value)
        return Page(self.client.post(target, data=data), target)

    def follow(self, page: Page) -> Page:
        """On to the page an answer points at."""
        assert page.status == 303, (page.status, page.told())
        return self.get(page.response.headers["Location"])

    @cached_property
    def kept_token(self) -> str:
        """A form token of this session, asked for once."""
        return self.token()

    def token(self) -> str:
        """A form token of this session."""
        return self.get("/me" if self.who else "/sign-in").root.all("input", name="csrf_token")[0].attrs["value"]

    def act_unasked(self, name: str, **told: Any) -> Page:
        """What the page of an act would send, from somebody who never opened it: `private__name` spells `private-name`."""
        sent = {field.replace("__", "-"): value for field, value in told.items() if value is not None}
        return self.post(f"/act/{name}", {"csrf_token": self.kept_token, "id": new_id(), "pin": PIN, **sent})

    def act(self, name: str, **told: Any) -> Page:
        """Open the page of an act, fill it in, sign it."""
        page = self.get(f"/act/{name}")
        form = page.form(f"/act/{name}")
        if "pin" in form.names():
            told = {"pin": PIN, **told}
        return self.send(page, form, **told)


class Api:
    """A program with a token of somebody's, or with none."""

    def __init__(self, doors: "Doors", who: str | None = None):
        self.client = doors.app.test_client(use_cookies=False)
        self.headers = {"Authorization": f"Bearer {doors.token_of(who)}"} if who else {}

    def get(self, path: str, **query: Any) -> TestResponse:
        return self.client.get(f"/api/v1{path}", query_string=query, headers=self.headers)

    def post(self, path: str, body: Any = None, **more: Any) -> TestResponse:
        if body is not None:  # as plain ASCII, so that half a character can be sent, too
            more |= {"data": json.dumps(body), "content_type": "application/json"}
        return self.client.post(f"/api/v1{path}", headers=self.headers, **more)

    def act(self, sent: dict[str, Any]) -> TestResponse:
        return self.post("/acts", sent)

    def check(self, sent: dict[str, Any]) -> TestResponse:
        return self.post("/acts/check", sent)


@dataclass
class Doors:
    """One registry with its doors open. The clock is the world's: `world.later(hours=1)` is an hour later for all."""

    world: World
    instance: Instance
    app: Flask
    monkeypatch: pytest.MonkeyPatch
    _tokens: dict[str, str] = field(default_factory=dict)
    _visitors: dict[str | None, Visitor] = field(default_factory=dict)

    def visitor(self, who: str | None = None) -> Visitor:
        """A browser of somebody's, the same one each time."""
        if who not in self._visitors:
            self._visitors[who] = Visitor(self, who)
        return self._visitors[who]

    def stranger(self) -> Visitor:
        return Visitor(self)

    def api(self, who: str | None = None) -> Api:
        return Api(self, who)

    def token_of(self, who: str) -> str:
        if who not in self._tokens:
            self._tokens[who] = accounts.make_token(self.instance.database, self.world.ids[who], "test", self.world.now)
        return self._tokens[who]

    def cli(self, *words: str, who: str | None = None, stdin: str | None = None, **env: str) -> Result:
        """A command, at the world's clock, in the name of `who` by token. It looks at the schema anew, as it does at
        work, over connections that are open already; what replaces the database opens its own."""
        told = environment(self.instance.home, self.instance.settings.database_url) | env
        if who:
            told["PAIRBOOK_TOKEN"] = self.token_of(who)
        here = None if words[0] in ("init", "restore") or env.keys() & ELSEWHERE else self.instance.database
        return run_command(self.monkeypatch, lambda: self.world.now, *words, stdin=stdin, here=here, **told)

    # what a test wants to know

    def code(self, name: str) -> str:
        """The label code of a thing by its short name."""
        id_ = self.world.ids[name]
        with self.world.database.reading() as db:
            for table in ("half", "bay", "vehicle", "station", "site", "person"):
                if found := db.execute(
                    sa.select(metadata.tables[table].c.code).where(metadata.tables[table].c.id == id_)
                ).scalar():
                    return str(found)
        raise LookupError(name)

    def size(self) -> int:
        with self.world.database.reading() as db:
            return int(db.exec_driver_sql("SELECT size FROM log_head").scalar_one())

    def counts(self) -> dict[str, int]:
        with self.world.database.reading() as db:
            return {name: db.exec_driver_sql(f"SELECT count(*) FROM {name}").scalar_one() for name in metadata.tables}

    def record(self) -> list[Any]:
        """Every row of the record: of all tables but those of accounts."""
        with self.world.database.reading() as db:
            return [
                sorted(map(repr, db.exec_driver_sql(f"SELECT * FROM {name}").all()))
                for name in metadata.tables
                if name not in ACCOUNT_TABLES
            ]

    def rows(self, table: str) -> list[Any]:
        with self.world.database.reading() as db:
            return list(db.execute(sa.select(metadata.tables[table])))


def environment(home: Path, url: str | None = None) -> dict[str, str]:
    """The settings of one registry, and none of whoever runs the tests."""
    return (
        {name: "" for name in os.environ if name.startswith("PAIRBOOK_")}
        | {"PAIRBOOK_HOME": str(home)}
        | ({"PAIRBOOK_DATABASE_URL": url} if url else {})
    )


def run_command(
    monkeypatch: pytest.MonkeyPatch,
    clock: Callable[[], datetime],
    *words: str,
    stdin: str | None = None,
    here: Database | None = None,
    **env: str,
) -> Result:
    """`pairbook …` in this process, over `here` or a database of its own. What it raises is a fault of the program and
    goes on; what it opened is shut after."""
    from registry import instance
    from registry.cli import acts, people, setup, terminal
    from registry.cli.main import pairbook

    opened: list[Database] = []

    def noted(url: str) -> Database:
        if here:
            return here
        opened.append(Database(url))
        return opened[-1]

    for module in (terminal, acts, people, setup):
        monkeypatch.setattr(module, "now", clock)
    monkeypatch.setattr(instance, "Database", noted)
    monkeypatch.setattr(sys, "argv", ["pairbook", *words])
    try:
        return CliRunner().invoke(pairbook, list(words), input=stdin, env=env, catch_exceptions=False)
    finally:
        for database in opened:
            database.dispose()


def problem_of(answer: TestResponse) -> dict[str, Any]:
    """The problem document of a refusal, in the one shape all of them have."""
    assert answer.mimetype == "application/problem+json", (answer.status_code, answer.get_data(as_text=True)[:300])
    told = json.loads(answer.data)
    assert set(told) == {"type", "title", "status", "code", "detail", "reasons"}
    assert told["status"] == answer.status_code
    assert told["reasons"]
    return told


def codes_of(answer: TestResponse) -> list[str]:
    return [reason["code"] for reason in problem_of(answer)["reasons"]]


def give_secrets(world: World, names: Iterator[str] | list[str]) -> None:
    """Password and PIN for these people. One hash serves all: what it costs to make is tested where it matters."""
    hashed = {"password_hash": CHEAP.hash(PASSWORD), "pin_hash": CHEAP.hash(PIN)}
    credential = metadata.tables["credential"]
    with world.database.writing() as db:
        for name in names:
            db.execute(credential.insert(), {"person_id": world.ids[name], **hashed})


EVERYBODY = list(ROLES)


def new_id() -> str:
    """An act's id, for tests that send what no adapter would."""
    return str(uuid.UUID(int=(0x019E << 112) | (7 << 76) | (2 << 62) | uuid.uuid4().int & ((1 << 62) - 1)))
