"""Making, filling and serving a registry."""

import click

from registry.cli.terminal import dice, now, open_instance, show_progress, sign_head


@click.command()
@click.option("--outfit", help="Whose registry it is. Asked for when the log is empty.")
@click.option("--keeper", help="Name of the first keeper.")
@click.option("--origin", default="K", show_default=True, help="First character of all codes drawn here.")
@click.option("--label-host", default="pairbook.example", show_default=True, help="Host in the addresses on labels.")
def init(outfit: str | None, keeper: str | None, origin: str, label_host: str) -> None:
    """Make the registry, or bring it to this release’s schema.

    On PostgreSQL, PAIRBOOK_OWNER_URL names the role that owns the tables and PAIRBOOK_DATABASE_URL the role that
    requests run as; the second may do no more than the work needs.
    """
    from registry import passwords
    from registry.acts.door import Signer
    from registry.acts.outfit import founding
    from registry.entering import enter
    from registry.queries import log

    instance = open_instance()
    instance.prepare()
    with instance.database.reading() as db:
        known = log.outfit_shown(db)
    if known:
        click.echo(f"The registry of {known.name} in {instance.home} is at this release’s schema.")
        return
    outfit = outfit or click.prompt("Outfit")
    keeper = keeper or click.prompt("Name of the first keeper")
    password = click.prompt("Keeper’s password", hide_input=True, confirmation_prompt=True)
    pin = click.prompt("Keeper’s PIN", hide_input=True, confirmation_prompt=True)
    passwords.refuse_weak({"password": password, "pin": pin})
    told, person = founding(now(), dice.getrandbits, outfit=outfit, keeper=keeper, origin=origin, label_host=label_host)
    enter(instance, told, Signer(person, "command line"), now=now(), dice=dice)
    sign_head(instance)
    passwords.set_secrets(instance.database, person, {"password": password, "pin": pin}, now())
    click.echo(f"The registry of {outfit} is in {instance.home}. Start it with `pairbook serve`.")


@click.command()
@click.option("--host", help="Address to listen on; PAIRBOOK_HOST or 127.0.0.1.")
@click.option("--port", type=click.IntRange(1, 65535), help="Port to listen on; PAIRBOOK_PORT or 8462.")
def serve(host: str | None, port: int | None) -> None:
    """Serve pages and JSON until interrupted."""
    from registry.server import run

    run(open_instance(), host, port)


@click.command()
@click.option("--serve", "then_serve", is_flag=True, help="Serve it afterwards.")
@click.option(
    "--anchor", metavar="DAY", help="The day its history ends on; today if left out. Kept in the first entry."
)
@click.option("--port", type=click.IntRange(1, 65535), help="Port to listen on.")
def demo(then_serve: bool, anchor: str | None, port: int | None) -> None:
    """Fill an empty registry with an invented outfit: vehicles, sites, pairs and eighteen months of acts.

    Everything in it is invented and says so. Running it twice changes nothing.
    """
    from registry.demo import PASSWORD, PIN, SIGN_INS, fill

    instance = open_instance()
    instance.prepare()
    made = fill(instance, anchor, told=lambda done, of: show_progress("acts", done, of))
    click.echo(
        f"The invented outfit is in {instance.home}: {made:,} new entries."
        if made
        else f"The invented outfit is in {instance.home} already; nothing was changed."
    )
    click.echo("Sign in as one of these:")
    for name, role in SIGN_INS:
        click.echo(f"  {name:<16} {role}")
    click.echo(f"Password of all: {PASSWORD}    PIN of all: {PIN}")
    if then_serve:
        from registry.server import run

        run(instance, None, port)
