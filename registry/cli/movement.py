"""What is lent, at repair, or about to cross a border."""

import click

from registry.cli.terminal import as_json, instant, open_instance, print_json
from registry.domain.crossings import REMINDER
from registry.domain.loans import DIRECTIONS
from registry.domain.times import say_day


@click.command()
@click.option("--at", help="As it stood at this instant, like 2026-05-04T09:12:00Z.")
@as_json
def movements(at: str | None, as_json: bool) -> None:
    """List loans, halves at repair and planned border crossings."""
    from registry.queries import movement as queries

    instance, when = open_instance(), instant(at)
    with instance.database.reading() as db:
        out = queries.movements(db, when)
    if as_json:
        print_json({"at": when, **out.told()})
        return
    for loan in out.loans:
        click.echo(
            f"{loan.of}: {DIRECTIONS[loan.direction]}, {loan.partner}; {loan.due}. {loan.answers} answers for it."
        )
    for repair in out.repairs:
        click.echo(f"{repair.half}: at repair, {repair.keeper}, since {say_day(repair.since_at)}; {repair.due}.")
    for one in out.crossings:
        click.echo(
            f"{one.of}: {one.from_country} to {one.to_country}, {say_day(one.crosses_on)}. {' '.join(one.flags)}"
        )
    if out.crossings:
        click.echo(REMINDER)
    if not (out.loans or out.repairs or out.crossings):
        click.echo("Nothing is out.")
