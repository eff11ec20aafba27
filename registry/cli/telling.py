"""How commands print: answers as words or JSON, refusals on the error output, progress on a terminal. Needs no registry."""

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from registry.errors import Reason, Refused


def options(*decorators: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """Several options as one decorator, in the order given."""

    def apply(command: Any) -> Any:
        for decorator in reversed(decorators):
            command = decorator(command)
        return command

    return apply


as_json = click.option("--json", "as_json", is_flag=True, help="Print JSON.")


def tell_refused(refused: Refused, head: str = "Refused. Nothing was written.") -> None:
    """Every reason on the error output, each with its way out."""
    if "--json" in sys.argv:
        click.echo(json.dumps({"reasons": [r.as_json() for r in refused.reasons]}, ensure_ascii=False), err=True)
        return
    click.echo(head, err=True)
    for reason in refused.reasons:
        where = f" [{reason.field}]" if reason.field else ""
        click.echo(f"- {reason.message}{f' {reason.next}' if reason.next else ''} ({reason.code}{where})", err=True)


def show_progress(what: str, done: int, of: int) -> None:
    """How far something is, on a terminal only: a file or a pipe gets no half lines."""
    if sys.stderr.isatty() and (done % 25 == 0 or done >= of):
        click.echo(f"\r{what}: {done:,} of {of:,}   ", nl=done >= of, err=True)


def print_json(value: Any) -> None:
    click.echo(json.dumps(value, ensure_ascii=False, indent=2))


def read_words(file: Path, field: str, do: str) -> str:
    """The text in a file, or why it is none."""
    try:
        return file.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        raise Refused(Reason("wrong_form", f"{file} holds no text.", field, do)) from None
