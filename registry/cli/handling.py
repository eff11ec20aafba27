"""What the benches work by, and what their meters are good for."""

from dataclasses import asdict

import click

from registry.cli.terminal import as_json, instant, known_size, open_instance, past, print_json
from registry.domain.times import say_day
from registry.errors import Reason, Refused


@click.command()
@click.option("--site", help="One site. Left out: what all sites work by.")
@past
@as_json
def plan(site: str | None, at: str | None, known_on: str | None, as_json: bool) -> None:
    """Print what a site works by: limits and periods, each with its default and source."""
    from registry.acts.references import resolve
    from registry.queries import plans

    instance, when = open_instance(), instant(at)
    known = known_size(instance, known_on)
    with instance.database.reading() as db:
        found = resolve(db, "site", site, when) if site else None
        if isinstance(found, Reason):
            raise Refused(found)
        groups = plans.plan_page(db, found, when, known)
    if as_json:
        print_json({"site": found, "figures": [asdict(line) for lines in groups.values() for line in lines]})
        return
    for group, lines in groups.items():
        click.echo(f"{group}:")
        for line in lines:
            more = f" Default: {line.said_default()}." if line.own else ""
            click.echo(f"  {line.label}: {line.said()}. {line.source}.{more}{' Less careful.' if line.looser else ''}")


@click.command()
@click.option("--at", "at", metavar="INSTANT", help="As of this instant, RFC 3339 with an offset.")
@as_json
def meters(at: str | None, as_json: bool) -> None:
    """List meters with the last day each is good for."""
    from registry.domain.readings import METER_KINDS
    from registry.queries import meters as queries

    instance, when = open_instance(), instant(at)
    with instance.database.reading() as db:
        listed = queries.meters_listed(db, when)
    if as_json:
        print_json({"meters": [dict(one) for one in listed]})
        return
    for one in listed:
        if one["ended_at"]:
            state = f"out of use since {say_day(one['ended_at'][:10])}"
        elif one["due_on"]:
            state = f"{'was due on' if one['due_on'] < when[:10] else 'good to'} {say_day(one['due_on'])}"
        else:
            state = "no calibration on record"
        click.echo(f"{one['name']}: {METER_KINDS[one['reads']]}, {one['site']}, {state}")
    if not listed:
        click.echo("No meter yet.")
