"""How a bay is mounted and aligned, and what to enter in its unit."""

from typing import Any

import click

from registry.cli.terminal import as_json, instant, known_size, open_instance, past, print_json
from registry.domain.alignments import say_state
from registry.domain.axis_checks import VERDICTS
from registry.domain.mounting_checks import VERDICTS as MOUNTING_VERDICTS
from registry.domain.mountings import ORIENTATIONS
from registry.domain.times import say
from registry.errors import Reason, Refused


@click.command()
@click.argument("bay")
@past
@as_json
def alignments(bay: str, at: str | None, known_on: str | None, as_json: bool) -> None:
    """Show how a bay is mounted and aligned, what to enter in the unit, and what comes next."""
    from registry.acts.references import resolve
    from registry.queries.alignments import bay_alignments

    instance = open_instance()
    when, known = instant(at), known_size(instance, known_on)
    with instance.database.reading() as db:
        found = resolve(db, "bay", bay, when)
        if isinstance(found, Reason):
            raise Refused(found)
        one = bay_alignments(db, found, when, known)
    if as_json:
        print_json(_plain(when, one))
    else:
        _tell(one)


def _tell(one: Any) -> None:
    words = ORIENTATIONS[one.mounting["orientation"]] if one.mounting else "nobody entered how"
    click.echo(f"Mounted: {words}.")
    if one.stay is None:
        click.echo("The bay is empty.")
    else:
        click.echo(f"{one.stay.pair} is in, since {say(one.stay.installed_at)}.")
        check = one.standing.check
        told = (
            f"{VERDICTS[check.verdict]}, {say(check.checked_at)}. {check.told}"
            if check
            else "missing since this install."
        )
        click.echo(f"Axis and sign check: {told}")
        if felt := one.standing.mounting:
            told = f"{MOUNTING_VERDICTS[felt.now]}, {say(felt.checked_at)}. {felt.since or felt.told}"
            click.echo(f"Mounting check: {told}")
        line = one.in_force
        click.echo(f"{say_state(line.alignment)} {line.alignment.told}" if line else "No alignment since this install.")
    width = max((len(row.what) for row in one.settings), default=0)
    for row in one.settings:
        sigma = f", sigma {row.sigma}" if row.sigma else ""
        click.echo(f"  {row.what:{width}}  {row.figure}  ({row.words}{sigma})")
    for line in one.of_bay:
        click.echo(f"Earlier here, {line.row['pair']}: {say_state(line.alignment)}")
    for line in one.of_pair:
        click.echo(f"This pair in {line.row['vehicle']}, bay {line.row['letter']}: {say_state(line.alignment)}")
    for step in one.steps:
        click.echo(f"Next: {step.act}")


def _plain(when: str, one: Any) -> dict[str, Any]:
    def told(line: Any) -> dict[str, Any]:
        return {"id": line.alignment.id, "state": line.alignment.state, "pair": line.row["pair"], "told": line.alignment.told,
                "aligned_at": line.alignment.aligned_at, "found_by": line.alignment.found_by, "ended_at": line.row["removed_at"]}  # fmt: skip

    check, felt = one.standing.check, one.standing.mounting
    return {
        "at": when,
        "orientation": one.mounting["orientation"] if one.mounting else None,
        "pair": one.stay.pair if one.stay else None,
        "axis_check": {"verdict": check.verdict, "told": check.told, "checked_at": check.checked_at} if check else None,
        "mounting_check": {"id": felt.id, "verdict": felt.now, "told": felt.told, "checked_at": felt.checked_at} if felt else None,
        "in_force": told(one.in_force) if one.in_force else None,
        "settings": [{"what": row.what, "figure": row.figure, "words": row.words, "sigma": row.sigma} for row in one.settings],
        "earlier_in_bay": [told(line) for line in one.of_bay],
        "of_pair_elsewhere": [told(line) for line in one.of_pair],
        "next": [step.act for step in one.steps],
    }  # fmt: skip
