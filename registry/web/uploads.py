"""Files that come with a form: each is kept before the act that names it is sent, and stays with the form when the act
is refused, so that nobody takes a photo twice."""

from typing import Any

from flask import request
from werkzeug.datastructures import MultiDict
from wtforms import Field, Form
from wtforms.utils import unset_value

from registry import access
from registry.domain.attachments import KINDS, clean_name, is_hash, not_sent
from registry.domain.people import May, name_roles
from registry.errors import Reason, Refused, refuse_if

ACCEPT = ",".join([*KINDS, *(f".{ending}" for kind in KINDS.values() for ending in kind.endings)])


class FilesField(Field):
    """Files chosen or taken with the camera, and those kept from an earlier try. `given` is what the act will name."""

    accept = ACCEPT

    def __init__(self, label: str = "", *, camera: bool = False, **kwargs: Any):
        super().__init__(label, **kwargs)
        self.camera = camera

    def process(self, formdata: Any, data: Any = unset_value, extra_filters: Any = None) -> None:
        """An entry of an address is no file: only what a form sent counts."""
        self.process_errors, self.data = [], None
        self.sent = [one for one in formdata.getlist(self.name) if getattr(one, "filename", "")] if formdata else []
        self.kept = formdata.getlist(f"{self.name}-kept") if formdata else []
        self.given: list[dict[str, Any]] = []


def take_in(form: Form) -> None:
    """Keep every file of the form. Raises `Refused` with a reason for each that is not kept; the others stay."""
    for field in form:
        if isinstance(field, FilesField) and (field.sent or field.kept):
            _may_send()
            refuse_if(_taken(field))


def typed(form: Form) -> MultiDict[str, str]:
    """Everything typed into a form, without secrets, its files as kept: enough to show the form again later."""
    told = MultiDict(request.form)
    for name in ("pin", "second_pin", "csrf_token"):
        told.poplist(name)
    for field in form:
        if isinstance(field, FilesField):
            told.setlist(f"{field.name}-kept", [f"{file['sha256']} {file['name']}" for file in field.given])
    return told


def _may_send() -> None:
    if not access.person().roles & May.ANYONE:
        told = f"Only {name_roles(May.ANYONE)} may send files, and you hold no role now."
        raise Refused(Reason("not_allowed", told, next="Ask a keeper."))


def _taken(field: FilesField) -> list[Reason]:
    files, reasons, given = access.instance().files, [], {}
    for text in field.kept:
        sha256, _, name = text.partition(" ")
        kept = files.find(sha256, clean_name(name)) if is_hash(sha256) else None
        if kept is None:
            reasons.append(not_sent(name, sha256, field.name))
        else:
            given[kept.sha256] = kept._asdict()
    for one in field.sent:
        try:
            kept = files.keep(one.stream, one.filename or "").file
            given[kept.sha256] = kept._asdict()
        except Refused as refused:
            reasons += [Reason(r.code, r.message, field.name, r.next) for r in refused.reasons]
    field.given = list(given.values())
    return reasons
