"""What labels are, and a heap of them sorted: typed, piped or from photos. Reading only; nobody needs to sign."""

import sys
from pathlib import Path
from typing import Any

import click

from registry.cli.terminal import as_json, instant, open_instance, print_json
from registry.domain.codes import say_code
from registry.errors import Reason, Refused

photos_given = click.option(
    "--photo",
    "photos",
    multiple=True,
    metavar="FILE",
    type=click.Path(exists=True, dir_okay=False, readable=True, path_type=Path),
    help="Read every symbol in this picture (JPEG, PNG or WebP); may be given more than once.",
)


def read_all(texts: tuple[str, ...], photos: tuple[Path, ...]) -> list[str]:
    """The texts given, and those of every symbol in the photos. Every photo that gives none is told at once."""
    from registry.photos import MOST_BYTES, read_photo

    found, reasons = list(texts), []
    for path in photos:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
        try:
            found += [symbol.text for symbol in read_photo(data)]
        except Refused as refused:
            reasons += [Reason(r.code, f"{path}: {r.message}", r.field, r.next) for r in refused.reasons]
    if reasons:
        raise Refused(*reasons)
    return found


@click.command()
@click.argument("texts", nargs=-1)
@photos_given
@as_json
def scan(texts: tuple[str, ...], photos: tuple[Path, ...], as_json: bool) -> None:
    """Say what labels are: codes of ours, makers’ labels, serials, or photos of them.

    Ends with 1 when one is not known.
    """
    from registry.models.lookups import hosts
    from registry.queries.scans import scanned

    instance = open_instance()
    read = read_all(texts, photos)
    if not read:
        raise click.UsageError("Give labels as arguments, or photos of them with --photo.")
    with instance.database.reading() as db:
        known = hosts(db)
        things = [scanned(db, text, known) for text in read]
    if as_json:
        print_json([_scanned_told(thing) for thing in things])
    else:
        _say_scanned(things)
    sys.exit(1 if any(t.kind in ("unknown", "ambiguous") for t in things) else 0)


def _scanned_told(thing: Any) -> dict[str, Any]:
    from dataclasses import asdict

    return {
        "text": thing.text,
        "kind": thing.kind,
        "code": thing.code or None,
        "copy": thing.copy,
        "name": thing.name or None,
        "message": thing.told or None,
        "next": thing.do or None,
        "near": [half.code for half in thing.near],
        "label": asdict(thing.label) if thing.label else None,
    }


def _say_scanned(things: list[Any]) -> None:
    from registry.domain.texts import shown

    for t in things:
        click.echo(
            f"{t.name or shown(t.text)}: {t.kind}"
            + (f", {say_code(t.code)}" if t.code else "")
            + (f", copy {t.copy} of its label: no evidence of where it is" if t.copy else "")
            + (f". {t.told} {t.do}" if t.told else "")
        )
        for half in t.near:
            click.echo(f"  near it, and not taken for it: {half.say()}, serial {half.serial}")


@click.command()
@click.argument("texts", nargs=-1)
@photos_given
@as_json
def sort(texts: tuple[str, ...], photos: tuple[Path, ...], as_json: bool) -> None:
    """Sort a heap of halves into pairs: labels as arguments, in photos, or one a line on the input.

    Ends with 0 when every half has its partner here, else with 1.
    """
    from registry.queries.tray import tray

    instance = open_instance()
    labels = read_all(texts, photos)
    if not texts and not photos:
        labels = [line.rstrip("\r\n") for line in sys.stdin if line.strip()]
    if not labels:
        raise click.UsageError("Give labels as arguments, in photos with --photo, or one a line on the input.")
    with instance.database.reading() as db:
        lying = tray(db, labels, instant(None))
    found = lying.whole
    paired = {half.id for match in found for half in match.halves}
    apart = [one for one in lying.halves if one.half.id not in paired]
    strange = [thing for thing in lying.things if thing.kind in ("unknown", "ambiguous")]
    if as_json:
        print_json(_sorted_told(lying, found, apart, strange))
    else:
        _say_sorted(lying, found, apart, strange)
    sys.exit(0 if found and not apart and not strange else 1)


def _sorted_told(lying: Any, found: list[Any], apart: list[Any], strange: list[Any]) -> dict[str, Any]:
    return {
        "verdict": lying.verdict,
        "pairs": [{"pair": m.pairing.name if m.pairing else None, "halves": [h.code for h in m.halves]} for m in found],
        "apart": [
            {
                "half": o.half.code,
                "kind": o.half.kind,
                "pair": o.pairing.name if o.pairing else None,
                "partner": o.partner.code if o.partner else None,
                "partner_where": o.partner_where or None,
            }
            for o in apart
        ],
        "strangers": [{"text": t.text, "message": t.told, "next": t.do} for t in strange],
        "on_hold": {o.half.code: o.held for o in lying.halves if o.held},
        "not_accepted": {o.half.code: o.not_accepted for o in lying.halves if o.not_accepted},
    }


_APART = {"mixed": "Mixed. Do not join.", "same_kind": "Two halves of a kind.", "former": "Were a pair once."}


def _say_sorted(lying: Any, found: list[Any], apart: list[Any], strange: list[Any]) -> None:
    from registry.domain.texts import shown

    for m in found:
        click.echo(f"Whole: {m.pairing.name if m.pairing else ''} = {m.halves[0].say()} with {m.halves[1].say()}")
    if lying.verdict in _APART:
        click.echo(_APART[lying.verdict])
    for o in apart:
        partner = f"its partner is {o.partner.say()}, {o.partner_where}" if o.partner else "it is in no pair"
        click.echo(f"Alone: {o.half.say()}; {partner}")
    for t in strange:
        click.echo(f"Not known: {shown(t.text)}. {t.told} {t.do}")
    for o in lying.halves:
        if o.held:
            click.echo(f"On hold: {o.half.say()}. {o.held}")
        if o.not_accepted:
            click.echo(f"Not to be installed: {o.half.say()} is {o.not_accepted}.")
