"""What a page about vehicles is asked besides the instant: a planned voyage, from and to, and a use. Both stay in its links."""

from typing import NamedTuple

from flask import request, url_for

from registry import access
from registry.domain.fit_use import ASKED, say_tolerances
from registry.domain.times import stamp
from registry.domain.voyages import Voyage, read_voyage
from registry.errors import Reason, Refused
from registry.web.page import past_query

NAMES = ("from", "to", "use")


class Asked(NamedTuple):
    """The voyage and the use asked about, each None when it is not."""

    voyage: Voyage | None
    use: str | None

    def say(self) -> str:
        """`For a voyage 15 to 29 May 2026. Judged for multibeam: heading within 0.1°, roll within 0.05°.`"""
        voyage = [f"For a voyage {self.voyage.say()}."] if self.voyage else []
        use = [f"Judged for {ASKED[self.use]}: {say_tolerances(self.use)}."] if self.use else []
        return " ".join([*voyage, *use])


def asked() -> Asked:
    """The voyage and the use in this address. Raises `Refused` with a sentence."""
    told = asked_query()
    try:
        voyage = read_voyage(told.get("from", ""), told.get("to", ""))
    except ValueError as problem:
        do = "A voyage is asked about by two days, like 2026-05-15 and 2026-05-29."
        raise Refused(Reason("wrong_form", str(problem), _wrong_end(told), do)) from None
    use = told.get("use")
    if use is not None and use not in ASKED:
        known = ", ".join(ASKED)
        raise Refused(
            Reason("wrong_form", f"“{use[:40]}” is no use a vehicle is judged for.", "use", f"Known: {known}.")
        )
    return Asked(voyage, use)


def _wrong_end(told: dict[str, str]) -> str:
    """Which of the two days the reason stands beside."""
    if "to" not in told or "from" not in told:
        return "to" if "from" in told else "from"
    try:
        read_voyage(told["from"], told["from"])
    except ValueError:
        return "from"
    return "to"


def asked_query() -> dict[str, str]:
    """What keeps links about the same voyage and use."""
    return {name: request.args[name].strip() for name in NAMES if request.args.get(name, "").strip()}


def kept_query() -> dict[str, str]:
    """What keeps links at the same instant, too."""
    return past_query() | asked_query()


def at_its_beginning(one: Asked) -> str | None:
    """Where to look instead when the voyage asked about is over and no instant is: at how things stood as it began."""
    if past_query() or one.voyage is None or one.voyage.until > stamp(access.now()):
        return None
    return url_for(request.endpoint or "", **(request.view_args or {}), **asked_query(), at=one.voyage.since[:16])


def back_to_now() -> str:
    """The page as it stands now. A voyage that is over is let go: it would turn the page back again."""
    one = asked()
    over = one.voyage is not None and one.voyage.until <= stamp(access.now())
    kept = {name: value for name, value in asked_query().items() if not (over and name in ("from", "to"))}
    return url_for(request.endpoint or "", **(request.view_args or {}), **kept)
