"""Files that belong to things: what may be kept, judged by content and name together; names fit to be shown."""

import re
from typing import NamedTuple

from registry.domain.texts import quoted, shown
from registry.errors import Reason


class Kind(NamedTuple):
    """A kind of file that is kept: its words and the endings its name may have."""

    words: str
    endings: tuple[str, ...]


#: Media type -> kind. What is no picture has no small picture made of it.
KINDS = {
    "image/jpeg": Kind("JPEG picture", ("jpg", "jpeg")),
    "image/png": Kind("PNG picture", ("png",)),
    "image/webp": Kind("WebP picture", ("webp",)),
    "application/pdf": Kind("PDF", ("pdf",)),
    "text/csv": Kind("CSV table", ("csv",)),
    "text/plain": Kind("text file", ("txt", "log")),
    "application/zip": Kind("NPZ archive", ("npz",)),
}
PICTURES = ("image/jpeg", "image/png", "image/webp")
_TEXTS = ("text/csv", "text/plain")
SUBJECTS = {
    "half_id": "half",
    "pairing_id": "pair",
    "vehicle_id": "vehicle",
    "bay_id": "bay",
    "hold_id": "hold",
    "meter_id": "meter",
}
PURPOSES = {
    "attached": "attached",
    "seen": "what was seen when the hold was placed",
    "evidence": "evidence for the release",
    "statement": "the matched-pair statement",
    "carton": "the carton as it came in",
    "certificate": "its certificate",
    "inspection": "what the receiving inspection saw",
    "closing": "a housing as it was closed",
    "leak_test": "record of a leak test",
    "sighting": "what was found in the bay",
    "verification": "of a verification",
}
#: Files that one act may bring along.
MOST_FILES = 4
MOST_NAME = 100
#: Pixels a picture may have before it is opened: four times what a phone takes, 200 MB when it is unpacked.
MOST_PIXELS = 64_000_000
#: Bytes of its beginning that a file is judged by.
HEAD = 4096
WHAT_IS_KEPT = "JPEG, PNG, WebP, PDF, CSV, NPZ and plain text are kept."

_MARKUP = re.compile(rb"\s*<(!doctype|!--|\?xml|html|head|body|script|svg|iframe)", re.IGNORECASE)
#: Control characters that no text holds.
_NO_TEXT = re.compile(rb"[\x00-\x08\x0e-\x1a\x1c-\x1f\x7f]")
_HASH = re.compile(r"[0-9a-f]{64}", re.ASCII)


def is_hash(text: str) -> bool:
    """Whether the text is a SHA-256 as it stands in entries and addresses."""
    return _HASH.fullmatch(text) is not None


def clean_name(text: str) -> str:
    """The name of a file, fit to be shown: no folder before it, nothing that cannot be seen, no longer than a line."""
    text = re.split(r"[/\\]", text)[-1]
    text = " ".join("".join(char if char.isprintable() else " " for char in text).split()).rstrip(". ")
    stem, dot, ending = text.rpartition(".")
    if not dot or len(ending) > 10:
        return text[:MOST_NAME].strip() or "file"
    return f"{stem[: MOST_NAME - len(ending) - 1].strip('. ') or 'file'}.{ending}"


def judged(name: str, head: bytes) -> str | Reason:
    """The media type of a file with this name that begins so, or why it is not kept. `head`: its first `HEAD` bytes."""
    if not head:
        return Reason("wrong_file", f"{quoted(name)} is empty.", next="Look at the file, and choose it again.")
    ending = name.rpartition(".")[2].lower() if "." in name else ""
    if ending in ("heic", "heif"):
        told = f"{quoted(name)} is a HEIC picture, which not every computer can open."
        return Reason("wrong_file", told, next="Set the camera to take JPEG pictures, or send it as one.")
    says = next((media for media, kind in KINDS.items() if ending in kind.endings), None)
    if says is None:
        told = f"The name {quoted(name)} does not end in one that is kept here. {WHAT_IS_KEPT}"
        return Reason("wrong_file", told, next="Send it as one of those.")
    holds = _holds(head)
    if holds == says or (holds == "text" and says in _TEXTS):
        return says
    kind = KINDS[holds].words if holds in KINDS else holds
    told = f"{quoted(name)} is named like a {KINDS[says].words} and holds {_WORDS.get(kind, f'a {kind}')}."
    return Reason("wrong_file", told, next="Look at the file. If only its name is wrong, mend the name.")


_WORDS = {
    "markup": "a page or drawing in markup",
    "NPZ archive": "something else",
    "text": "plain text",
    "unknown": "something else",
}


def _holds(head: bytes) -> str:
    """A media type, `markup`, `text` or `unknown`, by the bytes alone."""
    if head.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    if head.startswith(b"RIFF") and head[8:12] == b"WEBP":
        return "image/webp"
    if head.startswith(b"%PDF-"):
        return "application/pdf"
    if head.startswith(b"PK\x03\x04"):
        return "application/zip"
    if _MARKUP.match(head.removeprefix(b"\xef\xbb\xbf")):
        return "markup"
    return "text" if may_be_text(head) else "unknown"


def may_be_text(part: bytes) -> bool:
    """Whether these bytes may stand in a text: older encodings of instruments are taken, control characters are not."""
    return _NO_TEXT.search(part) is None


def too_large(name: str, most_bytes: int) -> Reason:
    return Reason(
        "too_large",
        f"{quoted(name)} is larger than {say_size(most_bytes)}, the most that one file may have here.",
        next="Send a smaller one, or ask the keeper to raise PAIRBOOK_FILE_MB.",
    )


def reasons_of_pixels(name: str, width: int, height: int) -> list[Reason]:
    """A picture that unpacks to more than a computer should hold is not opened."""
    if width * height <= MOST_PIXELS:
        return []
    told = f"{quoted(name)} has {width:,} × {height:,} pixels; pictures of up to {MOST_PIXELS // 1_000_000} million are taken."
    return [Reason("too_large", told, next="Send it at a smaller size.")]


def cut_short(name: str, words: str) -> Reason:
    return Reason(
        "wrong_file",
        f"{quoted(name)} cannot be read to its end as a {words}: it was cut short or damaged.",
        next="Look at the file, and choose it again.",
    )


def not_sent(name: str, sha256: str, field: str) -> Reason:
    """An act names a file that nobody has sent, or that was sent so long ago that it was taken away again."""
    told = f"The registry holds no file {quoted(name)} with the hash {shown(sha256, 12)}"
    return Reason("unknown_file", f"{told}.", field, "Send the file first, and then the act.")


def told_otherwise(name: str, size: int, media_type: str, field: str) -> Reason:
    """An act tells a size or a kind that the file has not."""
    told = f"The file {quoted(name)} is a {KINDS[media_type].words} of {size:,} bytes; the act says something else."
    return Reason("wrong_file", told, field, "Send what the registry answered when it took the file.")


def say_size(size: int) -> str:
    """`640 bytes`, `12 kB`, `2.4 MB`."""
    if size < 1000:
        return "1 byte" if size == 1 else f"{size} bytes"
    return f"{(size + 500) // 1000} kB" if size < 999_500 else f"{size / 1_000_000:.1f} MB".replace(".0 MB", " MB")
