"""What computations ask for: recordings with their progress, and options that make a whole call."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import click


def recording(source: str) -> Any:
    """The source of a long recording: the input as it comes for `-`, else the path."""
    return sys.stdin.buffer if source == "-" else source


@contextmanager
def reading_shown() -> Iterator[Callable[[int, float | None], None] | None]:
    """What tells how far the reading is, on a terminal, and wipes its line at the end; None where there is no terminal."""
    if not sys.stderr.isatty():
        yield None
        return

    def show(rows: int, share: float | None) -> None:
        click.echo(f"\rRead {rows:,} rows{'' if share is None else f', {share:.0%}'}   ", nl=False, err=True)

    try:
        yield show
    finally:
        click.echo(f"\r{' ' * 40}\r", nl=False, err=True)


def three(text: str, option: str) -> tuple[str, ...]:
    """Three words with commas between them, or a wrong call."""
    words = tuple(word.strip() for word in text.split(","))
    if len(words) != 3:
        raise click.BadParameter("Give three directions like forward,starboard,down.", param_hint=option)
    return words


def one_of(ways: dict[str, bool]) -> str:
    """The one way of asking that was used; a wrong call when there is none, or more than one."""
    used = [way for way, is_used in ways.items() if is_used]
    told = ", or ".join(ways)
    if len(used) != 1:
        raise click.UsageError(f"Give {told}." if not used else f"Give one of these only: {told}.")
    return used[0]


def all_or_usage(given: dict[str, Any], *names: str) -> None:
    """A wrong call naming every option that is still missing."""
    missing = [f"--{name.replace('_', '-')}" for name in names if given.get(name) is None]
    if missing:
        raise click.UsageError(f"Give {', '.join(missing)} too.")


def day(text: str, option: str) -> Any:
    """A calendar day, or a wrong call."""
    from datetime import date

    from registry.domain.times import read_day

    try:
        return date.fromisoformat(read_day(text))
    except ValueError as problem:
        raise click.BadParameter(str(problem), param_hint=option) from None
