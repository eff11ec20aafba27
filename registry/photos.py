"""Photos of labels: a picture from outside, judged before it is unpacked, and every symbol in it as a scanner would send it.

What comes out goes through the one parser of labels (`domain/labels`): the bytes of the symbol behind its AIM prefix,
never a decoder's text for display, which would lose the separators. Nothing of a picture is kept.
"""

import io
import threading
from typing import Any, NamedTuple

from registry.errors import Reason, Refused
from registry.pictures import opened, upright

MOST_BYTES = 16 * 1024 * 1024
#: Above this a picture is refused by its header, before anything of it is unpacked.
MOST_PIXELS = 25_000_000
#: A larger picture is drawn down to this side: on a photo of a bench, three pixels a module are enough.
LONGEST_SIDE = 4096
MOST_SYMBOLS = 40
#: What cameras and phones save, told apart by content and never by name. Drawings, films and documents are none.
FORMATS = ("JPEG", "PNG", "WEBP")
MEDIA_TYPES = ("image/jpeg", "image/png", "image/webp")
#: Symbologies on part labels and cartons. Retail symbols name a product, never a unit, and are not looked for.
SYMBOLOGIES = ("DataMatrix", "QRCode", "MicroQRCode", "Code128", "Code39", "DataBar", "PDF417")

#: Unpacking and searching one large picture takes a second and 40 MB: so many at once, the others wait their turn.
_AT_ONCE = threading.BoundedSemaphore(2)
_PATIENCE_S = 20


class Symbol(NamedTuple):
    """One symbol in a picture. `text` is what a scanner with AIM prefix sends; `corners` are pixels of the upright
    picture, from the symbol’s own upper left on."""

    text: str
    symbology: str
    corners: tuple[tuple[int, int], ...]


def read_photo(data: bytes, field: str = "photo", *, most_pixels: int = MOST_PIXELS) -> tuple[Symbol, ...]:
    """Every symbol in the picture, from top to bottom and left to right, each text once.

    Raises `Refused` with what to do for a file that is no picture, is damaged, moves, is too large or has too many
    pixels, and for a picture in which no symbol was found.
    """
    if len(data) > MOST_BYTES:
        raise Refused(too_large(field))
    if not _AT_ONCE.acquire(timeout=_PATIENCE_S):
        raise Refused(Reason("busy", "Other photos are being read.", field, "Send this one again in a moment."))
    try:
        found = _symbols(_grey(data, field, most_pixels))
    finally:
        _AT_ONCE.release()
    if not found:
        raise Refused(Reason("no_symbol", "No symbol was found in this photo.", field, _NEARER))
    return found


_NEARER = (
    "Hold the camera closer and steady, with light from the side, so that the symbol is sharp; or type the serial."
)
_ANOTHER = "Take a photo with the phone’s camera, or choose a JPEG, PNG or WebP picture."


def too_large(field: str) -> Reason:
    told = f"The file is larger than {MOST_BYTES // (1024 * 1024)} MB, which is the most a photo may have."
    return Reason("too_large", told, field, "Set the camera to smaller pictures, or cut out the part with the labels.")


def _grey(data: bytes, field: str, most_pixels: int) -> Any:
    """The picture upright and in shades of grey. Its header is judged before its pixels are unpacked."""
    from PIL import Image

    if not data:
        raise Refused(Reason("missing_field", "No file came with it.", field, "Choose or take a photo first."))
    try:
        with opened(io.BytesIO(data), FORMATS) as image:
            if image.width * image.height > most_pixels:
                raise Refused(_too_many_pixels(field, most_pixels))
            if getattr(image, "is_animated", False) and image.format != "MPO":
                raise Refused(Reason("not_a_photo", "This picture moves.", field, _ANOTHER))
            return _flat(upright(image, "L", unpacked=LONGEST_SIDE, side=LONGEST_SIDE))
    except Image.UnidentifiedImageError:
        told = "This file is no picture that can be read here."
        raise Refused(Reason("not_a_photo", told, field, _ANOTHER)) from None
    except Refused:
        raise
    except Exception:  # whatever a damaged file makes the unpacker stumble over, the person learns the same
        told = "The picture is damaged or was cut short: it cannot be unpacked."
        raise Refused(Reason("not_a_photo", told, field, "Take it again, and send it whole.")) from None


def _too_many_pixels(field: str, most: int) -> Reason:
    told = f"The picture has more than {most // 1_000_000} megapixels."
    return Reason("too_large", told, field, "Set the camera to smaller pictures, or cut out the part with the labels.")


def _flat(image: Any) -> Any:
    """Shades of grey on white: what is transparent is paper, and sixteen bits become eight without being cut off."""
    from PIL import Image

    if image.mode.startswith("I"):
        return image.convert("I").point(lambda shade: shade * (1 / 256)).convert("L")
    if "A" in image.getbands() or "transparency" in image.info:
        layered = image.convert("LA")
        paper = Image.new("L", layered.size, 255)
        paper.paste(layered.getchannel("L"), mask=layered.getchannel("A"))
        return paper
    return image.convert("L")


def _symbols(image: Any) -> tuple[Symbol, ...]:
    import zxingcpp

    formats = tuple(getattr(zxingcpp.BarcodeFormat, name) for name in SYMBOLOGIES)
    found = zxingcpp.read_barcodes(image, formats=formats, text_mode=zxingcpp.TextMode.Plain)
    symbols = [
        Symbol(f"{one.symbology_identifier}{_text(one.bytes)}", str(one.format), _corners(one.position))
        for one in found
        if one.bytes
    ]
    once: dict[str, Symbol] = {}
    for symbol in sorted(symbols, key=lambda one: min((y, x) for x, y in one.corners)):
        once.setdefault(symbol.text, symbol)
    return tuple(once.values())[:MOST_SYMBOLS]


def _text(data: bytes) -> str:
    """UTF-8 where it is that, else ISO 8859-1, the default of these symbologies; separators stay what they are."""
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def _corners(position: Any) -> tuple[tuple[int, int], ...]:
    corners = (position.top_left, position.top_right, position.bottom_right, position.bottom_left)
    return tuple((corner.x, corner.y) for corner in corners)
