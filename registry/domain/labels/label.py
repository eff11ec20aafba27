"""What a scan says: the frozen answer of `read_label`, and the draft it is built from."""

from dataclasses import dataclass, field
from typing import Any, Literal, NamedTuple

from registry.domain.labels.identity import Identity
from registry.domain.labels.sayings import Unreadable, say
from registry.errors import Reason


class Element(NamedTuple):
    """One field of a label: a data, text or application identifier, and the text that follows it, as printed."""

    qualifier: str
    value: str


class Candidate(NamedTuple):
    """One way to understand a text that does not say what it is. A person chooses; the program never does.

    `kind` is `plain` (the whole text is a serial), `field` (the text is the field `qualifier` with `value`) or
    `code` (one of our own codes, typed; `value` is the code as stored).
    """

    kind: Literal["plain", "field", "code"]
    value: str
    qualifier: str = ""


#: Errors that mean "read, but it does not name one unit"; every other error is a label that could not be read.
_REASON_CODES = {
    "no_serial": "incomplete_label",
    "identity_incomplete": "incomplete_label",
    "url_not_ours": "foreign_address",
}


@dataclass(frozen=True, slots=True)
class Label:
    """One scan or typed text, read. Every value stands in `text` or is joined from what stands there.

    `ok` says that the text was read, not that it names one unit: that is so when `code` is set (one of our own
    labels) or `identity_key(identity)` is not None. `needs_person` says that somebody must choose among
    `candidates`, or add the maker or the part. A `copy` other than 0 is a numbered copy of our label: it says
    which half is meant and never where the half is. With `ok` false, `error` is one of `sayings.SAYINGS`,
    `message` says what is so and why, `next` what to do.
    """

    text: str
    ok: bool
    syntax: str = ""  # iso15434, gs1-elements, gs1-hri, gs1-digital-link, own-url or plain
    format: str = ""  # format indicators of ISO/IEC 15434, joined by + when there are several
    symbology: str | None = None  # AIM prefix of ISO/IEC 15424, when the scanner sent one
    family: str = ""  # how the separators were spelled, when the text has an envelope
    elements: tuple[Element, ...] = ()
    identity: Identity | None = None
    candidates: tuple[Candidate, ...] = ()
    attributes: dict[str, str] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()
    needs_person: bool = False
    code: str | None = None
    copy: int = 0
    error: str | None = None
    message: str = ""
    next: str = ""
    qualifier: str = ""
    expected: str = ""
    missing: str = ""

    def reason(self, field: str | None = None) -> Reason | None:
        """The refusal this label gives when it cannot be read or names no unit, about the entry `field` of an act."""
        if self.error is None:
            return None
        code = _REASON_CODES.get(self.error, "unreadable_label")
        return Reason(code, self.message, field=field, next=self.next or None)


@dataclass(slots=True)
class Draft:
    """What has been read so far. It is kept apart so that a refusal can still show the fields that were read."""

    text: str
    syntax: str = ""
    format: str = ""
    symbology: str | None = None
    family: str = ""
    elements: list[Element] = field(default_factory=list)
    candidates: list[Candidate] = field(default_factory=list)
    attributes: dict[str, str] = field(default_factory=dict)
    warnings: list[str] = field(default_factory=list)
    needs_person: bool = False

    def warn(self, *codes: str) -> None:
        self.warnings.extend(code for code in codes if code not in self.warnings)

    def finished(self, **more: Any) -> Label:
        return Label(**(self._read() | {"ok": True} | more))

    def refused(self, why: Unreadable) -> Label:
        message, next_step = say(why.error, **why.facts)
        facts = {key: why.facts[key] for key in ("qualifier", "expected", "missing", "format") if key in why.facts}
        asks = self.needs_person or why.error == "identity_incomplete"
        told = {"ok": False, "error": why.error, "message": message, "next": next_step, "needs_person": asks}
        return Label(**(self._read() | told | facts))

    def _read(self) -> dict[str, Any]:
        lists = {name: tuple(getattr(self, name)) for name in ("elements", "candidates", "warnings")}
        plain = ("text", "syntax", "format", "symbology", "family", "attributes", "needs_person")
        return {name: getattr(self, name) for name in plain} | lists
