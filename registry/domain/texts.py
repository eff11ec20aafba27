"""Text from outside: what is an id, what no table can keep, and how a text is quoted back to the person who sent it."""

import re

_ID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", re.ASCII)


def is_id(text: str) -> bool:
    """Whether the text has the form of an id; nothing else may be asked of a column that holds ids."""
    return _ID.fullmatch(text) is not None


def cannot_be_kept(text: str) -> bool:
    """Whether the text holds a zero or half a character: neither engine stores them, and no label has them."""
    return "\x00" in text or any("\ud800" <= char <= "\udfff" for char in text)


def shown(text: str, most: int = 60) -> str:
    """The text as far as it can be read: no control characters, no more than a line."""
    text = "".join(char if char.isprintable() else "·" for char in text.strip())
    return text[:most] + ("…" if len(text) > most else "")


def quoted(text: str) -> str:
    """The text in quotation marks, for a sentence."""
    return f"“{shown(text)}”"
