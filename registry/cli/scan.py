"""What labels are, and a heap of them sorted. Reading only; nobody needs to sign."""

import sys

import click

from registry.cli.terminal import as_json, instant, open_instance, print_json
from registry.domain.codes import say_code


@click.command()
@click.argument("texts", nargs=-1, required=True)
@as_json
def scan(texts: tuple[str, ...], as_json: bool) -> None:
    """Say what labels are: codes of ours, makers’ labels, serials. Ends with 1 when one is not known."""
    from dataclasses import asdict

    from registry.models.lookups import hosts
    from registry.queries.tray import scanned

    instance = open_instance()
    with instance.database.reading() as db:
        known = hosts(db)
        things = [scanned(db, text, known) for text in texts]
    if as_json:
        print_json(
            [
                {
                    "text": t.text,
                    "kind": t.kind,
                    "code": t.code or None,
                    "name": t.name or None,
                    "message": t.told or None,
                    "next": t.do or None,
                    "near": [h.code for h in t.near],
                    "label": asdict(t.label) if t.label else None,
                }
                for t in things
            ]
        )
    for t in things if not as_json else ():
        click.echo(
            f"{t.name or t.text}: {t.kind}"
            + (f", {say_code(t.code)}" if t.code else "")
            + (f". {t.told} {t.do}" if t.told else "")
        )
        for half in t.near:
            click.echo(f"  near it, and not taken for it: {half.say()}, serial {half.serial}")
    sys.exit(1 if any(t.kind in ("unknown", "ambiguous") for t in things) else 0)


@click.command()
@click.argument("texts", nargs=-1)
@as_json
def sort(texts: tuple[str, ...], as_json: bool) -> None:
    """Sort a heap of halves into pairs; labels as arguments, or one a line on the input.

    Ends with 0 when every half has its partner here, else with 1.
    """
    from registry.queries.tray import tray

    instance = open_instance()
    labels = list(texts) or [line.rstrip("\r\n") for line in sys.stdin if line.strip()]
    if not labels:
        raise click.UsageError("Give labels as arguments, or one a line on the input.")
    with instance.database.reading() as db:
        lying = tray(db, labels, instant(None))
    found = (
        list(lying.heap.whole)
        if lying.heap
        else [lying.match]
        if lying.match and lying.match.verdict == "whole"
        else []
    )
    paired = {half.id for match in found for half in match.halves}
    apart = [one for one in lying.halves if one.half.id not in paired]
    strange = [thing for thing in lying.things if thing.kind in ("unknown", "ambiguous")]
    if as_json:
        print_json(
            {
                "verdict": lying.verdict,
                "pairs": [
                    {"pair": m.pairing.name if m.pairing else None, "halves": [h.code for h in m.halves]} for m in found
                ],
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
            }
        )
    else:
        for m in found:
            click.echo(f"Whole: {m.pairing.name if m.pairing else ''} = {m.halves[0].say()} with {m.halves[1].say()}")
        if lying.verdict in ("mixed", "same_kind", "former"):
            click.echo(
                {"mixed": "Mixed. Do not join.", "same_kind": "Two halves of a kind.", "former": "Were a pair once."}[
                    lying.verdict
                ]
            )
        for o in apart:
            partner = f"its partner is {o.partner.say()}, {o.partner_where}" if o.partner else "it is in no pair"
            click.echo(f"Alone: {o.half.say()}; {partner}")
        for t in strange:
            click.echo(f"Not known: {t.text}. {t.told} {t.do}")
        for o in lying.halves:
            if o.held:
                click.echo(f"On hold: {o.half.say()}. {o.held}")
    sys.exit(0 if found and not apart and not strange else 1)
