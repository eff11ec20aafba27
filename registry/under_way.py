"""Acts of pages whose long work still runs: signed and sent, entered by their own thread as soon as it is done.

A page that shows one may be opened as often as anybody likes: only the sending began something, and the act's id lets it
into the log once. Nothing here outlives the server; then the act is in the log, or it is sent again.
"""

import logging
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from registry.acts.door import Done
from registry.apart import Job
from registry.errors import Reason, Refused

_KEPT = 100
_GUARD = threading.Lock()
_SENT: "OrderedDict[str, UnderWay]" = OrderedDict()


@dataclass
class UnderWay:
    """One act that was sent: by whom, what was sent and typed, its job; then `done`, or why it was `refused`."""

    person: str
    sent: dict[str, Any]
    typed: Any
    job: Job
    done: Done | None = None
    refused: Refused | None = None

    @property
    def ended(self) -> bool:
        return self.done is not None or self.refused is not None


def of(act_id: str, person: str) -> UnderWay | None:
    """The act of this id that this person sent, if it is known."""
    found = _SENT.get(act_id)
    return found if found and found.person == person else None


def send_off(one: UnderWay, enter: Callable[[], Done]) -> None:
    """Have this act entered once its long work is done; `enter` runs in the thread of that work.

    Sent twice it is under way once. Raises `Refused` when the id is under way with other fields.
    """
    with _GUARD:
        before = _SENT.get(one.sent["id"])
        if before and not before.ended:
            if _apart_from_time(before) == _apart_from_time(one):
                return
            told = "This act is being worked out as it was sent before, with other fields."
            raise Refused(Reason("conflicting_replay", told, "id", "Wait until that is done, or send it as a new act."))
        _SENT[one.sent["id"]] = one
        while len(_SENT) > _KEPT:
            _SENT.popitem(last=False)
    one.job.then(lambda: _finish(one, enter))


def _apart_from_time(one: UnderWay) -> Any:
    """What was sent; a form without a time says another "now" each time it is sent."""
    return one.person, {name: value for name, value in one.sent.items() if name != "happened_at"}


def _finish(one: UnderWay, enter: Callable[[], Done]) -> None:
    try:
        one.done = enter()
    except Refused as refused:
        one.refused = refused
    except Exception:
        logging.getLogger(__name__).exception("an act that was under way")
        told = "The registry failed at this, by a fault of its own."
        do = "Look in the log whether it was entered before you send it again, and tell the keeper what you did."
        one.refused = Refused(Reason("failed", told, next=do))
