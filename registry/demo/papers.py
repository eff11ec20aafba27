"""Files of the invented outfit: a picture, tables, recordings and certificates, made here to the last byte, so that their hashes never change."""

import math
import random
import struct
import zlib
from collections.abc import Callable

_WIDE, _HIGH = 320, 240


def dropped_half() -> bytes:
    """A grey picture of a box on a mat, as PNG: four screws, one corner pushed in. No camera took it."""
    return _picture(_grey)


def seal() -> bytes:
    """A grey picture of a ring lying in its groove, as PNG. No camera took it."""
    return _picture(lambda x, y: 40 if 80 < math.hypot(x - _WIDE / 2, y - _HIGH / 2) < 92 else 190)


def _picture(grey: Callable[[int, int], int]) -> bytes:
    rows = b"".join(b"\0" + bytes(grey(x, y) for x in range(_WIDE)) for y in range(_HIGH))
    head = struct.pack(">IIBBBBB", _WIDE, _HIGH, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + _chunk(b"IHDR", head) + _chunk(b"IDAT", _stored(rows)) + _chunk(b"IEND", b"")


def humidity() -> bytes:
    """A short table of readings, invented."""
    lines = ["invented readings,relative humidity in the bag", "hour,percent"]
    return "\n".join([*lines, *(f"{hour},{22 - hour % 3}" for hour in range(24)), ""]).encode()


def resting_unit(
    seed: int, *, seconds: int = 1200, lat_deg: float = 57.1, heading_deg: float = 31.0, bias_deg_h: float = 0.012
) -> bytes:
    """A recording of a level unit at rest, one row a second, as CSV: earth, a bias of the z gyro, and white noise."""
    dice = random.Random(seed)
    lat, heading = math.radians(lat_deg), math.radians(heading_deg)
    turn, sin2 = 15.041067, math.sin(lat) ** 2
    level, down = turn * math.cos(lat), -turn * math.sin(lat) + bias_deg_h
    rates = (level * math.cos(heading), -level * math.sin(heading), down)
    # Somigliana on WGS-84, written out: the demo does not ask the computations it is an example of.
    gravity = 9.7803253359 * (1 + 0.00193185265241 * sin2) / math.sqrt(1 - 0.00669437999014 * sin2)
    lines = [
        "# invented recording of a unit at rest",
        "time_s," + ",".join(f"gyro_{a}_deg_h" for a in "xyz") + "," + ",".join(f"acc_{a}_m_s2" for a in "xyz"),
    ]
    for second in range(seconds):
        read = [f"{rate + dice.gauss(0, 0.35):.4f}" for rate in rates]
        felt = [f"{force + dice.gauss(0, 0.0004):.6f}" for force in (0.0, 0.0, -gravity)]
        lines.append(",".join([str(second), *read, *felt]))
    return ("\n".join(lines) + "\n").encode()


def certificate(number: str) -> bytes:
    """A page of PDF that says what it is and no more."""
    text = f"BT /F1 14 Tf 60 760 Td (Invented certificate {number}: not a document of anybody.) Tj ET".encode()
    parts = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Contents 4 0 R /Resources << /Font << /F1 5 0 R >> >> >>",
        b"<< /Length %d >>\nstream\n%s\nendstream" % (len(text), text),
        b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>",
    ]
    out, places = b"%PDF-1.4\n", []
    for count, part in enumerate(parts, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (count, part)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    return out + b"xref\n0 6\n0000000000 65535 f \n%strailer\n<< /Size 6 /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % (
        table,
        len(out),
    )


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
