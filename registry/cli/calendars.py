"""The calendar of due days at the command line."""

import click

from registry.cli.terminal import as_json, now, open_instance, print_json, signer_of, signing
from registry.domain.times import say_day, stamp


@click.command()
@click.option("--ics", is_flag=True, help="Print it as a calendar file (RFC 5545).")
@click.option("--new-address", is_flag=True, help="Make your secret address and print it; the one before is ended.")
@click.option("--base", metavar="URL", help="What the address begins with. The settings’ host and port, if left out.")
@signing
@as_json
def calendar(ics: bool, new_address: bool, base: str | None, who: str | None, as_json: bool) -> None:
    """List the days on which something of yours falls due: verifications, meters, refreshers, station checks."""
    from registry import accounts, calendar_keys
    from registry.acts import log as acts_log
    from registry.domain.people import May
    from registry.output.calendars import as_feed
    from registry.queries import log
    from registry.queries.calendars import due_days

    instance = open_instance()
    signer = signer_of(instance, who)
    host = base or f"http{'s' if instance.settings.https else ''}://{instance.settings.host}:{instance.settings.port}"
    if new_address:
        key = calendar_keys.make_key(instance.database, signer.person, now())
        click.echo(f"{host.rstrip('/')}/calendar/{key}.ics")
        return
    with instance.database.reading() as db:
        person = accounts.person_now(db, signer.person, now())
        everybody = bool(person and person.roles & May.EQUIP)
        days = due_days(db, stamp(now()), signer.person, everybody=everybody)
        head, outfit, name = acts_log.head(db), log.outfit_shown(db), acts_log.origin_line(db)
    if ics:
        click.echo(as_feed(days, name, outfit.name if outfit else "", head.recorded_at).decode(), nl=False)
    elif as_json:
        print_json({"due": [{"kind": d.kind, "on": d.on, "what": d.what, "told": d.told} for d in days]})
    else:
        for day in days:
            click.echo(f"{say_day(day.on)}: {day.title}. {day.told}")
        if not days:
            click.echo("Nothing is due on any day.")
