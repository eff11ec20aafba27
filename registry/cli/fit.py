"""Fit to deploy: what stands against each vehicle, for a voyage and a use; as text, JSON or sheets of paper."""

import sys
from pathlib import Path
from typing import Any

import click

from registry.cli.terminal import as_json, instant, known_size, now, open_instance, past, print_json, write_paper
from registry.domain.fit import VERDICTS
from registry.domain.fit_use import ASKED, say_tolerances
from registry.domain.times import say, stamp
from registry.domain.voyages import Voyage, read_voyage
from registry.errors import Reason, Refused


@click.command()
@click.argument("vehicles", nargs=-1, metavar="[VEHICLE]...")
@past
@click.option("--from", "since", metavar="DAY", default="", help="A planned voyage: its first day, or an instant.")
@click.option("--to", "until", metavar="DAY", default="", help="Its last day, or an instant.")
@click.option("--use", type=click.Choice([*ASKED]), help="Judge alignments for this use instead of each bay’s own.")
@click.option(
    "--pdf", type=click.Path(dir_okay=False, path_type=Path), help="Write the fit-to-deploy sheets to this file."
)
@as_json
def fit(
    vehicles: tuple[str, ...], at: str | None, known_on: str | None, since: str, until: str, use: str | None, pdf: Path | None, as_json: bool
) -> None:  # fmt: skip
    """Say whether vehicles are fit to deploy, worst first, and what stands against it. Ends with 1 when something stops one.

    A voyage that is over is judged as things stood when it began, unless --at says otherwise.
    """
    from registry.acts.references import resolve
    from registry.queries.fits import fit_record, question_record
    from registry.queries.fleet import vehicles_at

    instance, voyage = open_instance(), _voyage(since, until)
    when, known = instant(at), known_size(instance, known_on)
    if voyage and voyage.until <= when and not at:
        when = voyage.since
    with instance.database.reading() as db:
        found = [resolve(db, "vehicle", text, when, "vehicle") for text in vehicles]
        if unknown := [one for one in found if isinstance(one, Reason)]:
            raise Refused(*unknown)
        states = vehicles_at(db, when, known, found or None, voyage=voyage, use=use)
        if pdf:
            _write_sheets(db, pdf, states, when, known_on, voyage, use)
    if missing := len(set(found)) - len(states) if found else 0:
        told = f"{missing} of these vehicles {'was' if missing == 1 else 'were'} not known then."
        raise Refused(Reason("not_found", told, "vehicle", "Ask for a later instant."))
    if as_json:
        print_json(question_record(when, known_on, voyage, use) | {"vehicles": [fit_record(one) for one in states]})
    else:
        _tell(states, when, voyage, use)
    sys.exit(1 if any(one.severity == "stops" for one in states) else 0)


def _voyage(since: str, until: str) -> Voyage | None:
    try:
        return read_voyage(since, until)
    except ValueError as problem:
        raise click.BadParameter(str(problem), param_hint="--from / --to") from None


def _tell(states: list[Any], at: str, voyage: Voyage | None, use: str | None) -> None:
    asked = f" For a voyage {voyage.say()}." if voyage else ""
    asked += f" Judged for {ASKED[use]}: {say_tolerances(use)}." if use else ""
    click.echo(f"As of {say(at)}.{asked}")
    for one in states:
        click.echo(f"{one.name}: {VERDICTS[one.severity].lower()}" + (f" ({one.site})" if one.site else ""))
        for found in one.findings:
            evidence = f" (entry {found.seq:,})" if found.seq else ""
            click.echo(f"  {found.severity}: {found.fact}. {found.told}{evidence}")
            if found.acceptance_told:
                click.echo(f"    {found.acceptance_told}")
            if found.offer:
                click.echo(f"    clears it: {found.offer.label} ({found.offer.act})")


def _write_sheets(
    db: Any, pdf: Path, states: list[Any], at: str, known_on: str | None, voyage: Voyage | None, use: str | None
) -> None:
    from urllib.parse import urlencode

    from registry.output.fit_sheets import fit_sheets
    from registry.output.sheets import Question, proof_of

    told = {"at": f"{at[:19]}Z", "known_on": known_on, "use": use}
    told |= {"from": voyage.since[:10], "to": voyage.last_on} if voyage else {}
    query = urlencode({name: value for name, value in told.items() if value})
    pages = [(one, f"/vehicles/{one.code}?{query}") for one in states]
    write_paper(pdf, fit_sheets(pages, Question(at, known_on, voyage, use), proof_of(db, stamp(now()))))
    click.echo(f"Sheets of {len(pages)} {'vehicle' if len(pages) == 1 else 'vehicles'} written to {pdf}.", err=True)
