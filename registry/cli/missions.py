"""Missions, and what each rode on."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import click

from registry.cli.terminal import as_json, instant, known_size, open_instance, past, print_json
from registry.domain.times import say
from registry.errors import Reason, Refused

if TYPE_CHECKING:
    from registry.queries.missions import MissionPage


@click.command()
@click.argument("reference", required=False)
@past
@as_json
def missions(reference: str | None, at: str | None, known_on: str | None, as_json: bool) -> None:
    """List missions, or show what one rode on: the share of each pair of it, what it rested on, what stood against sailing."""
    from registry.acts.references import resolve
    from registry.queries import missions as queries

    instance = open_instance()
    when, known = instant(at), known_size(instance, known_on)
    with instance.database.reading() as db:
        if reference is None:
            listed = queries.missions_listed(db, when, known)
            told: Any = [{**dict(row), "state": queries.state_of(row)} for row in listed]
        else:
            found = resolve(db, "mission", reference, when)
            if isinstance(found, Reason):
                raise Refused(found)
            page = queries.mission_page(db, found, when, known)
            if page is None:
                raise Refused(Reason("not_found", "That mission was not known then.", next="Ask for a later instant."))
            told = page.told()
    if as_json:
        print_json({"at": when, "missions": told} if reference is None else {"at": when, **told})
    elif reference is None:
        for row in told:
            click.echo(f"{row['reference']}  {row['vehicle']}, {row['area']}: {row['state']}{_when(row)}")
        if not told:
            click.echo("No mission yet.")
    else:
        _say_one(page)


def _when(row: Mapping[str, Any]) -> str:
    first, last = row["started_at"] or row["planned_from_at"], row["ended_at"] or row["planned_to_at"]
    if row["withdrawn_seq"]:
        return f" by entry {row['withdrawn_seq']:,}: {row['withdrawn_why']}"
    until = f" to {say(last)}" if last and (row["ended_at"] or not row["started_at"]) else ""
    ran = f", {row['distance_km']} km" if row["distance_km"] else ""
    return f", {say(first)}{until}{ran}"


def _say_one(page: "MissionPage") -> None:
    from registry.domain.fit import VERDICTS

    click.echo(f"{page.row['reference']}, {page.row['vehicle']}, {page.row['area']}: {page.state}{_when(page.row)}")
    for one in page.amended:
        click.echo(f"  Put right. {one.say()} (entry {one.seq:,})")
    for found in page.impacts:
        words = f" {found.words}" if found.words else ""
        click.echo(
            f"  {found.answer_said} {found.of[0].upper()}{found.of[1:]} was found bad.{words} (impact {found.id})"
        )
    for bay in page.bays:
        for share in bay.shares:
            doubt = f" Pair not confirmed since {say(share.unconfirmed_since)}." if share.unconfirmed_since else ""
            click.echo(f"  {bay.letter}  {share.pair}, {share.percent:.0f} %, {share.hours:.1f} h.{doubt}")
            verified = share.due.say() if share.due else "No verification on record."
            click.echo(f"     {verified} Alignment: {share.alignment_said} Axis and sign check: {share.check_said}")
            if share.unaligned_h > 0.05:
                click.echo(f"     {share.unaligned_h:.1f} h with no alignment.")
            click.echo(f"     Last scan {share.proved_days} days before the end of this share.")
        if bay.empty_h > 0.05:
            click.echo(f"  {bay.letter}  no pair for {bay.empty_h:.1f} h")
    if page.state == "planned":
        click.echo(f"Against sailing on the planned days: {len(page.ahead) or 'nothing'}.")
    for finding in page.ahead:
        click.echo(f"  {finding.severity}: {finding.fact}. {finding.told}")
    if page.all_the_same:
        click.echo(f"Why it sailed all the same: {page.all_the_same}")
    if page.severity:
        click.echo(f"At sailing: {VERDICTS[page.severity].lower()}.")
        for finding in page.sailing:
            click.echo(f"  {finding.severity}: {finding.fact}. {finding.told}")
