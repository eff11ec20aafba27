"""Labels of things: symbols and whole labels to a folder, or all of them in one PDF for a printer."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from registry.cli.terminal import open_instance, options, show_progress

if TYPE_CHECKING:
    from registry.domain.prints import Order
    from registry.queries.labels import LabelText

_paper = options(
    click.option(
        "--size-mm",
        metavar="MM",
        help="Height of the whole label, words beside the symbol: 12, 15, 18 or 25. The bare symbol, if left out.",
    ),
    click.option("--dpi", default="300", show_default=True, help="Dots per inch of the printer: 203, 300 or 600."),
    click.option(
        "--sheet",
        metavar="PAPER",
        help="roll (one a page), a4, or measures in mm: page/margins/columns and rows/gaps, like 210x297/10x10/3x10/3x3. roll, if left out.",
    ),
    click.option(
        "--copies",
        metavar="N-M",
        default="",
        help="Print these numbered copies, like 1-3, instead of the label itself. A copy never counts as evidence of place.",
    ),
    click.option("--legend/--no-legend", default=None, help="A page with how to stick them. On a sheet, if left out."),
)


@click.command()
@click.argument("codes", nargs=-1)
@click.option("--all", "kind", metavar="KIND", help="Every half, vehicle, bay, station, site or person.")
@click.option(
    "--to",
    "folder",
    type=click.Path(file_okay=False, path_type=Path),
    default=Path(),
    show_default=True,
    help="Folder to write to, one file a label.",
)
@click.option("--png", is_flag=True, help="PNG instead of SVG.")
@click.option("--pdf", type=click.Path(dir_okay=False, path_type=Path), help="One PDF with all of them instead.")
@_paper
def labels(codes: tuple[str, ...], kind: str | None, folder: Path, png: bool, pdf: Path | None, **paper: str) -> None:
    """Write the labels of things: one file each, or a PDF of many.

    Print at 100 %, never fitted to the page. Stick a label on the frame, the carrier or the bag; never on a board, a
    coil, a connector or a seal face.
    """
    from registry.queries.log import outfit_shown

    instance = open_instance()
    order = _order(pdf, **paper)
    with instance.database.reading() as db:
        wanted, outfit = _wanted(db, codes, kind), outfit_shown(db)
    host = outfit.label_host if outfit else ""
    if pdf:
        click.echo(f"{pdf}: {_many(pdf, wanted, host, order):,} labels")
        return
    drawn = [
        (folder / f"{label.code}{f'-copy-{copy}' if copy else ''}.{'png' if png else 'svg'}",
         _one(label, host, order if paper["size_mm"] else None, copy, png))
        for label in wanted
        for copy in order.each
    ]  # fmt: skip
    folder.mkdir(exist_ok=True)
    for path, content in drawn:
        path.write_bytes(content)
        click.echo(str(path))


def _order(
    pdf: Path | None, *, size_mm: str | None, dpi: str, sheet: str | None, copies: str, legend: bool | None
) -> "Order":
    from registry.domain.prints import read_order

    on_sheet = sheet not in (None, "roll")
    return read_order(size_mm or "25", dpi, sheet or "roll", copies, on_sheet if legend is None else legend)


def _wanted(db: object, codes: tuple[str, ...], kind: str | None) -> "list[LabelText]":
    from registry.queries.labels import KINDS, labels_listed, labels_of

    if kind is not None and kind not in KINDS:
        raise click.BadParameter(f"{kind} is none of {', '.join(KINDS)}.", param_hint="--all")
    if bool(codes) == bool(kind):
        raise click.UsageError("Say which: their codes, or --all with a kind of thing.")
    return labels_listed(db, kind, 1_000_000) if kind else labels_of(db, codes)  # type: ignore[arg-type]


def _one(label: "LabelText", host: str, order: "Order | None", copy: int, png: bool) -> bytes:
    from registry.output.labels import label_png, label_svg
    from registry.output.symbols import qr_png, qr_svg

    if order is None:
        return qr_png(host, label.code, copy) if png else qr_svg(host, label.code, copy).encode()
    return label_png(label, host, order, copy) if png else label_svg(label, host, order, copy).encode()


def _many(pdf: Path, wanted: "list[LabelText]", host: str, order: "Order") -> int:
    """Write the PDF beside its place and put it there when it is whole."""
    from registry.output.labels import draw_pdf

    total, beside = len(wanted) * len(order.each), pdf.with_name(f".{pdf.name}.part")
    try:
        with beside.open("wb") as out:
            count = draw_pdf(out, wanted, host, order, lambda done: show_progress("Labels", done, total))
        beside.replace(pdf)
    finally:
        beside.unlink(missing_ok=True)
    return count
