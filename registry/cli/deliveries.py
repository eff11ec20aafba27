"""What came in, and how far it is unpacked."""

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
            listed = [dict(row) for row in queries.deliveries_listed(db)]
            page = None
        else:
            found = resolve(db, "delivery", reference, at)
            if isinstance(found, Reason):
                raise Refused(found)
            page = queries.delivery_page(db, found, at)
    if page is None:
        _tell_all(listed, as_json)
    else:
        _tell_one(page, as_json)


def _tell_all(listed: list, as_json: bool) -> None:
    if as_json:
        print_json(listed)
        return
    for row in listed:
        click.echo(
            f"{row['reference']} from {row['sender']}, {row['site']}, {say(row['arrived_at'])}:"
            f" {row['entered']} of {row['cartons']} entered, {row['inspected']} inspected"
        )
    if not listed:
        click.echo("No delivery yet.")


def _tell_one(page, as_json: bool) -> None:
    told = [
        {
            "number": one.row["number"],
            "state": one.carton.state(),
            "half": one.half.code if one.half else None,
            "partner": one.mate.code if one.mate else None,
            "outcome": one.row["outcome"],
            "next": one.next.act if one.next else None,
        }
        for one in page.cartons
    ]
    if as_json:
        print_json({**dict(page.row), "missing": page.missing, "contents": told})
        return
    click.echo(f"{page.row['reference']} from {page.row['sender']}, {page.row['site']}, {say(page.row['arrived_at'])}.")
    for one in told:
        half = f"half {say_code(one['half'])}" if one["half"] else "no half"
        mate = f", partner {say_code(one['partner'])}" if one["partner"] else ""
        after = f"; next: {one['next']}" if one["next"] else ""
        click.echo(f"  {one['number']}  {half}{mate}: {one['state']}{after}")
    for number in page.missing:
        click.echo(f"  {number}  not entered yet")
