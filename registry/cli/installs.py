"""Install, remove and swap, in the words of the deed."""

import click

from registry.cli.terminal import as_json, enter, happened, open_instance, options, sent, signer_of, signing
from registry.domain.installs import CONDITIONS, REMOVAL_REASONS

deed = options(
    happened,
    signing,
    click.option("--done-by", help="Who did it, if it was not who acts."),
    click.option(
        "--already-done",
        "why",
        metavar="WHY",
        help="It has already happened, out of order: enter it with this reason. The vehicle stops.",
    ),
    as_json,
)
out = options(
    click.option(
        "--reason",
        type=click.Choice(list(REMOVAL_REASONS)),
        default="planned",
        show_default=True,
        help="Why the pair comes out.",
    ),
    click.option(
        "--condition",
        type=click.Choice(list(CONDITIONS)),
        default="sound",
        show_default=True,
        help="State of what came out.",
    ),
)


@click.command()
@click.argument("bay")
@click.argument("sensor")
@click.argument("electronics")
@click.option("--removed-at", metavar="INSTANT", help="When it came out again, for a late stay entered whole.")
@deed
def install(
    bay: str,
    sensor: str,
    electronics: str,
    removed_at: str | None,
    at: str | None,
    who: str | None,
    done_by: str | None,
    why: str | None,
    as_json: bool,
) -> None:
    """Install a pair in an empty bay: the bay, the sensor half, the electronics half, each as scanned or typed."""
    instance = open_instance()
    told = sent(
        "install_pair",
        at,
        bay=bay,
        sensor=sensor,
        electronics=electronics,
        removed_at=removed_at,
        done_by=done_by,
        already_done=bool(why),
        why_out_of_order=why,
    )
    enter(instance, told, signer_of(instance, who), as_json)


@click.command()
@click.argument("bay")
@click.argument("sensor")
@click.argument("electronics")
@click.option("--seat-follows", is_flag=True, help="Another pair follows: lifted, none seated.")
@out
@deed
def remove(
    bay: str,
    sensor: str,
    electronics: str,
    seat_follows: bool,
    reason: str,
    condition: str,
    at: str | None,
    who: str | None,
    done_by: str | None,
    why: str | None,
    as_json: bool,
) -> None:
    """Take a pair out of a bay: the bay, and both halves as they are in hand."""
    instance = open_instance()
    told = sent(
        "remove_pair",
        at,
        bay=bay,
        sensor_out=sensor,
        electronics_out=electronics,
        seat_follows=seat_follows,
        reason=reason,
        condition=condition,
        done_by=done_by,
        already_done=bool(why),
        why_out_of_order=why,
    )
    enter(instance, told, signer_of(instance, who), as_json)


@click.command()
@click.argument("bay")
@click.argument("sensor_out")
@click.argument("electronics_out")
@click.argument("sensor_in")
@click.argument("electronics_in")
@click.option("--removed-at", metavar="INSTANT", help="When the old pair came out, if earlier.")
@click.option("--removed-by", help="Who lifted it, if it was somebody else.")
@out
@deed
def swap(
    bay: str,
    sensor_out: str,
    electronics_out: str,
    sensor_in: str,
    electronics_in: str,
    removed_at: str | None,
    removed_by: str | None,
    reason: str,
    condition: str,
    at: str | None,
    who: str | None,
    done_by: str | None,
    why: str | None,
    as_json: bool,
) -> None:
    """Swap the pair of a bay: the bay, both halves out, both halves in."""  # fmt: skip
    instance = open_instance()
    told = sent(
        "swap_pairs", at, bay=bay, sensor_out=sensor_out, electronics_out=electronics_out, sensor_in=sensor_in, electronics_in=electronics_in,
        removed_at=removed_at, removed_by=removed_by, reason=reason, condition=condition, done_by=done_by, already_done=bool(why), why_out_of_order=why,
    )  # fmt: skip
    enter(instance, told, signer_of(instance, who), as_json)
