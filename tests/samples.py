"""Files that tests attach, all drawn or written here, and the folder in which they lie for worlds without one."""

import atexit
import hashlib
import io
import shutil
import struct
import tempfile
import zlib
from pathlib import Path
from typing import Any

from PIL import Image

from registry.demo.mounting_checks import recorded_motions, recorded_poses
from registry.demo.papers import resting_unit
from registry.files import Files
from tests.tracks import track

#: One folder a run: files lie under their hashes, so worlds may share it.
HOME = Path(tempfile.mkdtemp(prefix="pairbook-files-"))
atexit.register(shutil.rmtree, HOME, ignore_errors=True)
SHARED = Files(HOME, 20_000_000)


def picture(form: str = "JPEG", size: tuple[int, int] = (640, 480), colour: str = "teal", **more: Any) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, form, **more)
    return out.getvalue()


def located(**more: Any) -> bytes:
    """A photo turned on its side, with the place, the maker and a comment that a camera writes into it."""
    exif = Image.Exif()
    exif[0x0112] = 6  # to be turned by a quarter
    exif[0x010F] = "Invented Cameras"
    exif.get_ifd(0x8825).update({1: "N", 2: (48.0, 30.0, 0.0), 3: "W", 4: (4.0, 30.0, 0.0)})
    return picture(exif=exif, comment=b"taken by nobody", **more)


def bomb(width: int = 60_000, height: int = 60_000) -> bytes:
    """A PNG of a few bytes that says it has that many pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")


PHOTO, PDF = picture(), b"%PDF-1.4\n% an invented certificate\n%%EOF\n"
CSV, TEXT = b"t_s,gyro_x\n0.0,0.001\n", "Gemessen mit 5 °C, erfunden.\n".encode()
PAGE, DRAWING = b"<!doctype html><script>alert(1)</script>", b'<svg xmlns="http://www.w3.org/2000/svg"/>'


def given(content: bytes, name: str, media_type: str) -> dict[str, Any]:
    """The file as an act names it."""
    return {"sha256": hashlib.sha256(content).hexdigest(), "size": len(content), "media_type": media_type, "name": name}


#: Twelve minutes of a unit at rest at 59.3° north, and a DVL run.
RESTING, TRACK = resting_unit(7, seconds=720, lat_deg=59.3), track()
#: What a unit showed in three motions, and what one felt in two poses and a turn: x to starboard, y aft, z down.
MOTIONS, POSES = recorded_motions(), recorded_poses()
#: A spreadsheet that a team kept before.
CARRIED = b"Pair,Certificate,Date\r\ngone,CC-0,2025-01-20\r\n"
#: Name -> content: what acts of examples and of the lived-in record name; forms of tests send it.
CONTENTS = {
    "photo.jpg": PHOTO,
    "sheet.pdf": PDF,
    "bench.csv": CSV,
    "note.txt": TEXT,
    "rest.csv": RESTING,
    "run.csv": TRACK,
    "motions.csv": MOTIONS,
    "poses.csv": POSES,
    "team.csv": CARRIED,
}
PHOTO_GIVEN = given(PHOTO, "photo.jpg", "image/jpeg")
SHEET_GIVEN = given(PDF, "sheet.pdf", "application/pdf")
REST_GIVEN = given(RESTING, "rest.csv", "text/csv")
CARRIED_GIVEN = given(CARRIED, "team.csv", "text/csv")
NOTE_GIVEN = given(TEXT, "note.txt", "text/plain")
TRACK_GIVEN = given(TRACK, "run.csv", "text/csv")
MOTIONS_GIVEN = given(MOTIONS, "motions.csv", "text/csv")
POSES_GIVEN = given(POSES, "poses.csv", "text/csv")
#: Those that the lived-in record names.
LIVED = ("photo.jpg", "note.txt", "rest.csv", "run.csv", "motions.csv", "poses.csv", "sheet.pdf", "team.csv")
LIVED_HASHES = {hashlib.sha256(CONTENTS[name]).hexdigest() for name in LIVED}


def laid_out(home: Path, names: tuple[str, ...] = ()) -> None:
    """These files and no others in the folder of an instance."""
    for name in ("files", "small"):
        shutil.rmtree(home / name, ignore_errors=True)
    there = Files(home, 20_000_000)
    for name in names:
        there.keep(io.BytesIO(CONTENTS[name]), name)


for _name, _content in CONTENTS.items():
    SHARED.keep(io.BytesIO(_content), _name)
