"""Faults of form in sentences: what pydantic found, said so that a person can mend it."""

from typing import Any, TypeVar, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from registry.errors import Reason

M = TypeVar("M", bound=BaseModel)


def shape_reasons(cls: type[M], fields: dict[str, Any], prefix: str = "") -> tuple[list[Reason], M | None]:
    """Every fault of form of these fields, or none and the model they make."""
    try:
        return [], cls.model_validate(fields)
    except ValidationError as problem:
        return [_reason(cls, fault, prefix) for fault in problem.errors(include_url=False)], None


def _reason(cls: type[BaseModel], fault: ErrorDetails, prefix: str) -> Reason:
    place = ".".join(str(part) for part in fault["loc"])[:100] or None
    field = f"{prefix}{place}" if place else None
    top = str(fault["loc"][0]) if fault["loc"] else ""
    label = _label(cls, fault["loc"])[:60]
    kind, context = fault["type"], fault.get("ctx", {})
    if kind == "told":
        return Reason("wrong_form", f"{label}: {context['sentence']}" if label else context["sentence"], field)
    if kind == "missing":
        return Reason("missing_field", f"“{label}” is missing.", field, "Fill it in.")
    if kind == "extra_forbidden":
        names = ", ".join(sorted(cls.model_fields))
        return Reason(
            "unknown_field",
            f"“{top[:60]}” is not a field here. The fields are: {names}.",
            field,
            "Take it out, or spell it as listed.",
        )
    return Reason("wrong_form", f"{label or 'The act'}: {_told(kind, context)}", field)


def _label(cls: type[BaseModel], place: tuple[int | str, ...]) -> str:
    """The title of the innermost field of this place that has one."""
    label, model = "", cls
    for part in place:
        known = model.model_fields.get(str(part)) if isinstance(part, str) else None
        if known is not None:
            label = known.title or str(part).replace("_", " ")
            model = _model_in(known.annotation) or model
        elif isinstance(part, str) and not label:
            label = part.replace("_", " ")
    return label


def _model_in(annotation: Any) -> type[BaseModel] | None:
    """The model a field holds, also inside `X | None` and `list[X]`."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for part in get_args(annotation) if (found := _model_in(part))), None)


def _told(kind: str, context: dict[str, Any]) -> str:
    if kind == "literal_error":
        return f"choose one of {context['expected']}."
    if kind in ("greater_than_equal", "greater_than", "less_than_equal", "less_than"):
        limit = next(iter(context.values()))
        return f"this number must be {kind.replace('_', ' ').replace(' equal', ' or equal to')} {limit}."
    if kind == "too_short":
        return f"give at least {context['min_length']}."
    if kind == "too_long":
        return f"at most {context['max_length']} can be given at once."
    wanted = {
        "int": "a whole number",
        "bool": "true or false",
        "list": "a list",
        "dict": "an object with named fields",
        "string": "text",
        "model": "an object with named fields",
    }
    for word, form in wanted.items():
        if kind.startswith(word):
            return f"this must be {form}."
    return "this has another form than is expected here."
