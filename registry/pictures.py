"""Pictures from outside: judged by their header before a pixel is unpacked, turned upright, drawn small without what a
camera writes into them (place, names)."""

import io
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from registry.domain.attachments import KINDS, cut_short, reasons_of_pixels
from registry.errors import Refused, refuse_if

if TYPE_CHECKING:
    from PIL import Image

#: The longer side of a small picture, in pixels: sharp at a third of a page's width.
SMALL = 480
_FORMATS = {"image/jpeg": "JPEG", "image/png": "PNG", "image/webp": "WEBP"}


@contextmanager
def opened(source: Path | BinaryIO, formats: tuple[str, ...]) -> Iterator["Image.Image"]:
    """The picture with nothing of it unpacked yet: its taker judges `size` first, by a limit of their own."""
    from PIL import Image

    # Pillow has one measure of its own for the whole process, which two takers with two limits cannot share.
    Image.MAX_IMAGE_PIXELS = None
    with Image.open(source, formats=formats) as picture:
        yield picture


def upright(picture: "Image.Image", mode: str, *, unpacked: int, side: int) -> "Image.Image":
    """The picture as it was held, no side longer than `side`; a JPEG is unpacked at a fraction of its size, near
    `unpacked`."""
    from PIL import ImageOps

    picture.draft(mode, (unpacked, unpacked))
    picture.load()
    turned = ImageOps.exif_transpose(picture)
    turned.thumbnail((side, side))
    return turned


def small_picture(path: Path, media_type: str, name: str) -> bytes:
    """The picture as a small JPEG: upright, on white, with nothing in it but what is seen.

    Raises `Refused` for a picture with more pixels than may be opened, before it is opened, and for one that cannot
    be read to its end.
    """
    try:
        with opened(path, (_FORMATS[media_type],)) as picture:
            refuse_if(reasons_of_pixels(name, *picture.size))
            return _drawn(picture)
    except Refused:
        raise
    except Exception:  # a damaged picture fails in as many ways as there are decoders
        raise Refused(cut_short(name, KINDS[media_type].words)) from None


def _drawn(picture: "Image.Image") -> bytes:
    from PIL import Image

    seen = upright(picture, "RGB", unpacked=2 * SMALL, side=SMALL).convert("RGBA")
    # A new picture has none of the old one's comments, profiles and places.
    fresh = Image.new("RGB", seen.size, "white")
    fresh.paste(seen, mask=seen.getchannel("A"))
    out = io.BytesIO()
    fresh.save(out, "JPEG", quality=80)
    return out.getvalue()
