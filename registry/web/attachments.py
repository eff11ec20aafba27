"""Attached files: the original to save, the small picture to look at."""

from flask import Blueprint, Response, abort

from registry import access, downloads
from registry.queries.attachments import FileShown, file_shown
from registry.web.page import known_by_id

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
    return known_by_id(file_id, lambda db: file_shown(db, file_id))
