"""Pictures: looked at before they are kept, and drawn small without what a camera writes into them (place, names)."""

import io
from pathlib import Path
from typing import TYPE_CHECKING

from registry.domain.attachments import KINDS, cut_short, reasons_of_pixels
from registry.errors import Refused, refuse_if

if TYPE_CHECKING:
    from PIL import Image

#: The longer side of a small picture, in pixels: sharp at a third of a page's width.
SMALL = 480
_FORMATS = {"image/jpeg": "JPEG", "image/png": "PNG", "image/webp": "WEBP"}


def small_picture(path: Path, media_type: str, name: str) -> bytes:
    """The picture as a small JPEG: upright, on white, with nothing in it but what is seen.

    Raises `Refused` for a picture with more pixels than may be opened, before it is opened, and for one that cannot
    be read to its end.
    """
    from PIL import Image

    # The measure taken below is stricter than Pillow's own, which would only warn.
    Image.MAX_IMAGE_PIXELS = None
    try:
        with Image.open(path, formats=[_FORMATS[media_type]]) as picture:
            refuse_if(reasons_of_pixels(name, *picture.size))
            return _drawn(picture)
    except Refused:
        raise
    except Exception:  # a damaged picture fails in as many ways as there are decoders
        raise Refused(cut_short(name, KINDS[media_type].words)) from None


def _drawn(picture: "Image.Image") -> bytes:
    from PIL import Image, ImageOps

    picture.draft("RGB", (2 * SMALL, 2 * SMALL))  # a JPEG is unpacked at a fraction of its size
    picture.load()
    upright = ImageOps.exif_transpose(picture)
    upright.thumbnail((SMALL, SMALL))
    seen = upright.convert("RGBA")
    # A new picture has none of the old one's comments, profiles and places.
    fresh = Image.new("RGB", seen.size, "white")
    fresh.paste(seen, mask=seen.getchannel("A"))
    out = io.BytesIO()
    fresh.save(out, "JPEG", quality=80)
    return out.getvalue()
