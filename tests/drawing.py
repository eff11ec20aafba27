"""Pictures the tests draw: symbols as a maker’s and our own labels carry them, laid on a bench, turned, blurred, spoilt."""

import io
import random

import zxingcpp
from PIL import Image, ImageDraw, ImageFilter

from registry.domain.codes import code_url
from registry.output.symbols import qr_png

HOST = "pairbook.example"
F = zxingcpp.BarcodeFormat


def symbol(text: str, kind: str = "DataMatrix", scale: int = 5, **told: object) -> Image.Image:
    """One symbol as a general library draws it, with its quiet zone."""
    more = {"force_square": True} if kind == "DataMatrix" else {"ec_level": "Q"} if kind == "QRCode" else {}
    drawn = zxingcpp.create_barcode(text, getattr(F, kind), **more, **told).to_image(scale=scale)
    height, width = memoryview(drawn).shape[:2]
    found = Image.frombuffer("L", (width, height), bytes(memoryview(drawn)))
    paper = Image.new("L", (width + 8 * scale, height + 8 * scale), 255)
    paper.paste(found, (4 * scale, 4 * scale))
    return paper


def our_symbol(code: str, copy: int = 0, dots: int = 5) -> Image.Image:
    return Image.open(io.BytesIO(qr_png(HOST, code, copy, dots))).convert("L")


def maker_text(part: str, serial: str, cage: str = "7K2Q9") -> str:
    """A format-06 message of ISO/IEC 15434 as a maker prints it."""
    return f"[)>\x1e06\x1d17V{cage}\x1d1P{part}\x1dS{serial}\x1e\x04"


def bench(symbols: list[Image.Image], columns: int = 4, cell: int = 340, shade: int = 214) -> Image.Image:
    """Labels lying in rows on a grey mat."""
    rows = -(-len(symbols) // columns)
    mat = Image.new("L", (columns * cell, rows * cell), shade)
    for place, one in enumerate(symbols):
        x, y = place % columns * cell, place // columns * cell
        mat.paste(one, (x + (cell - one.width) // 2, y + (cell - one.height) // 2))
    return mat


def turned(picture: Image.Image, degrees: float, shade: int = 214) -> Image.Image:
    return picture.rotate(degrees, Image.Resampling.BICUBIC, expand=True, fillcolor=shade)


def blurred(picture: Image.Image, radius: float) -> Image.Image:
    return picture.filter(ImageFilter.GaussianBlur(radius))


def blotted(picture: Image.Image, share: float, dice: random.Random) -> Image.Image:
    """A white spot that covers this share of the picture, somewhere within it."""
    spoilt = picture.copy()
    side = round((share * picture.width * picture.height) ** 0.5)
    x, y = dice.randrange(picture.width - side), dice.randrange(picture.height - side)
    ImageDraw.Draw(spoilt).rectangle((x, y, x + side - 1, y + side - 1), fill=255)
    return spoilt


def saved(picture: Image.Image, kind: str = "JPEG", **told: object) -> bytes:
    out = io.BytesIO()
    picture.save(out, kind, **told)
    return out.getvalue()


def url(code: str, copy: int = 0) -> str:
    return code_url(HOST, code, copy)
