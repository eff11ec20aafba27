"""Files of the invented outfit: a picture and a table, made here to the last byte, so that their hashes never change."""

import struct
import zlib

_WIDE, _HIGH = 320, 240


def dropped_half() -> bytes:
    """A grey picture of a box on a mat, as PNG: four screws, one corner pushed in. No camera took it."""
    rows = b"".join(b"\0" + bytes(_grey(x, y) for x in range(_WIDE)) for y in range(_HIGH))
    head = struct.pack(">IIBBBBB", _WIDE, _HIGH, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + _chunk(b"IHDR", head) + _chunk(b"IDAT", _stored(rows)) + _chunk(b"IEND", b"")


def humidity() -> bytes:
    """A short table of readings, invented."""
    lines = ["invented readings,relative humidity in the bag", "hour,percent"]
    return "\n".join([*lines, *(f"{hour},{22 - hour % 3}" for hour in range(24)), ""]).encode()


def _grey(x: int, y: int) -> int:
    across, down = min(x - 60, 260 - x), min(y - 50, 190 - y)
    mat = 150 + (x // 20 + y // 20) % 2 * 12
    if across < 0 or down < 0 or (x > 200 and x + (190 - y) > 272):
        return mat
    if (across - 16) ** 2 + (down - 16) ** 2 < 36:
        return 40
    return 110 if across < 3 or down < 3 else 70 + (x + 2 * y) % 24


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def _stored(data: bytes) -> bytes:
    """A zlib stream that compresses nothing: every release of zlib would compress to other bytes."""
    parts = [data[start : start + 65535] for start in range(0, len(data), 65535)]
    blocks = (struct.pack("<BHH", part is parts[-1], len(part), len(part) ^ 0xFFFF) + part for part in parts)
    return b"\x78\x01" + b"".join(blocks) + struct.pack(">I", zlib.adler32(data))
