"""Forms made from the acts: labels, hints, choices and errors come from the act's own fields; nothing is declared twice.

An empty entry is left out of what is sent, so that the act's own defaults hold.
"""

import re
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any, cast, get_origin

from flask_wtf import FlaskForm
from pydantic.fields import FieldInfo
from wtforms import (
    BooleanField,
    Field,
    FieldList,
    Form,
    FormField,
    HiddenField,
    PasswordField,
    SelectField,
    SelectMultipleField,
)

from registry.acts import shapes
from registry.acts.act import Act, Deed
from registry.domain.fit import Finding
from registry.domain.texts import is_id
from registry.errors import Reason
from registry.web.fields import fields_of, instant_field, is_choice, options, peeled
from registry.web.uploads import FilesField

#: Fields every form has or handles itself.
OWN = ("id", "happened_at", "seen")
#: Said of a thing chosen before that is offered no longer, until it is named.
FORMER = "as chosen before, no longer in the list"
#: Told of a deed only where it matters: folded away beneath the rest.
ASIDE = ("done_by", "second", "already_done", "why_out_of_order")
_WHOLE = re.compile(r"-?\d{1,15}", re.ASCII)


class ActForm(FlaskForm):
    """The form of one act. `sent()` gives the fields as any other sender would give them."""

    class Meta(FlaskForm.Meta):
        csrf = True

    act_cls: type[Act]
    #: Things by kind that the fields may be chosen from or typed as.
    offered: dict[str, list[tuple[str, str]]]
    #: The finding it is about, when it accepts one.
    about: tuple[Finding, ...] = ()

    def sent(self) -> dict[str, Any]:
        """The act as named fields; what was left empty is left out."""
        fields = _values(self, self.act_cls)
        private = _values(self.private.form, self.act_cls.private) if self.act_cls.private else None
        return {
            "act": self.act_cls.name,
            "version": self.act_cls.version,
            **fields,
            **({"private": private} if private is not None else {}),
        }

    def show(self, reasons: Iterable[Reason]) -> list[Reason]:
        """Put every reason beside its field; gives back those that have none."""
        rest = []
        for reason in reasons:
            field = self._field(reason.field)
            if field is None:
                rest.append(reason)
            else:
                field.errors = [*field.errors, reason]
        return rest

    def _field(self, place: str | None) -> Field | None:
        if not place:
            return None
        name, _, rest = place.partition(".")
        field = self._fields.get(name)
        if isinstance(field, FormField) and rest:
            return cast(Field | None, field.form._fields.get(rest))
        if isinstance(field, FieldList) and rest:
            number, _, inner = rest.partition(".")
            rows = _filled_rows(field)
            if number.isdigit() and int(number) < len(rows):
                return cast(Field | None, rows[int(number)].form._fields.get(inner)) or field
        return cast(Field | None, field)

    def main_fields(self) -> list[Field]:
        """The act's own fields, in the order the act declares them."""
        hidden = {*OWN, *ASIDE, "pin", "second_pin", "csrf_token"}
        return [field for name, field in self._fields.items() if name not in hidden]

    def has_files(self) -> bool:
        """Whether files may come with it: it is then sent in parts."""
        return any(isinstance(field, FilesField) for field in self)

    def aside_fields(self) -> list[Field]:
        return [self._fields[name] for name in (*ASIDE[:2], "second_pin", *ASIDE[2:]) if name in self._fields]


@cache
def form_for(cls: type[Act]) -> type[ActForm]:
    """The form class of an act."""
    fields: dict[str, Any] = {"act_cls": cls, "id": HiddenField(), "seen": HiddenField()}
    fields |= fields_of(cls, skip={"id", "seen", "happened_at", *ASIDE, *_looked_up(cls)})
    if cls.private:
        fields["private"] = FormField(type(f"{cls.__name__}Private", (Form,), fields_of(cls.private)), label="")
    info = cls.model_fields["happened_at"]
    fields["happened_at"] = instant_field(
        info.title or "Done at", "Empty: now. Fill it in if you are entering this later; UTC."
    )
    if issubclass(cls, Deed):
        fields |= fields_of(cls, only=set(ASIDE))
        fields["second_pin"] = PasswordField(
            "PIN of the second person", render_kw={"inputmode": "numeric", "autocomplete": "off"}
        )
    if cls.pin:
        fields["pin"] = PasswordField("Your PIN", render_kw={"inputmode": "numeric", "autocomplete": "off"})
    return type(f"{cls.__name__}Form", (ActForm,), fields)


def _looked_up(cls: type[Act]) -> set[str]:
    """References the door finds by itself when they are left out: nobody types the id of their own sign-off."""
    return {
        name
        for name, mark in cls.references.items()
        if mark.kind == "esd_signoff" and not cls.model_fields[name].is_required()
    }


def _values(form: Any, model: Any) -> dict[str, Any]:
    """What was filled in, in the forms the model wants."""
    found: dict[str, Any] = {}
    for name, info in model.model_fields.items():
        field = form._fields.get(name)
        if field is None:
            continue
        value = _value(field, info)
        if value not in (None, "", []):
            found[name] = value
    return found


def _value(field: Field, info: FieldInfo) -> Any:
    annotation, marks = peeled(info.annotation, list(info.metadata))
    if isinstance(field, BooleanField):
        return True if field.data else None
    if isinstance(field, FilesField):
        return field.given
    if isinstance(field, FieldList):
        return [_values(entry.form, entry.form.model) for entry in _filled_rows(field)]
    if isinstance(field, SelectMultipleField):
        return list(field.data or [])
    text = field.data or ""
    if get_origin(annotation) is list:
        return [line.strip() for line in text.splitlines() if line.strip()]
    if annotation is int:
        return _whole(text)
    if shapes.shape_of(marks) == "when":
        return zoned(text)
    return text


def _filled_rows(field: FieldList) -> list[FormField]:
    """The rows in which more is filled in than the form itself put there, in the order they are sent."""
    return [entry for entry in field.entries if _is_filled(entry.form)]


def _is_filled(row: Any) -> bool:
    fields = row.model.model_fields
    return any(
        not is_choice(fields[name]) and value != fields[name].default for name, value in _values(row, row.model).items()
    )


def _whole(text: str) -> Any:
    text = text.strip()
    return int(text) if _WHOLE.fullmatch(text) else text


def zoned(text: str) -> str:
    """A date-time field sends no offset; the page says UTC beside it."""
    text = text.strip()
    if not text or text[-1:] in "Zz" or "+" in text[10:] or "-" in text[10:]:
        return text
    return f"{text}:00Z" if len(text) == 16 else f"{text}Z"


def fill(form: ActForm, choices: Mapping[str, list[tuple[str, str]]]) -> None:
    """Give every field that refers to a thing today's things of its kind; what was chosen before stays chosen."""
    form.offered = dict(choices)
    for field in form:
        kind = (field.render_kw or {}).get("data-kind")
        if isinstance(field, SelectField) and kind:
            listed = choices.get(kind, [])
            kept = field.data if field.data and field.data not in dict(listed) else None
            words = FORMER if is_id(kept or "") else kept
            field.choices = options([("", "—"), *([(kept, words)] if kept else []), *listed])


def attributes(field: Field, choices: Mapping[str, list[tuple[str, str]]]) -> dict[str, str]:
    """What an entry says to readers and browsers: its limit, what is wrong with it, the list that helps to type it."""
    about = [f"{field.id}-l"] * bool(field.description) + [
        f"{field.id}-t{number}" for number, _ in enumerate(field.errors, 1)
    ]
    kind = (field.render_kw or {}).get("data-kind")
    listed = kind in choices and field.type == "StringField"
    return (
        ({"aria-describedby": " ".join(about)} if about else {})
        | ({"aria-invalid": "true"} if field.errors else {})
        | ({"list": f"list-{kind}"} if listed else {})
    )


def kinds_of(form: ActForm) -> set[str]:
    """Kinds of things this form's fields refer to."""
    return {kind for field in form if (kind := (field.render_kw or {}).get("data-kind"))}
