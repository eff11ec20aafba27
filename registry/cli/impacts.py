"""What something found bad was used for."""

import sys
from typing import Any

import click

from registry.cli.terminal import as_json, instant, open_instance, print_json
from registry.domain.impacts import ANSWERS
from registry.domain.times import say, say_day
from registry.errors import Reason, Refused


@click.command()
@click.argument("thing", required=False)
@as_json
def impact(thing: str | None, as_json: bool) -> None:
    """List impacts, or the lines of one, worst first: by the name of its pair or its id. Ends with 1 while a line waits, or would."""
    from registry.acts.references import resolve
    from registry.queries import impacts

    instance, at = open_instance(), instant(None)
    with instance.database.reading() as db:
        if thing is None:
            listed = impacts.impacts_listed(db, at)
            told: Any = {"at": at, "impacts": listed}
            waits = any(one["answered"] < one["lines"] or impacts.say_change(one) for one in listed)
        else:
            found = resolve(db, "impact", thing, at)
            if isinstance(found, Reason):
                raise Refused(found)
            page = impacts.impact_page(db, found, at)
            assert page is not None, "it was resolved"
            told, waits = {"at": at, **page.told()}, bool(page.unanswered or page.outdated)
    if as_json:
        print_json(told)
    elif thing is None:
        for one in told["impacts"]:
            click.echo(f"{one['id']}  {one['of']}, {say(one['found_at'])}: {one['answered']} of {one['lines']} answered. {one['reason']} {impacts.say_change(one)}".rstrip())  # fmt: skip
        if not told["impacts"]:
            click.echo("Nothing was found bad.")
    else:
        _say_one(told)
    sys.exit(1 if waits else 0)


def _say_one(told: dict[str, Any]) -> None:
    click.echo(f"{told['of']}: {told['reason']}")
    click.echo(f"{told['window']['told']} {told['unanswered']} of {len(told['lines'])} lines have no answer.")
    for line in told["lines"]:
        answer = ANSWERS[line["answer"]] if line["answer"] else "needs an answer"
        error = f", {line['error_m']} m" if line["error_m"] else f", {line['error_m_per_km']} m in each km" if line["error_m_per_km"] else ""  # fmt: skip
        most = f"  at most {line['at_most_m']:.1f} m" if line["at_most_m"] is not None else ""
        click.echo(f"  {say_day(line['starts_on'])}  {line['told']}{most}: {answer}{error}")
    for words in told["would_add"]:
        click.echo(f"  History was amended; it would gain: {words}")
    if told["would_drop"]:
        click.echo(f"  History was amended; it would drop {told['would_drop']}.")
