"""QR symbols of things, written to a folder."""

from pathlib import Path

import click

from registry.cli.terminal import open_instance
from registry.domain.codes import read_code
from registry.errors import Reason, Refused


@click.command()
@click.argument("codes", nargs=-1, required=True)
@click.option(
    "--to",
    "folder",
    type=click.Path(file_okay=False, path_type=Path),
    default=Path(),
    show_default=True,
    help="Folder to write to.",
)
@click.option("--png", is_flag=True, help="PNG instead of SVG.")
def labels(codes: tuple[str, ...], folder: Path, png: bool) -> None:
    """Write the QR symbols of things to a folder, one file a code."""
    from registry.models.lookups import bearer
    from registry.output.symbols import qr_png, qr_svg
    from registry.queries.log import outfit_shown

    instance = open_instance()
    wanted = []
    with instance.database.reading() as db:
        outfit = outfit_shown(db)
        for text in codes:
            try:
                code = read_code(text)
            except ValueError as problem:
                raise Refused(
                    Reason("unreadable_label", str(problem), "codes", "Type the code as it is printed.")
                ) from None
            if outfit is None or bearer(db, code) is None:
                raise Refused(
                    Reason("unknown_label", f"Nothing bears the code {code}.", "codes", "Look it up in the index.")
                )
            wanted.append(code)
    folder.mkdir(parents=True, exist_ok=True)
    for code in wanted:
        path = folder / f"{code}.{'png' if png else 'svg'}"
        path.write_bytes(qr_png(outfit.label_host, code) if png else qr_svg(outfit.label_host, code).encode())
        click.echo(str(path))
