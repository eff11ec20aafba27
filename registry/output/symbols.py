"""The QR symbol of a label: `HTTPS://HOST/I/XXXXXXXX` in alphanumeric mode, as SVG or PNG."""

import io
from functools import cache
from typing import Any

from registry.domain.codes import code_url
from registry.domain.prints import QUIET

#: The one mask of all our symbols (ISO/IEC 18004, pattern 010). Choosing among eight for each symbol takes six times
#: as long, and on blurred, blotted and tilted prints the chosen ones read no better: a test compares them.
MASK = 2


def modules(text: str, level: str = "Q", version: int | None = None, mask: int | None = MASK) -> list[list[bool]]:
    """The symbol without its quiet zone, True for dark. `level` is the error correction L, M, Q or H."""
    if version is None or mask is None:
        return _drawn(_code(text, level, version, mask))
    import numpy as np
    from qrcode.util import create_data

    code = _code(text, level, version, mask)
    fixed, places = _frame(level, version, mask)
    bits = np.unpackbits(np.array(create_data(version, code.error_correction, code.data_list), dtype=np.uint8))
    return (fixed ^ np.append(bits, np.uint8(0))[places]).astype(bool).tolist()


def page_modules(address: str) -> list[list[bool]]:
    """The symbol of any address, small letters and all: for paper that leads to a page, not for labels."""
    from qrcode import constants
    from qrcode.main import QRCode

    code = QRCode(error_correction=constants.ERROR_CORRECT_M, border=0, mask_pattern=MASK)
    code.add_data(address)
    return _drawn(code)


def _code(text: str, level: str, version: int | None, mask: int | None) -> Any:
    from qrcode import constants
    from qrcode.main import QRCode
    from qrcode.util import MODE_ALPHA_NUM, QRData

    correction = getattr(constants, f"ERROR_CORRECT_{level}")
    code = QRCode(version=version, error_correction=correction, border=0, mask_pattern=mask)
    code.add_data(QRData(text.encode("ascii"), mode=MODE_ALPHA_NUM), optimize=0)
    return code


def _drawn(code: Any) -> list[list[bool]]:
    code.make(fit=code.version is None)
    return [[bool(dark) for dark in row] for row in code.get_matrix()]


@cache
def _frame(level: str, version: int, mask: int) -> tuple[Any, Any]:
    """What all symbols of one kind share: the modules as they are while every bit is nought, and which bit of the
    codewords each module shows (the last place, which is always nought, for those that show none).

    The library that draws a symbol is asked, not imitated: the n-th picture shows the n-th digit of every bit's number.
    """
    import numpy as np
    from qrcode.util import create_data

    code = _code("A", level, version, mask)
    words = len(create_data(version, code.error_correction, code.data_list))
    numbers = np.arange(words * 8)

    def shown(bits: Any) -> Any:
        code.data_cache = np.packbits(bits.astype(np.uint8)).tolist()
        code.makeImpl(False, mask)
        return np.array(code.modules, dtype=np.uint8)

    fixed = shown(numbers * 0)
    digits = [(shown(numbers >> digit & 1) ^ fixed).astype(int) << digit for digit in range(len(numbers).bit_length())]
    shows_one = (shown(numbers * 0 + 1) ^ fixed).astype(bool)
    return fixed, np.where(shows_one, sum(digits), len(numbers))


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
    return "".join(f"M{x + QUIET} {y + QUIET}h{wide}v1h-{wide}z" for y, x, wide in runs(rows))


def runs(rows: list[list[bool]]) -> list[tuple[int, int, int]]:
    """Dark modules as (row, start, length): a tenth of the shapes that single squares would take."""
    import numpy as np

    framed = np.zeros((len(rows), len(rows) + 2), dtype=np.int8)
    framed[:, 1:-1] = rows
    edges = np.diff(framed)
    lines, starts = np.nonzero(edges == 1)
    ends = np.nonzero(edges == -1)[1]
    return list(zip(lines.tolist(), starts.tolist(), (ends - starts).tolist(), strict=True))


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
