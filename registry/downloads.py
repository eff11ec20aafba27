"""Handing out attached files: originals only as something to save, small pictures only as what they are; neither may
run, load or reach anything in a browser."""

from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

from flask import Response

from registry.errors import Reason, Refused
from registry.files import Files

#: Besides what every answer carries: whatever a file holds, it is nothing that acts.
SANDBOX = "sandbox; default-src 'none'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'"
_CHUNK = 1 << 18


def original(files: Files, sha256: str, size: int, media_type: str, name: str) -> Response:
    """The file as it was sent, to be saved. One that is not as it was is not handed out."""
    if told := files.fault(sha256, size):
        raise Refused(
            Reason("log_damaged", f"The file “{name}” {told}.", next="Tell the keeper; a backup may hold it whole.")
        )
    response = _guarded(Response(_parts(files.path(sha256)), content_type=media_type))
    response.content_length = size
    # Letters beyond ASCII as RFC 8187 spells them.
    told = {"filename": name} if name.isascii() else {"filename*": f"UTF-8''{quote(name, safe='')}"}
    response.headers.set("Content-Disposition", "attachment", **told)
    return response


def small(files: Files, sha256: str, media_type: str, name: str) -> Response:
    """The small picture, shown on pages."""
    try:
        picture = files.small(sha256, media_type, name)
    except OSError:
        told = f"The file “{name}” is missing from the instance folder."
        raise Refused(Reason("log_damaged", told, next="Tell the keeper; a backup may hold it.")) from None
    return _guarded(Response(picture, content_type="image/jpeg"))


def _guarded(response: Response) -> Response:
    response.headers["Content-Security-Policy"] = SANDBOX
    return response


def _parts(path: Path) -> Iterator[bytes]:
    with path.open("rb") as file:
        while part := file.read(_CHUNK):
            yield part
