"""What came in, and how far it is unpacked."""

from typing import Any

import click

from registry.cli.terminal import as_json, instant, open_instance, print_json
from registry.domain.codes import say_code
from registry.domain.times import say
from registry.errors import Reason, Refused


@click.command()
@click.argument("reference", required=False)
@as_json
def deliveries(reference: str | None, as_json: bool) -> None:
    """List deliveries, or the cartons of one, with the act that comes next for each."""
    from registry.acts.references import resolve
    from registry.queries import deliveries as queries

    instance, at = open_instance(), instant(None)
    with instance.database.reading() as db:
        if reference is None:
            told = queries.deliveries_told(db)
        else:
            found = resolve(db, "delivery", reference, at)
            if isinstance(found, Reason):
                raise Refused(found)
            told = queries.delivery_page(db, found, at).told()
    if as_json:
        print_json(told)
    elif reference is None:
        _say_all(told["deliveries"])
    else:
        _say_one(told)


def _say_all(listed: list[dict[str, Any]]) -> None:
    for row in listed:
        click.echo(
            f"{row['reference']} from {row['sender']}, {row['site']}, {say(row['arrived_at'])}:"
            f" {row['entered']} of {row['cartons']} entered, {row['inspected']} inspected"
        )
    if not listed:
        click.echo("No delivery yet.")


def _say_one(told: dict[str, Any]) -> None:
    click.echo(f"{told['reference']} from {told['sender']}, {told['site']}, {say(told['arrived_at'])}.")
    for one in told["contents"]:
        half = f"half {say_code(one['half']['code'])}" if one["half"] else "no half"
        mate = f", partner {say_code(one['partner']['code'])}" if one["partner"] else ""
        after = f"; next: {one['next']}" if one["next"] else ""
        click.echo(f"  {one['number']}  {half}{mate}: {one['state']}{after}")
    for number in told["missing"]:
        click.echo(f"  {number}  not entered yet")
