"""What a form says in place of ids and codes that a link filled in: the thing in words; and what stands under what is accepted."""

from collections.abc import Iterator
from typing import Any

import sqlalchemy as sa
from wtforms import Field, FieldList, FormField

from registry import access
from registry.acts import references
from registry.acts.catalogue import ACTS
from registry.domain.codes import looks_like_code, read_code
from registry.domain.fit import Finding, findings
from registry.domain.texts import is_id
from registry.domain.times import stamp
from registry.domain.voyages import read_voyage
from registry.errors import Reason
from registry.models.fit import facts_at
from registry.models.lookups import bearer
from registry.queries.named import named
from registry.web.forms import FORMER

#: What acts are called.
SAYS = {name: cls.says for name, cls in ACTS.items()}


def name_things(form: Any) -> None:
    """Say what is filled in in words. Whatever nobody knows keeps showing what was typed."""
    filled = [(field, kind, _lines(field)) for field, kind in _referring(form) if _lines(field)]
    accepting = form.act_cls.name == "accept_finding" and form.vehicle.data
    if not filled and not accepting:
        return
    with access.instance().database.reading() as db:
        referring = {field: (kind, [_meant(db, kind, line) for line in lines]) for field, kind, lines in filled}
        words = named(db, {(kind, id_) for kind, ids in referring.values() for id_ in ids if id_}, SAYS)
        form.about = _accepted(db, form) if accepting else ()
    for field, (kind, ids) in referring.items():
        said = [words[kind, id_] for id_ in ids if id_ and (kind, id_) in words]
        if len(said) == len(ids):
            _say(field, said)
    for one in form.about:
        form.finding.named, form.evidence.named = [one.fact], [f"entry {one.seq:,}"]


def _say(field: Field, words: list[str]) -> None:
    """Beside the entry; in a list to choose from, as the words of what was chosen."""
    if field.type != "SelectField":
        field.named = words
        return
    for choice in field.choices:
        if choice.value == field.data and choice.label == FORMER:
            choice.label = words[0]


def _referring(form: Any) -> Iterator[tuple[Field, str]]:
    """Every entry that refers to a thing, in rows of lists, too, with the kind of thing."""
    for field in form:
        if isinstance(field, FieldList):
            for entry in field.entries:
                yield from _referring(entry.form)
        elif isinstance(field, FormField):
            yield from _referring(field.form)
        elif field.render_kw and (kind := field.render_kw.get("data-kind") or field.render_kw.get("data-each")):
            yield field, kind


def _lines(field: Field) -> list[str]:
    """The ids or printed codes an entry holds, one a line; nothing when anything else is among them."""
    lines = [line.strip() for line in str(field.data or "").splitlines() if line.strip()]
    return lines if all(is_id(line) or looks_like_code(line) for line in lines) else []


def _meant(db: sa.Connection, kind: str, line: str) -> str | None:
    """The id that is meant: the line itself, or that of the thing of this kind which bears the code."""
    if is_id(line):
        return line
    try:
        found = bearer(db, read_code(line))
    except ValueError:
        return None
    return found[1] if found and found[0] == kind else None


def _accepted(db: sa.Connection, form: Any) -> tuple[Finding, ...]:
    """The finding an acceptance is about, as it stands now for the same voyage and use."""
    at = stamp(access.now())
    vehicle = references.resolve(db, "vehicle", form.vehicle.data, at)
    if isinstance(vehicle, Reason):
        return ()
    try:
        voyage = read_voyage(form.from_on.data, form.to_on.data) if form.from_on.data else None
    except ValueError:
        voyage = None
    named_so = (form.finding.data, form.bay.data or None, str(form.evidence.data))
    read = facts_at(db, at, only=[vehicle], voyage=voyage, use=form.use.data or None)
    stands = [one for facts in read for one in findings(facts.facts)]
    return tuple(one for one in stands if (one.code, one.bay, str(one.seq)) == named_so)[:1]
