"""The one way this program says no: a refusal with every reason at once, each a code, a sentence and a way out."""

from collections.abc import Iterable
from dataclasses import asdict, dataclass, field
from typing import Any, NamedTuple


class Kind(NamedTuple):
    """What a reason code means to the three doors: its HTTP status, and whether a deed may be entered in spite of it."""

    status: int
    overridable: bool = False


SHAPE, UNKNOWN_PERSON, FORBIDDEN, NOT_NOW, SLOW_DOWN = 422, 401, 403, 409, 429

#: Every reason code. `overridable` codes give way to `already_done` with a reason: what has happened must be
#: recordable, or people write fiction. The others never give way, whoever asks.
CODES: dict[str, Kind] = {
    # not readable
    "not_json": Kind(400),
    "not_found": Kind(404),
    "wrong_method": Kind(405),
    "too_large": Kind(413),
    "unknown_act": Kind(SHAPE),
    "unknown_version": Kind(SHAPE),
    "unknown_field": Kind(SHAPE),
    "missing_field": Kind(SHAPE),
    "wrong_form": Kind(SHAPE),
    "unreadable_label": Kind(SHAPE),
    "incomplete_label": Kind(SHAPE),
    "unknown_label": Kind(SHAPE),
    "ambiguous_label": Kind(SHAPE),
    "foreign_address": Kind(SHAPE),
    "copy_label": Kind(SHAPE),
    "cannot_compute": Kind(SHAPE),
    "not_a_photo": Kind(SHAPE),
    "no_symbol": Kind(SHAPE),
    "does_not_fit": Kind(SHAPE),
    "wrong_file": Kind(SHAPE),
    "unknown_file": Kind(SHAPE),
    # not you
    "not_signed_in": Kind(UNKNOWN_PERSON),
    "wrong_secret": Kind(UNKNOWN_PERSON),
    "wait": Kind(SLOW_DOWN),
    "foreign_page": Kind(FORBIDDEN),
    "not_allowed": Kind(FORBIDDEN, overridable=True),
    "needs_second_person": Kind(FORBIDDEN),
    # not now
    "mixed_pair": Kind(NOT_NOW),
    "same_kind": Kind(NOT_NOW),
    "former_pair": Kind(NOT_NOW),
    "half_alone": Kind(NOT_NOW),
    "bay_taken": Kind(NOT_NOW),
    "pair_installed": Kind(NOT_NOW),
    "not_installed": Kind(NOT_NOW),
    "found_other": Kind(NOT_NOW, overridable=True),
    "type_not_accepted": Kind(NOT_NOW, overridable=True),
    "on_hold": Kind(NOT_NOW, overridable=True),
    "not_accepted": Kind(NOT_NOW, overridable=True),
    "not_looked_at": Kind(NOT_NOW, overridable=True),
    "no_esd_signoff": Kind(NOT_NOW, overridable=True),
    "esd_failed": Kind(NOT_NOW, overridable=True),
    "too_cold": Kind(NOT_NOW, overridable=True),
    "not_matched": Kind(NOT_NOW, overridable=True),
    "mat_in_use": Kind(NOT_NOW, overridable=True),
    "carton_differs": Kind(NOT_NOW),
    "not_trained": Kind(NOT_NOW, overridable=True),
    "overlaps_history": Kind(NOT_NOW),
    "in_the_future": Kind(NOT_NOW),
    "already_paired": Kind(NOT_NOW),
    "pair_ended": Kind(NOT_NOW),
    "already_known": Kind(NOT_NOW),
    "already_so": Kind(NOT_NOW),
    "discrepancy_open": Kind(NOT_NOW),
    "retired": Kind(NOT_NOW),
    "not_open": Kind(NOT_NOW),
    "mounting_missing": Kind(NOT_NOW),
    "no_sheet": Kind(NOT_NOW),
    "looks_like_placeholder": Kind(NOT_NOW),
    "cannot_carry": Kind(NOT_NOW),
    "not_measured": Kind(NOT_NOW),
    "outside_tolerance": Kind(NOT_NOW),
    "own_work": Kind(FORBIDDEN),
    "not_own_work": Kind(FORBIDDEN),
    "too_soon": Kind(NOT_NOW),
    "photo_missing": Kind(NOT_NOW),
    "never_accepted": Kind(NOT_NOW),
    "no_such_finding": Kind(NOT_NOW),
    "own_fitting": Kind(FORBIDDEN),
    "outside_audit": Kind(NOT_NOW),
    "lines_open": Kind(NOT_NOW),
    "away": Kind(NOT_NOW),
    "not_same_batch": Kind(NOT_NOW),
    "impact_unanswered": Kind(NOT_NOW),
    "data_after_end": Kind(NOT_NOW),
    "nothing_to_amend": Kind(NOT_NOW),
    "interval_too_long": Kind(NOT_NOW),
    "statement_not_accepted": Kind(NOT_NOW),
    "stale": Kind(NOT_NOW),
    "conflicting_replay": Kind(NOT_NOW),
    "needs_reason": Kind(SHAPE),
    # not ever, and not the history we wrote: the database or the log itself said no
    "guard": Kind(NOT_NOW),
    "failed": Kind(500),
    "busy": Kind(503),
    "schema_changed": Kind(503),
    "log_damaged": Kind(503),
}


@dataclass(frozen=True, slots=True)
class Offer:
    """A lawful way out of a refusal: an act, ready to start, with what is already known filled in."""

    act: str
    label: str
    fields: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason: `message` says what and why, `next` what to do, `field` which entry of the act it is about."""

    code: str
    message: str
    field: str | None = None
    next: str | None = None
    offer: Offer | None = None

    def __post_init__(self) -> None:
        if self.code not in CODES:
            raise LookupError(f"{self.code!r} is not a reason code")

    @property
    def overridable(self) -> bool:
        return CODES[self.code].overridable

    @property
    def status(self) -> int:
        return CODES[self.code].status

    def as_json(self) -> dict[str, Any]:
        return {key: value for key, value in asdict(self).items() if value is not None or key == "field"}


class Refused(Exception):
    """Nothing was written. `reasons` holds every reason at once; the sender keeps what was sent and may send it again."""

    def __init__(self, *reasons: Reason):
        if not reasons:
            raise ValueError("a refusal needs a reason")
        self.reasons = reasons
        super().__init__(" ".join(reason.message for reason in reasons))

    @property
    def status(self) -> int:
        """Shape first, then who, then the rest: the order in which a sender can mend them."""
        statuses = [reason.status for reason in self.reasons]
        order = (400, SHAPE, 413, UNKNOWN_PERSON, FORBIDDEN, SLOW_DOWN, 404, 405, 500, 503, NOT_NOW)
        return min(statuses, key=order.index)


def refuse_if(reasons: Iterable[Reason]) -> None:
    """Raise one `Refused` with all the reasons, or return when there is none."""
    if found := tuple(reasons):
        raise Refused(*found)
