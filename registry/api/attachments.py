"""Files: sent before the act that names them, and fetched by their hash."""

from typing import BinaryIO, cast

from flask import Response, jsonify, request

from registry import access, downloads
from registry.api.asking import bp
from registry.domain.attachments import is_hash
from registry.domain.people import May, name_roles
from registry.errors import Reason, Refused
from registry.queries.attachments import file_by_hash


@bp.post("/files")
def send_file() -> Response:
    """Send one file, as the raw body with `name=` or as the part `file` of a form. The answer is what an act names.

    201 with hash, size, media type and name; 200 when the file was there already. A file that no act names within a
    day is taken away again.
    """
    if not access.person().roles & May.ANYONE:
        told = f"Only {name_roles(May.ANYONE)} may send files, and you hold no role now."
        raise Refused(Reason("not_allowed", told, next="Ask a keeper."))
    stream, name = sent_file(request.args.get("name", ""))
    files = access.instance().files
    kept = files.keep(stream, name)
    response = jsonify(kept.file._asdict())
    response.status_code = 200 if kept.again else 201
    return response


def sent_file(name: str) -> tuple[BinaryIO, str]:
    """The file of this request, as its raw body or as a part of a form, and what it is called."""
    if request.mimetype == "multipart/form-data":
        part = request.files.get("file")
        if part is None or not part.filename:
            told = "No part called “file” with a name came whole."
            raise Refused(Reason("missing_field", told, "file", "Send it as multipart/form-data, to its end."))
        return cast(BinaryIO, part.stream), part.filename
    if not name.strip():
        told = "The name of the file is needed: ?name=photo.jpg."
        raise Refused(Reason("missing_field", told, "name", "Give it with its ending."))
    return cast(BinaryIO, request.stream), name


@bp.get("/files/<sha256>")
def file(sha256: str) -> Response:
    """One attached file by its SHA-256, as it was sent."""
    found = None
    if is_hash(sha256):
        with access.instance().database.reading() as db:
            found = file_by_hash(db, sha256)
    if found is None:
        raise Refused(
            Reason("not_found", "No entry names a file of that hash.", "sha256", "Send 64 digits, in lower case.")
        )
    return downloads.original(access.instance().files, found.sha256, found.size, found.media_type, found.name)
