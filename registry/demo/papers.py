"""Files of the invented outfit: a picture and a table, made here to the last byte, so that their hashes never change."""

import struct
import zlib

_WIDE, _HIGH = 320, 240


def dropped_half() -> bytes:
    """A grey picture of a half on a mat, as PNG: a disc cut in two, one part slid along the cut. No camera took it."""
    rows = b"".join(b"\0" + bytes(_grey(x, y) for x in range(_WIDE)) for y in range(_HIGH))
    head = struct.pack(">IIBBBBB", _WIDE, _HIGH, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + _chunk(b"IHDR", head) + _chunk(b"IDAT", _stored(rows)) + _chunk(b"IEND", b"")


def humidity() -> bytes:
    """A short table of readings, invented."""
    lines = ["invented readings,relative humidity in the bag", "hour,percent"]
    return "\n".join([*lines, *(f"{hour},{22 - hour % 3}" for hour in range(24)), ""]).encode()


def _grey(x: int, y: int) -> int:
    slid = 14 if x + y > (_WIDE + _HIGH) // 2 else -14
    inside = (x - _WIDE // 2 + slid) ** 2 + (y - _HIGH // 2 - slid) ** 2 < 80**2
    cut = abs(x + y - (_WIDE + _HIGH) // 2) < 5
    mat = 150 + (x // 20 + y // 20) % 2 * 12
    return mat if cut or not inside else 70 + (x + 2 * y) % 40


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def _stored(data: bytes) -> bytes:
    """A zlib stream that compresses nothing: every release of zlib would compress to other bytes."""
    parts = [data[start : start + 65535] for start in range(0, len(data), 65535)]
    blocks = (struct.pack("<BHH", part is parts[-1], len(part), len(part) ^ 0xFFFF) + part for part in parts)
    return b"\x78\x01" + b"".join(blocks) + struct.pack(">I", zlib.adler32(data))
