"""Any act, and the go / no-go of any act."""

import json
import re
import sys
from pathlib import Path
from typing import Any

import click

from registry import entering
from registry.cli.terminal import (
    as_json,
    dice,
    enter,
    happened,
    kept,
    now,
    open_instance,
    print_json,
    sent,
    signer_of,
    signing,
    tell_refused,
)
from registry.errors import Reason, Refused

FILE = click.Path(exists=True, dir_okay=False, path_type=Path)
_WHOLE = re.compile(r"-?\d{1,15}", re.ASCII)
FIELDS = click.argument("fields", nargs=-1, metavar="[FIELD=VALUE]…")


def _told(name: str, fields: tuple[str, ...], at: str | None) -> dict[str, Any]:
    """The act from FIELD=VALUE words, or from JSON on the input when NAME is `-`."""
    from registry.acts.catalogue import ACTS

    if name == "-":
        try:
            told = json.loads(sys.stdin.read(2_000_000))
        except (ValueError, RecursionError) as problem:
            raise Refused(
                Reason("not_json", f"The input is not JSON: {problem}.", next="Send one object with the act’s fields.")
            ) from None
        if not isinstance(told, dict):
            raise Refused(
                Reason("not_json", "The input is not a JSON object.", next="Send one object with the act’s fields.")
            )
        return told
    if name not in ACTS:
        raise click.BadParameter(f"{name} is not an act. The acts are: {', '.join(sorted(ACTS))}.", param_hint="NAME")
    values: dict[str, Any] = {}
    for word in fields:
        field, equals, value = word.partition("=")
        if not equals:
            raise click.BadParameter(f"{word!r} is not FIELD=VALUE.", param_hint="FIELD=VALUE")
        _put(values, field, _value(value, _is_yes_or_no(name, field)))
    return sent(name, at, **values)


def _put(values: dict[str, Any], field: str, value: Any) -> None:
    """`private.name=…` goes inside; a field given twice becomes a list."""
    outer, _, inner = field.partition(".")
    if inner:
        inside = values.setdefault(outer, {})
        if not isinstance(inside, dict):
            raise click.BadParameter(f"{outer} is given both as a value and with parts.", param_hint="FIELD=VALUE")
        _put(inside, inner, value)
    elif field in values:
        values[field] = [*values[field], value] if isinstance(values[field], list) else [values[field], value]
    else:
        values[field] = value


def _is_yes_or_no(name: str, field: str) -> bool:
    """Whether a field of an act is a tick: `true` is a word of its own in others, like that of a north."""
    from registry.acts.catalogue import ACTS

    info = ACTS[name].model_fields.get(field)
    return info is not None and info.annotation is bool


def _value(text: str, yes_or_no: bool) -> Any:
    """A JSON list or object, true or false for a tick; everything else is text, so that no digit of a serial is lost."""
    if yes_or_no and text in ("true", "false"):
        return text == "true"
    if text[:1] in "[{":
        try:
            return json.loads(text)
        except ValueError:
            return text
    return text


def _whole_numbers(told: dict[str, Any]) -> dict[str, Any]:
    """Whole numbers for the fields that are numbers; the act says which."""
    from registry.acts.catalogue import ACTS

    name = told.get("act")
    cls = ACTS.get(name) if isinstance(name, str) else None
    for field, value in told.items():
        info = cls.model_fields.get(field) if cls else None
        if (
            info
            and isinstance(value, str)
            and _WHOLE.fullmatch(value)
            and "int" in str(info.annotation)
            and "Annotated[str" not in str(info.annotation)
        ):
            told[field] = int(value)
    return told


@click.command()
@click.argument("name")
@FIELDS
@click.option("--file", "files", type=FILE, multiple=True, help="A file to bring along, where the act takes files.")
@happened
@signing
@as_json
def act(
    name: str, fields: tuple[str, ...], files: tuple[Path, ...], at: str | None, who: str | None, as_json: bool
) -> None:
    """Enter any act: its NAME and FIELD=VALUE words, or - to read the whole act as JSON.

    For instance: pairbook act place_hold pair=QH-0417 reason="Dropped from the bench" --as "Ida Brekke"
    """
    from registry.acts.attachments import takes_files

    instance = open_instance()
    told = _whole_numbers(_told(name, fields, at))
    signer = signer_of(instance, who)
    if files:
        if not takes_files(str(told.get("act"))):
            raise click.UsageError(f"{told.get('act')} takes no files.")
        told["files"] = [*told.get("files", []), *kept(instance, files)]
    enter(instance, told, signer, as_json)


@click.command()
@click.argument("name")
@FIELDS
@happened
@signing
@as_json
def check(name: str, fields: tuple[str, ...], at: str | None, who: str | None, as_json: bool) -> None:
    """Ask the go / no-go of an act. Writes nothing; ends with 0 for go and 1 for no go."""
    instance = open_instance()
    told = _whole_numbers(_told(name, fields, at))
    answer = entering.check(instance, told, signer_of(instance, who), now=now(), dice=dice)
    if as_json:
        print_json(
            {"go": not answer.reasons, "reasons": [r.as_json() for r in answer.reasons], "remarks": answer.remarks}
        )
    elif not answer.reasons:
        click.echo("Go.")
        for remark in answer.remarks:
            click.echo(remark)
    if answer.reasons:
        if not as_json:
            tell_refused(Refused(*answer.reasons))
        sys.exit(1)
