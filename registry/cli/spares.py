"""Spares of a bay and for a voyage, and the plan of fewest openings."""

import sys
from typing import Any

import click

from registry.cli.telling import options
from registry.cli.terminal import as_json, instant, known_size, open_instance, past, print_json
from registry.domain.sailings import WRITTEN, Sailing, read_sailing, sailing
from registry.domain.times import read_instant, say, stamp
from registry.errors import Reason, Refused

sails = options(
    click.option("--sailing", "lines", multiple=True, metavar="SAILING", help=f"{WRITTEN} May be given many times."),
    click.option(
        "--vehicle", "vehicles", multiple=True, metavar="VEHICLE", help="A vehicle that sails from --from to --to."
    ),
    click.option("--from", "since", metavar="INSTANT", help="When they sail, RFC 3339 with an offset."),
    click.option("--to", "until", metavar="INSTANT", help="When they are back, RFC 3339 with an offset."),
    click.option("--use", metavar="USE", help="What for: alignments are judged by its tolerances."),
)


def _sailings(
    lines: tuple[str, ...], vehicles: tuple[str, ...], since: str | None, until: str | None, use: str | None
) -> list[Sailing]:
    if vehicles and not (since and until):
        raise click.UsageError("Say from when to when they sail, with --from and --to.")
    try:
        named = [read_sailing(line) for line in lines]
        if vehicles:
            ends = [stamp(read_instant(text or "")) for text in (since, until)]
            named += [sailing(one, *ends, use) for one in vehicles]
    except ValueError as problem:
        raise click.UsageError(str(problem)) from None
    return named


@click.command()
@click.argument("bay", required=False)
@sails
@past
@as_json
def spare(bay: str | None, lines: tuple[str, ...], vehicles: tuple[str, ...], since: str | None, until: str | None, use: str | None, at: str | None, known_on: str | None, as_json: bool) -> None:  # fmt: skip
    """List the spares of a bay, best first; or, for vehicles that sail, which bays have no ready spare aboard and what
    falls due on the way. Ends with 1 when there is no ready spare."""
    from registry import planner
    from registry.acts.references import resolve
    from registry.queries.spares import bay_spares
    from registry.queries.voyages import voyage

    named = _sailings(lines, vehicles, since, until, use)
    if bool(bay) == bool(named):
        raise click.UsageError("Name a bay, or vehicles that sail.")
    instance = open_instance()
    when, known = instant(at), known_size(instance, known_on)
    with instance.database.reading() as db:
        if named:
            listed = [one.told() for one in voyage(db, planner.looked_up(db, named, when), when, known)]
        else:
            found = resolve(db, "bay", bay or "", when)
            one = None if isinstance(found, Reason) else bay_spares(db, found, when, known)
            if one is None:
                raise Refused(
                    found if isinstance(found, Reason) else Reason("not_found", "That bay was not known then.")
                )
    if as_json:
        print_json({"at": when, "vehicles": listed} if named else {"at": when, **one.told()})
    elif named:
        _say_voyage(listed)
    else:
        _say_bay(one.told())
    bare = any(told["without_spare"] for told in listed) if named else not one.ready
    sys.exit(1 if bare else 0)


def _say_bay(told: dict[str, Any]) -> None:
    kit = {True: "a swap kit is at hand", False: "no swap kit is at hand", None: "nobody entered what a swap takes"}
    click.echo(f"{told['bay']}: {kit[told['kit']['at_hand']]}.")
    for one in told["spares"]:
        state = "ready" if one["ready"] else "kept out" if one["kept_out"] else "needs more"
        click.echo(f"  {one['pair']}: {state}, {one['where']}.")
        for need in one["needs"]:
            click.echo(f"    {need['told']}")
    if not told["spares"]:
        click.echo("  No pair is free.")


def _say_voyage(listed: list[dict[str, Any]]) -> None:
    for one in listed:
        click.echo(f"{one['vehicle']}, {say(one['from'])} to {say(one['to'])}:")
        for bay in one["bays"]:
            ready = ", ".join(bay["ready_aboard"]) or "no ready spare aboard"
            click.echo(f"  {bay['bay']}: {ready}")
        for due in one["due"]:
            click.echo(f"  {due['say']}: {due['pair']} in bay {due['bay']}. {due['told']}")
        for end in one["endings"]:
            click.echo(f"  {end['fact']}. {end['told']}")


@click.command()
@sails
@click.option("--accept-care", is_flag=True, help="Leave to a named acceptance what may sail with one.")
@past
@as_json
def openings(lines: tuple[str, ...], vehicles: tuple[str, ...], since: str | None, until: str | None, use: str | None, accept_care: bool, at: str | None, known_on: str | None, as_json: bool) -> None:  # fmt: skip
    """Plan the swaps, tests and alignments that make most of these vehicles fit with the fewest openings and hours. It
    enters nothing. Ends with 1 when one of them cannot be made fit."""
    from registry import planner
    from registry.domain.fewest_openings import say_minutes, say_score

    named = _sailings(lines, vehicles, since, until, use)
    if not named:
        raise click.UsageError("Name the vehicles that sail.")
    instance = open_instance()
    when, known = instant(at), known_size(instance, known_on)
    plan = planner.planned(instance.database, named, when, known, accept_care=accept_care)
    if as_json:
        print_json({"at": when, **plan.told()})
    else:
        click.echo(f"{say_score(plan.score)}.{'' if plan.proved else ' A better plan may exist: time ran out.'}")
        for line in plan.lines:
            click.echo(f"{line.vehicle}, {line.sails}: {say_minutes(line.minutes) if line.fit else 'not made fit'}")
            for told in (*line.why, *line.kept, *(f"Left to a named acceptance: {care}" for care in line.care)):
                click.echo(f"  {told}")
            for number, step in enumerate(line.steps, 1):
                act = f" [{step.offer.act}]" if step.offer else ""
                click.echo(f"  {number}. {step.told}, {say_minutes(step.minutes)}{act}")
        for other in plan.fallbacks:
            click.echo(f"{other.when}: {other.told}")
        for told in plan.assumed:
            click.echo(f"Assumed: {told}")
    sys.exit(0 if all(line.fit for line in plan.lines) else 1)
