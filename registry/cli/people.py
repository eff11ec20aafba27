"""Secrets and tokens, at the machine the registry runs on: whoever can read the instance folder is its keeper."""

import os

import click

from registry import accounts, passwords
from registry.cli.terminal import now, open_instance
from registry.errors import Reason, Refused
from registry.instance import Instance


def _person(instance: Instance, name: str) -> str:
    with instance.database.reading() as db:
        person_id = accounts.named(db, name)
    if person_id is None:
        raise Refused(
            Reason(
                "unknown_label",
                f"Nobody is called “{name}”.",
                "name",
                "Use the name as it stands in the registry, a badge or a code.",
            )
        )
    return person_id


@click.command()
@click.argument("name")
@click.argument("kind", type=click.Choice(["password", "pin"]))
def secret(name: str, kind: str) -> None:
    """Set somebody’s password or PIN.

    For whoever keeps this machine: it asks for no authority but that of reading the instance folder.
    """
    instance = open_instance()
    person_id = _person(instance, name)
    text = os.environ.get("PAIRBOOK_SECRET") or click.prompt(
        f"New {'PIN' if kind == 'pin' else kind} of {name}", hide_input=True, confirmation_prompt=True
    )
    passwords.set_secrets(instance.database, person_id, {kind: text}, now())  # type: ignore[dict-item]
    click.echo(f"{name} has a new {'PIN' if kind == 'pin' else kind} from now on.")


@click.command()
@click.argument("name")
@click.argument("label")
def token(name: str, label: str) -> None:
    """Make a token for a program that acts in somebody’s name. It is printed this once."""
    instance = open_instance()
    click.echo(accounts.make_token(instance.database, _person(instance, name), label, now()))
