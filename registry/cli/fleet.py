"""Where things are and were."""

import sys
from dataclasses import asdict
from typing import Any

import click

from registry.cli.terminal import as_json, instant, known_size, open_instance, past, print_json
from registry.domain.codes import say_code
from registry.domain.fit import VERDICTS
from registry.domain.freshness import say_scan
from registry.domain.times import say
from registry.errors import Reason, Refused


@click.command()
@click.argument("thing")
@past
@as_json
def where(thing: str, at: str | None, known_on: str | None, as_json: bool) -> None:
    """Say where a half or a pair is, or was: a code, a label, a serial, the name of a pair."""
    from registry.acts.references import resolve
    from registry.models.whereabouts import whereabouts
    from registry.queries.halves import halves_shown
    from registry.queries.pairings import pair_page

    instance = open_instance()
    when, known = instant(at), known_size(instance, known_on)
    with instance.database.reading() as db:
        pair_id = resolve(db, "pairing", thing, when)
        half_id = resolve(db, "half", thing, when)
        if not isinstance(half_id, Reason):
            halves = list(halves_shown(db, [half_id], when, known).values())
        elif not isinstance(pair_id, Reason) and (page := pair_page(db, pair_id, when, known)):
            halves = [page.sensor, page.electronics]
        else:
            raise Refused(half_id)
        places = whereabouts(db, [half.id for half in halves], when, known)
    if as_json:
        print_json(
            {
                "at": when,
                "halves": [
                    {
                        "code": h.code,
                        "kind": h.kind,
                        "serial": h.serial,
                        "where": places[h.id].say(),
                        "vehicle": places[h.id].vehicle,
                        "bay": places[h.id].letter,
                        "site": places[h.id].site,
                        "spot": places[h.id].spot,
                        "since": places[h.id].since_at,
                    }
                    for h in halves
                ],
            }
        )
        return
    for h in halves:
        click.echo(
            f"{h.kind.capitalize()} half {say_code(h.code)}, {h.type_name}, serial {h.serial}: {places[h.id].say()} (as of {say(when)})."
        )


@click.command()
@past
@as_json
def fleet(at: str | None, known_on: str | None, as_json: bool) -> None:
    """Show which vehicle carries which pair, worst first. Ends with 1 when something stops a vehicle."""
    from registry.queries.fleet import vehicles_at
    from registry.queries.under_way import under_way

    instance = open_instance()
    when, known = instant(at), known_size(instance, known_on)
    with instance.database.reading() as db:
        vehicles, out = vehicles_at(db, when, known), under_way(db, when, known)
    if as_json:
        print_json(
            {
                "at": when,
                "vehicles": [
                    {
                        "name": v.name,
                        "site": v.site,
                        "severity": v.severity,
                        "out_on": asdict(out[v.id]) if v.id in out else None,
                        "bays": [_bay(b) for b in v.bays],
                        "findings": [
                            {"severity": f.severity, "code": f.code, "fact": f.fact, "told": f.told} for f in v.findings
                        ],
                    }
                    for v in vehicles
                ],
            }
        )
    else:
        click.echo(f"As of {say(when)}.")
        for v in vehicles:
            click.echo(f"{v.name}: {VERDICTS[v.severity].lower()}" + (f" ({v.site})" if v.site else ""))
            if v.id in out:
                click.echo(f"  {out[v.id].say()}.")
            for b in v.bays:
                scan = f". {say_scan(b.confirmed_at, b.mission_days, when)}" if b.pair else ""
                click.echo(f"  {b.letter}  {b.pair or ('lifted, none seated' if b.seat_follows else 'empty')}{scan}")
            for f in v.findings:
                click.echo(f"  {f.severity}: {f.fact}. {f.told}")
    sys.exit(1 if any(v.severity == "stops" for v in vehicles) else 0)


def _bay(b: Any) -> dict[str, Any]:
    """A bay of the fleet as plain data."""
    halves = {"pair": b.pair, "sensor": b.sensor_code, "electronics": b.electronics_code}
    scan = {"since": b.installed_at, "scanned_at": b.confirmed_at, "mission_days": b.mission_days}
    return {"letter": b.letter, **halves, **scan}


@click.command()
@click.argument("thing")
@past
@as_json
def history(thing: str, at: str | None, known_on: str | None, as_json: bool) -> None:
    """Show what happened to a pair, half, bay or vehicle, newest first."""
    from registry.queries import history as queries

    instance = open_instance()
    when, known = instant(at), known_size(instance, known_on)
    with instance.database.reading() as db:
        events = queries.history(db, _about(db, thing, when), when, known)
    if as_json:
        print_json(
            [
                {"at": e.at, "kind": e.kind, "words": e.words, "entry": e.seq, "by": e.by, "amended": e.amended or None}
                for e in events
            ]
        )
        return
    for e in events:
        click.echo(
            f"{say(e.at)}  {e.words}{f' {e.by}.' if e.by else ''} (entry {e.seq:,})"
            + (f" Amended: {e.amended}" if e.amended else "")
        )


def _about(db: Any, thing: str, at: str) -> Any:
    """What the history is about: whichever kind of thing the text names, tried in this order."""
    from registry.acts.references import resolve
    from registry.queries.history import About
    from registry.queries.pairings import pair_halves

    found = {kind: resolve(db, kind, thing, at) for kind in ("vehicle", "bay", "half", "pairing")}
    if not isinstance(found["vehicle"], Reason):
        from registry.queries.fleet import vehicles_at

        state = vehicles_at(db, at, only=[found["vehicle"]])
        bays = tuple(bay.id for one in state for bay in one.bays)
        return About(
            vehicles=(found["vehicle"],), bays=bays, housings=tuple(h.housing_id for one in state for h in one.housings)
        )
    if not isinstance(found["bay"], Reason):
        return About(bays=(found["bay"],))
    if not isinstance(found["half"], Reason):
        return About(halves=(found["half"],))
    if not isinstance(found["pairing"], Reason):
        return About(pairings=(found["pairing"],), halves=pair_halves(db, found["pairing"]))
    raise Refused(found["half"])
