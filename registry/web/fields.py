"""Entries of forms made from the fields of acts: label, hint, choices and shape come from the field itself."""

from collections.abc import Iterable
from typing import Any, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo
from wtforms import (
    BooleanField,
    Field,
    FieldList,
    Form,
    FormField,
    SelectField,
    SelectMultipleField,
    StringField,
    TextAreaField,
)
from wtforms.fields.choices import SelectChoice
from wtforms.widgets import CheckboxInput, ListWidget

from registry.acts import shapes
from registry.acts.shapes import BlankRows, Choices, FileGiven, Reference
from registry.web.uploads import FilesField

#: Kinds of which there are few: chosen from a list. All others are scanned or typed, with a list to help.
CHOSEN = frozenset(
    {
        *(
            "site",
            "unit_type",
            "person",
            "station",
            "hold",
            "discrepancy",
            "recheck",
            "esd_signoff",
            "delivery",
            "carton",
        ),
        *("bench_mark", "verification", "audit", "loan", "contract_term", "mission"),
    }
)
BLANK_ROWS = 3


def fields_of(
    model: type[BaseModel], *, skip: set[str] = frozenset(), only: set[str] | None = None
) -> dict[str, Field]:  # type: ignore[assignment]
    names = [name for name in model.model_fields if name not in skip and (only is None or name in only)]
    return {name: _field(name, model.model_fields[name]) for name in names}


def _field(name: str, info: FieldInfo) -> Field:
    label, hint = info.title or name, info.description or ""
    annotation, marks = peeled(info.annotation, list(info.metadata))
    if get_origin(annotation) is list:
        if get_args(annotation)[0] is FileGiven:
            return FilesField(label, description=hint, camera=shapes.shape_of(marks) == "photos")
        rows = next((mark.count for mark in marks if isinstance(mark, BlankRows)), BLANK_ROWS)
        return _list_field(label, hint, get_args(annotation)[0], rows)
    choices = next((mark for mark in marks if isinstance(mark, Choices)), None)
    if choices:
        is_given = (info.is_required() and not choices.unset) or (not info.is_required() and info.default is not None)
        blank = [] if is_given else [("", "—")]
        default = info.default if isinstance(info.default, str) else None
        return SelectField(
            label,
            description=hint,
            choices=options([*blank, *choices.labels.items()]),
            default=default,
            validate_choice=False,
        )
    reference = next((mark for mark in marks if isinstance(mark, Reference)), None)
    if reference:
        return _reference_field(label, hint, reference, required=info.is_required())
    if annotation is bool:
        return BooleanField(label, description=hint)
    if annotation is int:
        return StringField(
            label,
            description=hint,
            render_kw={"inputmode": "numeric", "class": "number"},
            default="" if info.default is None or info.is_required() else str(info.default),
        )
    if shapes.shape_of(marks) == "when":
        return instant_field(label, hint)
    return _text_field(label, hint, marks, info)


def peeled(annotation: Any, marks: list[Any]) -> tuple[Any, list[Any]]:
    """The type inside `X | None` and `Annotated[X, …]`, and every mark on the way."""
    while True:
        if hasattr(annotation, "__metadata__"):
            marks += annotation.__metadata__
            annotation = annotation.__origin__
        elif type(None) in get_args(annotation) and get_origin(annotation) is not list:
            annotation = next(part for part in get_args(annotation) if part is not type(None))
        else:
            return annotation, marks


def _list_field(label: str, hint: str, inner: Any, rows: int) -> Field:
    inner, marks = peeled(inner, [])
    if isinstance(inner, type) and issubclass(inner, BaseModel):
        row = type(f"{inner.__name__}Row", (Form,), {"model": inner, **fields_of(inner)})
        return FieldList(FormField(row), label, description=hint, min_entries=rows)
    choices = next((mark for mark in marks if isinstance(mark, Choices)), None)
    if choices:
        return SelectMultipleField(
            label,
            description=hint,
            choices=options(choices.labels.items()),
            validate_choice=False,
            option_widget=CheckboxInput(),
            widget=ListWidget(prefix_label=False),
        )
    reference = next((mark for mark in marks if isinstance(mark, Reference)), None)
    kind = {"data-each": reference.kind} if reference else {}
    return TextAreaField(label, description=hint or "One a line.", render_kw={"rows": 4, "class": "lines", **kind})


def _reference_field(label: str, hint: str, reference: Reference, *, required: bool) -> Field:
    if reference.kind in CHOSEN:
        return SelectField(
            label,
            description=hint,
            choices=options([("", "—")]),
            validate_choice=False,
            render_kw={"data-kind": reference.kind},
        )
    kind = {
        "autocomplete": "off",
        "autocapitalize": "characters",
        "spellcheck": "false",
        "data-kind": reference.kind,
        "class": "scanned",
    }
    return StringField(label, description=hint, render_kw=kind)


def instant_field(label: str, hint: str) -> Field:
    return StringField(label, description=hint, render_kw={"type": "datetime-local", "step": "1"})


def _text_field(label: str, hint: str, marks: list[Any], info: FieldInfo) -> Field:
    default = info.default if isinstance(info.default, str) else None
    if shapes.shape_of(marks) == "day":
        return StringField(label, description=hint, render_kw={"type": "date"}, default=default)
    if shapes.shape_of(marks) == "figure":
        return StringField(
            label,
            description=hint,
            render_kw={"inputmode": "decimal", "autocomplete": "off", "class": "number"},
            default=default,
        )
    if shapes.shape_of(marks) == "long":
        return TextAreaField(label, description=hint, render_kw={"rows": 3}, default=default)
    return StringField(label, description=hint, default=default, render_kw={"autocomplete": "off"})


def is_choice(info: FieldInfo) -> bool:
    return any(isinstance(mark, Choices) for mark in peeled(info.annotation, list(info.metadata))[1])


def options(pairs: Iterable[tuple[str, str]]) -> list[SelectChoice]:
    return [SelectChoice(value, words) for value, words in pairs]
