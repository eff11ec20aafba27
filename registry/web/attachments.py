"""Attached files: the original to save, the small picture to look at."""

from flask import Blueprint, Response, abort

from registry import access, downloads
from registry.domain.texts import is_id
from registry.queries.attachments import FileShown, file_shown

bp = Blueprint("attachments", __name__)


@bp.get("/files/<file_id>")
def original(file_id: str) -> Response:
    """The file as it was sent, to be saved."""
    file = _found(file_id)
    return downloads.original(access.instance().files, file.sha256, file.size, file.media_type, file.name)


@bp.get("/files/<file_id>/small")
def small(file_id: str) -> Response:
    """The small picture of a picture."""
    file = _found(file_id)
    if not file.is_picture:
        abort(404)
    return downloads.small(access.instance().files, file.sha256, file.media_type, file.name)


def _found(file_id: str) -> FileShown:
    if not is_id(file_id):
        abort(404)
    with access.instance().database.reading() as db:
        file = file_shown(db, file_id)
    if file is None:
        abort(404)
    return file
