"""The QR symbol of a label: `HTTPS://HOST/I/XXXXXXXX` in alphanumeric mode, as SVG or PNG."""

import io

from registry.domain.codes import code_url

#: Modules of quiet zone, always inside the drawing (ISO/IEC 18004).
QUIET = 4


def modules(text: str, level: str = "Q") -> list[list[bool]]:
    """The symbol without its quiet zone, True for dark. `level` is the error correction L, M, Q or H."""
    from qrcode import constants
    from qrcode.main import QRCode
    from qrcode.util import MODE_ALPHA_NUM, QRData

    code = QRCode(error_correction=getattr(constants, f"ERROR_CORRECT_{level}"), border=0)
    code.add_data(QRData(text, mode=MODE_ALPHA_NUM), optimize=0)
    code.make(fit=True)
    return [[bool(dark) for dark in row] for row in code.get_matrix()]


def qr_svg(host: str, code: str, copy: int = 0) -> str:
    """The symbol as a complete SVG document, black on white, one unit a module."""
    rows = modules(code_url(host, code, copy))
    size = len(rows) + 2 * QUIET
    runs = "".join(_runs(row, number) for number, row in enumerate(rows))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size} {size}" width="{size}mm" height="{size}mm" shape-rendering="crispEdges">'
        f'<title>QR code of {code}</title><path fill="#fff" d="M0 0h{size}v{size}h-{size}z"/><path d="{runs}"/></svg>'
    )


def _runs(row: list[bool], number: int) -> str:
    """Dark modules of one row as horizontal runs: a tenth of the paths that single squares would take."""
    drawn, start = [], None
    for column, dark in enumerate([*row, False]):
        if dark and start is None:
            start = column
        elif not dark and start is not None:
            drawn.append(f"M{start + QUIET} {number + QUIET}h{column - start}v1h-{column - start}z")
            start = None
    return "".join(drawn)


def qr_png(host: str, code: str, copy: int = 0, dots: int = 8) -> bytes:
    """The symbol as PNG, `dots` pixels a module, quiet zone included."""
    from PIL import Image

    rows = modules(code_url(host, code, copy))
    size = len(rows) + 2 * QUIET
    image = Image.new("1", (size, size), 1)
    for y, row in enumerate(rows):
        for x, dark in enumerate(row):
            if dark:
                image.putpixel((x + QUIET, y + QUIET), 0)
    out = io.BytesIO()
    image.resize((size * dots, size * dots), Image.Resampling.NEAREST).save(out, "PNG")
    return out.getvalue()
