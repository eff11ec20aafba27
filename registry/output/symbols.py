"""The QR symbol of a label: `HTTPS://HOST/I/XXXXXXXX` in alphanumeric mode, as SVG or PNG."""

import io
from typing import Any

from registry.domain.codes import code_url
from registry.domain.prints import QUIET

#: The one mask of all our symbols (ISO/IEC 18004, pattern 010). Choosing among eight for each symbol takes six times
#: as long, and on blurred, blotted and tilted prints the chosen ones read no better: a test compares them.
MASK = 2


def modules(text: str, level: str = "Q", version: int | None = None, mask: int | None = MASK) -> list[list[bool]]:
    """The symbol without its quiet zone, True for dark. `level` is the error correction L, M, Q or H."""
    from qrcode import constants
    from qrcode.main import QRCode
    from qrcode.util import MODE_ALPHA_NUM, QRData

    level_number = getattr(constants, f"ERROR_CORRECT_{level}")
    code = QRCode(version=version, error_correction=level_number, border=0, mask_pattern=mask)
    code.add_data(QRData(text.encode("ascii"), mode=MODE_ALPHA_NUM), optimize=0)
    code.make(fit=version is None)
    return [[bool(dark) for dark in row] for row in code.get_matrix()]


def qr_svg(host: str, code: str, copy: int = 0) -> str:
    """The symbol as a complete SVG document, black on white, one unit a module."""
    rows = modules(code_url(host, code, copy))
    size = len(rows) + 2 * QUIET
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size} {size}" width="{size}mm" height="{size}mm" shape-rendering="crispEdges">'
        f'<title>QR code of {code}</title><path fill="#fff" d="M0 0h{size}v{size}h-{size}z"/><path d="{path_of(rows)}"/></svg>'
    )


def path_of(rows: list[list[bool]]) -> str:
    """The dark modules as one SVG path, quiet zone left free."""
    return "".join(f"M{x + QUIET} {y + QUIET}h{wide}v1h-{wide}z" for y, row in enumerate(rows) for x, wide in runs(row))


def runs(row: list[bool]) -> list[tuple[int, int]]:
    """Dark modules of one row as (start, length): a tenth of the shapes that single squares would take."""
    found, start = [], None
    for column, dark in enumerate([*row, False]):
        if dark and start is None:
            start = column
        elif not dark and start is not None:
            found.append((start, column - start))
            start = None
    return found


def qr_png(host: str, code: str, copy: int = 0, dots: int = 8) -> bytes:
    """The symbol as PNG, `dots` pixels a module, quiet zone included."""
    out = io.BytesIO()
    qr_image(modules(code_url(host, code, copy)), dots).save(out, "PNG")
    return out.getvalue()


def qr_image(rows: list[list[bool]], dots: int) -> Any:
    """The symbol as a picture in black and white, quiet zone included, each module `dots` pixels."""
    from PIL import Image

    size = len(rows) + 2 * QUIET
    image = Image.new("1", (size, size), 1)
    for y, row in enumerate(rows):
        for x, dark in enumerate(row):
            if dark:
                image.putpixel((x + QUIET, y + QUIET), 0)
    return image.resize((size * dots, size * dots), Image.Resampling.NEAREST)
