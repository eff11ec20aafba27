"""ESD sign-offs: limits with their sources, the verdict worked out from readings, and whether one holds at an instant.

Limits are those of ANSI/ESD S20.20-2021 and IEC 61340-5-1, read strictly: a reading equal to a "<" limit fails. The
lower bound of the strap is a tester setting that protects the wearer, not the unit, so a low reading is told apart.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from registry.domain.times import NEVER, later, say, say_day
from registry.errors import Reason

STATION_KINDS = {"protected_area": "protected area", "field_kit": "field kit"}
VERDICTS = {"pass": "pass", "fail": "fail", "incomplete": "incomplete"}
READING_VERDICTS = ("pass", "fail_low", "fail_high", "incomplete")
#: Hours a passing sign-off holds for that person at that station (common practice, no source; a calendar day would
#: end in the middle of a night shift).
VALID_H = 12


@dataclass(frozen=True, slots=True)
class Limit:
    """What a reading must meet: `least` or more, and under `below`."""

    label: str
    unit: str
    least: str | None
    below: str | None
    source: str
    mend: str

    def say(self) -> str:
        parts = [f"{self.least} or more"] * bool(self.least) + [f"under {_thousands(self.below or '')}"] * bool(
            self.below
        )
        return ", ".join(parts)


LIMITS = {
    "strap_mohm": Limit(
        "Wrist strap", "MΩ", "0.75", "35",
        "Under 35 MΩ: ANSI/ESD S20.20-2021 table 2. 0.75 MΩ or more: tester setting for the wearer’s safety, common practice.",
        "Moisten the skin, tighten the band, or take another strap.",
    ),
    "surface_mohm": Limit(
        "Bench surface to ground", "MΩ", None, "1000",
        "Under 1 GΩ: ANSI/ESD S20.20-2021 table 3.", "Clean the mat, press the probes flat, read again.",
    ),
    "field_kv_m": Limit(
        "Field at the unit", "kV/m", None, "5",
        "Under 5 kV/m (125 V per inch): ANSI/ESD S20.20-2021 8.3.1, IEC 61340-5-1.", "Clear tape, cups and foam away, read again.",
    ),
    "bond_mohm": Limit(
        "Person, mat, frame and unit to the common point", "MΩ", None, "1000",
        "Under 1 GΩ, no earth at hand: ANSI/ESD S20.20-2021 table 1.", "Clip the bonds to bare metal, read again.",
    ),
}  # fmt: skip
#: What each kind of station asks for before a bag or a hull is opened.
REQUIRED = {
    "protected_area": ("strap_mohm", "surface_mohm", "field_kv_m"),
    "field_kit": ("strap_mohm", "bond_mohm"),
}


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading as taken: a figure as text, or an open circuit, or nothing yet."""

    value: str | None
    open_circuit: bool = False


@dataclass(frozen=True, slots=True)
class Judged:
    """A reading with its verdict (`pass`, `fail_low`, `fail_high`, `incomplete`) and what to tell the person."""

    quantity: str
    reading: Reading
    limit: Limit
    verdict: str
    told: str


@dataclass(frozen=True, slots=True)
class SignoffVerdict:
    """The verdict over all readings, each with its own, and the reasons in words."""

    verdict: str
    readings: tuple[Judged, ...]
    reasons: tuple[str, ...]


def judge_reading(quantity: str, reading: Reading, limit: Limit | None = None) -> Judged:
    """One reading against its limit. An open circuit reads higher than any limit."""
    limit = limit or LIMITS[quantity]
    if reading.open_circuit:
        return Judged(
            quantity, reading, limit, "fail_high", f"Fails high: open circuit, limit {limit.say()}. {limit.mend}"
        )
    if reading.value is None:
        return Judged(quantity, reading, limit, "incomplete", f"{limit.label} is not read yet.")
    value = Decimal(reading.value)
    if limit.least is not None and value < Decimal(limit.least):
        told = f"Fails low: {reading.value} {limit.unit}, limit {limit.least} or more. A strap this low no longer protects you from mains; take another."
        return Judged(quantity, reading, limit, "fail_low", told)
    if limit.below is not None and value >= Decimal(limit.below):
        told = (
            f"Fails high: {_thousands(reading.value)} {limit.unit}, limit under {_thousands(limit.below)}. {limit.mend}"
        )
        return Judged(quantity, reading, limit, "fail_high", told)
    return Judged(quantity, reading, limit, "pass", f"{_thousands(reading.value)} {limit.unit}, within {limit.say()}.")


def judge_signoff(
    kind: str,
    readings: dict[str, Reading],
    *,
    on: str,
    meter: str | None,
    meter_due_on: str | None,
    cleared: bool,
    trained: bool,
) -> SignoffVerdict:
    """Any fail gives fail; else anything missing or out of date gives incomplete; else pass. Never typed in.

    `on` is the day; `cleared` says that insulators were cleared 30 cm away (asked of a field kit, whose field is read
    in its periodic check and not on deck); `trained` whether the person's ESD training holds that day.
    """  # fmt: skip
    asked = REQUIRED[kind]
    judged = tuple(
        judge_reading(name, readings.get(name, Reading(None))) for name in LIMITS if name in asked or name in readings
    )
    fails = [j.told for j in judged if j.verdict.startswith("fail")]
    if not trained:
        fails.append("Your ESD training or its refresher does not cover this day.")
    gaps = [j.told for j in judged if j.verdict == "incomplete" and j.quantity in asked]
    if not meter or not meter_due_on:
        gaps.append("Which meter took the readings, and when it is due, is not said.")
    elif meter_due_on < on:
        gaps.append(f"Meter {meter} was due on {say_day(meter_due_on)}.")
    if kind == "field_kit" and not cleared:
        gaps.append("Insulators are not cleared 30 cm away yet.")
    verdict = "fail" if fails else "incomplete" if gaps else "pass"
    return SignoffVerdict(verdict, judged, (*fails, *gaps))


@dataclass(frozen=True, slots=True)
class Signoff:
    """A sign-off on record."""

    id: str
    person: str
    station: str
    station_kind: str
    site_id: str
    signed_at: str
    good_to_at: str
    ended_at: str | None
    verdict: str


def good_to(signed_at: str) -> str:
    """Until when a sign-off signed then holds."""
    return later(signed_at, hours=VALID_H)


def reasons_without_signoff(
    person: str, signoffs: Iterable[Signoff], at: str, *, named: Signoff | None = None, site_id: str | None = None
) -> tuple[list[Reason], Signoff | None]:
    """Whether a sign-off of that very person holds at `at`, and which. `signoffs` are in the order they were signed
    (of two in one instant, as they were entered); `named` is the one the act points at, if any.

    A protected area protects at its own site only; a field kit goes along.
    """
    own = [s for s in signoffs if s.person == person and s.signed_at <= at]
    reason = _why_not_signed(person, own[-1] if own else None, at, named, site_id)
    return ([reason], None) if reason else ([], own[-1])


def _why_not_signed(
    person: str, last: Signoff | None, at: str, named: Signoff | None, site_id: str | None
) -> Reason | None:
    def missing(told: str, do: str = "Take the readings and sign for yourself before the bag or the hull is opened."):
        return Reason("no_esd_signoff", told, "esd_signoff", do)

    if named and named.person != person:
        return missing("That sign-off is another person’s; nobody signs for another.")
    if last is None:
        return missing(f"There is no ESD sign-off of the person who did it before {say(at)}.")
    if named and named.id != last.id:
        told = f"That sign-off was not the last: another was signed at {last.station} on {say(last.signed_at)}."
        return missing(told, "Leave the field empty, or look at the time.")
    ended = min(last.good_to_at, last.ended_at or NEVER)
    if not last.signed_at <= at < ended:
        return missing(f"The last sign-off, at {last.station}, held from {say(last.signed_at)} to {say(ended)}.")
    if last.verdict != "pass":
        told = f"The last sign-off, at {last.station} on {say(last.signed_at)}, is {last.verdict}."
        return Reason("esd_failed", told, "esd_signoff", "Mend what failed, read again and sign.")
    if site_id and last.station_kind == "protected_area" and last.site_id != site_id:
        return missing(f"The last sign-off is at {last.station}, which is at another site than the vehicle.")
    return None


def _thousands(text: str) -> str:
    whole, _, rest = text.partition(".")
    digits = f"{int(whole):,}" if whole.lstrip("-").isdigit() else whole
    return f"{digits}.{rest}" if rest else digits
