"""What a form says in place of ids that a link filled in: the thing in words; and what stands under what is accepted."""

from collections.abc import Iterator
from typing import Any

import sqlalchemy as sa
from wtforms import Field, FieldList, FormField

from registry import access
from registry.acts import references
from registry.acts.catalogue import ACTS
from registry.domain.fit import Finding, findings
from registry.domain.texts import is_id
from registry.domain.times import stamp
from registry.domain.voyages import read_voyage
from registry.errors import Reason
from registry.models.fit import facts_at
from registry.queries.named import named
from registry.web.forms import FORMER

#: What acts are called.
SAYS = {name: cls.says for name, cls in ACTS.items()}


def name_things(form: Any) -> None:
    """Say what is filled in in words. Whatever nobody knows keeps showing what was typed."""
    referring = {field: (kind, _ids(field)) for field, kind in _referring(form) if _ids(field)}
    accepting = form.act_cls.name == "accept_finding" and form.vehicle.data
    if not referring and not accepting:
        return
    with access.instance().database.reading() as db:
        words = named(db, {(kind, id_) for kind, ids in referring.values() for id_ in ids}, SAYS)
        form.about = _accepted(db, form) if accepting else ()
    for field, (kind, ids) in referring.items():
        if all((kind, id_) in words for id_ in ids):
            _say(field, [words[kind, id_] for id_ in ids])
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


def _ids(field: Field) -> list[str]:
    """The ids an entry holds, one a line; nothing when anything else is among them."""
    lines = [line.strip() for line in str(field.data or "").splitlines() if line.strip()]
    return lines if all(is_id(line) for line in lines) else []


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
