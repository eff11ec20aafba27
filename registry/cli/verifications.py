"""What is due for verification."""

import sys

import click

from registry.cli.terminal import as_json, instant, known_size, open_instance, past, print_json
from registry.domain.times import say


@click.command()
@past
@as_json
def due(at: str | None, known_on: str | None, as_json: bool) -> None:
    """List when every pair is due for verification, worst first. Ends with 1 when one is overdue or has failed."""
    from registry.queries.verifications import due_listed, due_told

    instance = open_instance()
    when, known = instant(at), known_size(instance, known_on)
    with instance.database.reading() as db:
        listed = due_listed(db, when, known)
    if as_json:
        print_json({"at": when, "due": [due_told(one) for one in listed]})
    else:
        for one in listed:
            place = f" In {one.seat[0]}, bay {one.seat[1]}." if one.seat else ""
            click.echo(f"{one.due.pair}: {one.say()}. {one.due.say()}{place}")
        click.echo(f"{len(listed)} {'pair' if len(listed) == 1 else 'pairs'}, as of {say(when)}.")
    if any(one.rank[0] < 2 for one in listed):
        sys.exit(1)
