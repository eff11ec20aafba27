"""Readings: what is read, with what, and whether a reading is within its limit by the plan. Limits are read strictly: a
reading equal to a "<" limit fails. The lower bound of the strap is a tester setting that protects the wearer, not the
unit, so a low reading is told apart.
"""

from dataclasses import dataclass
from decimal import Decimal

from registry.domain.plans import Plan

READING_VERDICTS = ("pass", "fail_low", "fail_high", "incomplete")
METER_KINDS = {
    "strap": "strap tester", "resistance": "resistance meter", "field": "field meter", "charged_plate": "charged-plate monitor",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Quantity:
    """Something that is read: its unit, the figures of the plan that bound it, what mends a fail, what kinds of meter
    read it."""

    label: str
    unit: str
    below: str
    mend: str
    least: str | None = None
    read_by: tuple[str, ...] = ("resistance",)
    either_way: bool = False


_PERSON = ("strap", "resistance")
QUANTITIES = {
    "strap_mohm": Quantity(
        "Wrist strap", "MΩ", "strap_below_mohm", "Moisten the skin, tighten the band, or take another strap.", "strap_least_mohm", _PERSON,
    ),
    "footwear_mohm": Quantity(
        "Person through footwear and floor", "MΩ", "footwear_below_mohm", "Clean soles and floor, wear the straps on both heels, read again.", read_by=_PERSON,
    ),
    "garment_mohm": Quantity(
        "Person through the groundable garment", "MΩ", "garment_below_mohm", "Close the cuffs on bare skin, clip its cord, read again.", read_by=_PERSON,
    ),
    "surface_mohm": Quantity(
        "Bench surface to ground", "MΩ", "surface_below_mohm", "Clean the mat, press the probes flat, read again.",
    ),
    "floor_mohm": Quantity("Floor to ground", "MΩ", "floor_below_mohm", "Clean the floor, read again at another spot."),
    "bond_mohm": Quantity(
        "Person, mat, frame and unit to the common point", "MΩ", "bond_below_mohm", "Clip the bonds to bare metal, read again.",
    ),
    "field_kv_m": Quantity(
        "Field at the unit", "kV/m", "field_below_kv_m", "Clear tape, cups and foam away, read again.", read_by=("field",),
    ),
    "ioniser_offset_v": Quantity(
        "Ioniser offset", "V", "ioniser_offset_below_v", "Clean its points, balance it, read again.", read_by=("charged_plate",), either_way=True,
    ),
    "ioniser_decay_s": Quantity(
        "Ioniser, 1,000 V to 100 V", "s", "ioniser_decay_below_s", "Clean its points, move it closer, read again.", read_by=("charged_plate",),
    ),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Limit:
    """What a reading must meet at this site on this day: `least` or more, and under `below`."""

    label: str
    unit: str
    least: str | None
    below: str | None
    source: str
    mend: str
    either_way: bool = False

    def say(self) -> str:
        parts = [f"{self.least} or more"] if self.least else []
        parts += [f"under {in_thousands(self.below)}"] if self.below else []
        return ", ".join(parts) or "none set"


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


def limit_of(quantity: str, plan: Plan) -> Limit:
    """The limit of a reading by the plan, with its source."""
    asked = QUANTITIES[quantity]
    names = [name for name in (asked.below, asked.least) if name]
    least = plan.value(asked.least) if asked.least else None
    # Each bound brings its own source: one is the standard’s, the other a setting for the wearer’s safety.
    source = ". ".join(dict.fromkeys(plan.source(name) for name in names))
    return Limit(asked.label, asked.unit, least, plan.value(asked.below), source, asked.mend, asked.either_way)


def judge_reading(quantity: str, reading: Reading, limit: Limit) -> Judged:
    """One reading against its limit. An open circuit reads higher than any limit."""

    def judged(verdict: str, told: str) -> Judged:
        return Judged(quantity, reading, limit, verdict, told)

    if reading.open_circuit:
        return judged("fail_high", f"{limit.label} fails high: open circuit, limit {limit.say()}. {limit.mend}")
    if reading.value is None:
        return judged("incomplete", f"{limit.label} is not read yet.")
    value = Decimal(reading.value)
    if limit.either_way:
        value = abs(value)
    shown = f"{in_thousands(reading.value)} {limit.unit}"
    if limit.least is not None and value < Decimal(limit.least):
        told = f"{limit.label} fails low: {shown}, limit {limit.least} or more. A strap this low no longer protects you from mains; take another."
        return judged("fail_low", told)
    if limit.below is None:
        return judged("incomplete", f"{limit.label}: {shown}, and the plan of the site sets no limit. Set one.")
    if value >= Decimal(limit.below):
        told = f"{limit.label} fails high: {shown}, limit under {in_thousands(limit.below)}. {limit.mend}"
        return judged("fail_high", told)
    return judged("pass", f"{limit.label}: {shown}, within {limit.say()}.")


def in_thousands(text: str) -> str:
    """A figure as text with its thousands set apart."""
    whole, _, rest = text.partition(".")
    digits = f"{int(whole):,}" if whole.lstrip("-").isdigit() else whole
    return f"{digits}.{rest}" if rest else digits
