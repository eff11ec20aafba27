"""Audits at the command line: how far each is, and where to walk next."""

from typing import Any

import click

from registry.cli.terminal import as_json, instant, open_instance, print_json
from registry.domain.audits import VERDICTS
from registry.domain.second_checks import say_counts
from registry.domain.times import say
from registry.errors import Reason, Refused


@click.command()
@click.argument("reference", required=False)
@as_json
def audits(reference: str | None, as_json: bool) -> None:
    """List audits, or one with its lines, what differed and where to walk next."""
    from registry.acts.references import resolve
    from registry.queries import audits as queries
    from registry.queries.second_checks import checks_in_audit

    instance, at = open_instance(), instant(None)
    with instance.database.reading() as db:
        if reference is None:
            told = queries.audits_told(db)
        else:
            found = resolve(db, "audit", reference, at)
            if isinstance(found, Reason):
                raise Refused(found)
            told = queries.audit_page(db, found, at).told() | {"seated_pairs_checked": checks_in_audit(db, found, at)}
    if as_json:
        print_json(told)
    elif reference is None:
        _say_all(told["audits"])
    else:
        _say_one(told)


def _say_all(listed: list[dict[str, Any]]) -> None:
    for row in listed:
        where = row["site"] or row["vehicle"] or "the fleet"
        end = f"closed {say(row['closed_at'])}" if row["closed_at"] else f"{row['answered']} of {row['lines']} answered"
        click.echo(f"{row['reference']}, {where}, opened {say(row['opened_at'])} by {row['auditor']}: {end}")
    if not listed:
        click.echo("No audit yet.")


def _say_one(told: dict[str, Any]) -> None:
    where = told["site"] or told["vehicle"] or "the fleet"
    click.echo(f"Audit {told['reference']}, {where}: {told['answered']} of {told['total']} answered.")
    for one in told["lines"]:
        scan = f" {one['scan']['told']}" if one["scan"] else ""
        click.echo(f"  {one['place']}: {VERDICTS[one['verdict']]}. {one['told']}{scan}")
    for one in told["discrepancies"]:
        state = f"settled {say(one['settled_at'])}" if one["settled_at"] else "open"
        click.echo(f"  Discrepancy, {state}: {one['words']}")
    click.echo(f"  {say_counts(told['seated_pairs_checked'])}")
    for hull in told["hulls_to_open"][:3]:
        click.echo(f"  Open {hull['vehicle']}, {hull['housing']} housing. {hull['told']}; {hull['waited']}.")
    if told["next"]:
        click.echo(f"Next: {told['next']['place']}, {told['next']['site']}.")
