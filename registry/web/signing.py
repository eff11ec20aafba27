"""Entering an act from a form: the PIN first, then the door; a refusal keeps everything that was typed."""

import re
from typing import Any, NoReturn

from flask import current_app

from registry import access, entering, passwords
from registry.acts import log, references
from registry.acts.act import Act
from registry.acts.door import Answer, Done, Signer, read_act
from registry.acts.ids import new_id
from registry.domain.texts import is_id
from registry.domain.times import stamp, write_rfc3339
from registry.entering import Unfinished
from registry.errors import Reason, Refused
from registry.queries import choices as choice_queries
from registry.queries import log as log_queries
from registry.under_way import UnderWay, send_off
from registry.web.forms import ActForm, fill, form_for, kinds_of, zoned
from registry.web.naming import name_things
from registry.web.uploads import take_in, typed

VIA = "page"
_DIGITS = re.compile(r"\d{1,15}", re.ASCII)


def blank(cls: type[Act], given: dict[str, Any], choices: dict[str, list[tuple[str, str]]], log_size: int) -> ActForm:
    """A form ready to be shown, with what is known filled in and an id of its own."""
    form = form_for(cls)(formdata=None, data=given)
    form.id.data = new_id(access.now(), access.dice().getrandbits)
    form.seen.data = str(log_size)
    fill(form, choices)
    name_things(form)
    return form


def posted(cls: type[Act], choices: dict[str, list[tuple[str, str]]], kept: Any = None) -> ActForm:
    """The form as it came back, or as it was `kept` from when it came."""
    form = form_for(cls)() if kept is None else form_for(cls)(formdata=kept)
    fill(form, choices)
    name_things(form)
    return form


def enter(form: ActForm) -> Done | UnderWay:
    """Enter the act of a posted form in the signed-in person's name; while its long work runs, it is under way. Raises
    `Refused`; its files are kept all the same."""
    take_in(form)
    sent = _sent(form)
    signer = _signer(form, sent)
    try:
        return _entered(sent, signer)
    except Unfinished as unfinished:
        return _send_off(form, sent, signer, unfinished)
    except Refused as refused:
        # Two taps in one instant: the second arrives when the first is in the log, with a "now" of its own.
        if form.happened_at.data or not any(r.code == "conflicting_replay" for r in refused.reasons):
            raise
        sent["happened_at"] = _when(form)
        return _entered(sent, signer)


def _entered(sent: dict[str, Any], signer: Signer) -> Done:
    return entering.enter(
        access.instance(), sent, signer, now=access.now(), dice=access.dice(), within_s=entering.PATIENCE_S
    )


def _send_off(form: ActForm, sent: dict[str, Any], signer: Signer, unfinished: Unfinished) -> UnderWay:
    """Have it entered when its long work is done: by then this request is answered long since."""
    instance, clock, dice = access.instance(), current_app.extensions["pairbook_clock"], access.dice()
    one = UnderWay(signer.person, sent, typed(form), unfinished.job)
    send_off(one, lambda: entering.enter(instance, sent, signer, now=clock(), dice=dice))
    return one


def anew(form: ActForm, refused: Refused) -> None:
    """Make a form that is shown again fit to be sent again, when what was refused is not what was typed."""
    codes = {reason.code for reason in refused.reasons}
    if "stale" in codes:
        with access.instance().database.reading() as db:
            form.seen.data = str(log_queries.size(db))
    if "conflicting_replay" in codes:
        form.id.data = new_id(access.now(), access.dice().getrandbits)


def check(sent: dict[str, Any]) -> Answer:
    """The go / no-go of an act in the signed-in person's name, as of now."""
    told = {
        "version": 1,
        "id": new_id(access.now(), access.dice().getrandbits),
        "happened_at": write_rfc3339(access.now()),
        **sent,
    }
    try:
        return entering.check(
            access.instance(), told, Signer(access.person().id, VIA), now=access.now(), dice=access.dice()
        )
    except Refused as refused:
        return Answer(list(refused.reasons), [], {})


def _sent(form: ActForm) -> dict[str, Any]:
    sent = {**form.sent(), "id": form.id.data or "", "happened_at": _when(form)}
    if _DIGITS.fullmatch(form.seen.data or ""):
        sent["seen"] = int(form.seen.data)
    return sent


def _when(form: ActForm) -> str:
    """The instant as typed; for an empty one now, or what this very act was stored with when it was sent before."""
    if form.happened_at.data:
        return zoned(form.happened_at.data)
    id_ = form.id.data or ""
    with access.instance().database.reading() as db:
        stored = log.stored(db, id_) if is_id(id_) else None
    return stored.happened_at if stored else write_rfc3339(access.now())


def _signer(form: ActForm, sent: dict[str, Any]) -> Signer:
    me = access.person()
    if form.act_cls.pin:
        if not form.pin.data:
            _refuse_unsigned(sent)
        _check_pin(me.id, form.pin.data or "", "pin")
    second = sent.get("second")
    if second and (pin := form.second_pin.data):
        with access.instance().database.reading() as db:
            found = references.resolve(db, "person", second, stamp(access.now()), "second")
        if isinstance(found, Reason):
            raise Refused(found)
        _check_pin(found, pin, "second_pin")
        return Signer(me.id, VIA, found)
    return Signer(me.id, VIA)


def _refuse_unsigned(sent: dict[str, Any]) -> NoReturn:
    """Nothing was typed as a PIN: told together with every fault of form, so that all is put right in one go."""
    missing = Reason("missing_field", "Your PIN is missing.", "pin", "Type it: it signs this in your name.")
    try:
        read_act(sent, now=access.now())
    except Refused as refused:
        raise Refused(*refused.reasons, missing) from None
    raise Refused(missing)


def _check_pin(person_id: str, pin: str, field: str) -> None:
    try:
        passwords.check_secret(access.instance().database, person_id, "pin", pin, access.now())
    except Refused as refused:
        raise Refused(*(Reason(r.code, r.message, field, r.next) for r in refused.reasons)) from None


def choices_for(cls: type[Act]) -> tuple[dict[str, list[tuple[str, str]]], int]:
    """What this act's form lets a person choose from, and the size of the log it is shown at."""
    kinds = kinds_of(form_for(cls)(formdata=None))
    with access.instance().database.reading() as db:
        return choice_queries.choices(db, kinds, stamp(access.now()), cls.name), log_queries.size(db)
