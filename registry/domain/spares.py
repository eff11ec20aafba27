"""Spares: the free pairs that may go into a bay, best first, and what each still needs before it does."""

from collections.abc import Iterable
from dataclasses import dataclass

from registry.domain.holds import Hold, reasons_on_hold
from registry.domain.openings import Asked, reasons_not_looked_at
from registry.domain.settings_fit import Runs
from registry.domain.times import say_day
from registry.domain.verifications import VERDICTS, Due
from registry.errors import Offer, Reason


@dataclass(frozen=True, slots=True)
class Need:
    """One thing a spare needs. `keeps_out` says that the door refuses it until then; `work` names the figure of the
    plan that says how long it takes, and is empty where no work of a technician answers it."""

    code: str
    told: str
    offer: Offer | None = None
    keeps_out: bool = False
    work: str = ""


@dataclass(frozen=True, slots=True)
class Lying:
    """Where a half lies: the site, if one is recorded, and the words for it; `away` while it is at repair or on loan."""

    site_id: str | None
    words: str
    away: bool = False


@dataclass(frozen=True, slots=True)
class FreePair:
    """A pair that sits in no bay at the instant, with everything on record that stands against putting it in one."""

    pairing_id: str
    pair: str
    type_id: str
    type_name: str
    sensor_code: str
    electronics_code: str
    sensor: Lying
    electronics: Lying
    due: Due
    holds: tuple[Hold, ...] = ()
    not_accepted: tuple[Reason, ...] = ()
    asked: tuple[Asked, ...] = ()
    differences: tuple[tuple[str, str], ...] = ()  # id of the discrepancy, its words
    retired: tuple[str, ...] = ()

    @property
    def site_id(self) -> str | None:
        """The site both halves lie at; None when they lie apart or nobody recorded where."""
        return self.sensor.site_id if self.sensor.site_id == self.electronics.site_id else None

    @property
    def apart(self) -> bool:
        return self.sensor != self.electronics

    def say_where(self) -> str:
        if self.apart:
            return f"apart: sensor half {self.sensor.words}; electronics half {self.electronics.words}"
        return self.sensor.words


@dataclass(frozen=True, slots=True)
class BayAt:
    """A bay that waits for a spare: its vehicle, where that lies, and the types the bay accepts."""

    id: str
    code: str
    letter: str
    housing_id: str
    vehicle_id: str
    vehicle: str
    site_id: str | None
    site: str | None
    types: frozenset[str]

    def __str__(self) -> str:
        return f"{self.vehicle}, bay {self.letter}"


@dataclass(frozen=True, slots=True)
class Spare:
    """A free pair seen from one bay. Ready: it needs nothing. `aboard`: both halves lie at the site of the vehicle."""

    pair: FreePair
    needs: tuple[Need, ...]
    aboard: bool

    @property
    def ready(self) -> bool:
        return not self.needs

    @property
    def kept_out(self) -> bool:
        return any(need.keeps_out for need in self.needs)

    def say_where(self) -> str:
        """`at North shed, shelf 2, with the vehicle`, or where else it lies."""
        return f"{self.pair.say_where()}{', with the vehicle' if self.aboard else ', elsewhere' if self.pair.site_id else ''}"

    @property
    def rank(self) -> tuple[bool, bool, bool, bool, int, int, str]:
        """What keeps out comes last; before it those whose halves lie apart; ready first, then near, then few needs."""
        due = self.pair.due
        return (
            self.kept_out,
            self.pair.apart,
            not self.ready,
            not self.aboard,
            len(self.needs),
            -due.left_days,
            self.pair.pair,
        )


def spare_for(bay: BayAt, pair: FreePair, more: Iterable[Need] = (), until: str | None = None) -> Spare:
    """The pair as a spare of this bay. `more` is what other features know it needs; with `until`, a verification must
    hold through that day."""
    needs = (*_keeping_out(bay, pair), *_of_places(pair), *needs_of_due(pair.due, until), *more)
    return Spare(pair, needs, bay.site_id is not None and pair.site_id == bay.site_id)


def best_first(spares: Iterable[Spare]) -> tuple[Spare, ...]:
    return tuple(sorted(spares, key=lambda one: one.rank))


def _keeping_out(bay: BayAt, pair: FreePair) -> list[Need]:
    """What the door would refuse, in its own words."""
    needs = []
    if pair.type_id not in bay.types:
        offer = Offer("accept_type", "Accept the type", {"bay": bay.id, "unit_type": pair.type_id})
        needs.append(Need("type_not_accepted", f"{bay} does not accept {pair.type_name}.", offer, True))
    for hold in pair.holds:
        offer = Offer("release_hold", "Release it, with evidence", {"hold": hold.id})
        needs += [Need("on_hold", reason.message, offer, True) for reason in reasons_on_hold([hold], "sensor")]
    refused = (*pair.not_accepted, *reasons_not_looked_at(pair.asked, "sensor"))
    needs += [Need(reason.code, reason.message, reason.offer, True) for reason in refused]
    return needs + [Need("retired", f"{words[0].upper()}{words[1:]}.", None, True) for words in pair.retired]


def _of_places(pair: FreePair) -> list[Need]:
    out = [half.words for half in (pair.sensor, pair.electronics) if half.away]
    if out:
        told = f"It is away: {'; '.join(dict.fromkeys(out))}."
        return [Need("away", told, keeps_out=True)]
    needs = [
        Need("discrepancy", words, Offer("settle_discrepancy", "Settle it", {"discrepancy": id_}))
        for id_, words in pair.differences
    ]
    move = Offer("move_halves", "Move halves", {"halves": f"{pair.sensor_code}\n{pair.electronics_code}"})
    if pair.apart:
        needs.append(Need("halves_apart", f"Its halves lie {pair.say_where()}.", move))
    elif pair.site_id is None:
        needs.append(Need("place_unknown", "Nobody recorded where it lies.", move))
    return needs


def needs_of_due(due: Due, until: str | None = None) -> list[Need]:
    """What verification asks before a pair goes in: never verified, failed, overdue or due by that day, not decided, or
    not looked at by a second person. A day that has not ended yet still holds."""
    check = Offer("record_heading_check", "Enter a heading check", {"pair": due.pairing_id})
    verify = {"offer": check, "work": "heading_check_min"}
    if due.state == "failed":
        return [Need("verification_failed", due.say(), **verify)]
    if due.jumped:
        told = "Its number on a known mark jumped beyond its scatter: scan both halves, and check it again."
        return [Need("never_like_this", told, **verify)]
    if due.state == "overdue":
        return [Need("verification_overdue", due.say(), **verify)]
    if due.good_on is None:
        return [Need("never_verified", due.say(), **verify)]
    needs = _of_verdict(due, check)
    if until and due.due_on < until[:10]:
        needs.append(Need("verification_due", f"Due on {say_day(due.due_on)}, within the voyage.", **verify))
    return needs


def needs_of_firmware(runs: Iterable[Runs]) -> tuple[Need, ...]:
    """What the list of permitted firmware asks of both halves. Nothing is asked where no list names their kind."""
    needs = []
    for one in runs:
        key = {"half": one.half}
        if one.permitted is False and one.version is None:
            offer = Offer("record_firmware", "Enter what it runs", key)
            told = f"Firmware of its {one.kind} half was never read, and a list of what is permitted is in force."
            needs.append(Need("firmware_not_read", told, offer, work="load_min"))
        elif one.permitted is False:
            offer = Offer("record_firmware", "Enter what it runs now", key)
            told = f"Its {one.kind} half runs {one.version}, which is not permitted: bring it to one that is."
            needs.append(Need("firmware_not_permitted", told, offer, work="firmware_min"))
    return tuple(needs)


def needs_of_sheet(bay: BayAt, written: bool, demanded: bool) -> tuple[Need, ...]:
    """A settings sheet for the bay, where the type of the pair is not used without one."""
    if written or not demanded:
        return ()
    offer = Offer("write_settings_sheet", "Write the settings sheet", {"bay": bay.id})
    return (Need("no_settings_sheet", f"{bay} has no settings sheet to load, and its type demands one.", offer),)


def _of_verdict(due: Due, check: Offer) -> list[Need]:
    if due.last_verdict is None or (due.reviewed and due.last_verdict in ("pass", "conditional_pass")):
        return []
    review = Offer("review_verification", "Review it", {"verification": due.last_id})
    if due.last_verdict == "pass":
        return [
            Need("awaits_review", "A second person has not looked at its verification yet.", review, work="review_min")
        ]
    told = f"Its last verification: {VERDICTS[due.last_verdict]}."
    if due.last_verdict == "conditional_pass":
        return [Need("verification_undecided", told, review, work="review_min")]
    return [Need("verification_undecided", told, check, work="heading_check_min")]
