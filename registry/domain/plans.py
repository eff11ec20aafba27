"""What a site works by: limits, how long things hold, what may stand in for what. Every figure has a default with its
reason and source; a site may set its own from a day on, and what held on the day is stored with each record.

Sources: ANSI/ESD S20.20-2021 and IEC 61340-5-1 for limits, as repeated in public pages (buy the standards before you
rely on a figure); all else is common practice without a source.
"""

from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from typing import Any

from registry.domain.times import say_day

PRACTICE = "Common practice, no source"


@dataclass(frozen=True, slots=True)
class PlanItem:
    """One figure of the plan. Without `unit` it is yes or no; without `default` only a site can set it. `looser` says
    which way is less careful than the default: "more", "less", or "" where neither is."""

    label: str
    unit: str
    default: str | None
    source: str
    why: str
    looser: str = ""
    most: str = "1000000"

    @property
    def yes_or_no(self) -> bool:
        return not self.unit


#: Group -> the figures in it.
GROUPS: dict[str, dict[str, PlanItem]] = {
    "Person to ground": {
        "strap_least_mohm": PlanItem(
            "Wrist strap, least", "MΩ", "0.75", "Tester setting, common practice; the standard sets no lower limit",
            "The resistor in the cord protects the wearer from mains.", "less",
        ),
        "strap_below_mohm": PlanItem(
            "Wrist strap, under", "MΩ", "35", "ANSI/ESD S20.20-2021 table 2", "Person, strap and cord to ground.", "more",
        ),
        "standing_by_footwear": PlanItem(
            "Footwear and floor may replace the strap for standing work", "", "no", "ANSI/ESD S20.20-2021 8.2: seated work needs a strap",
            "Only where floor and footwear were qualified together.", "more",
        ),
        "footwear_below_mohm": PlanItem(
            "Person through footwear and floor, under", "MΩ", "1000", "ANSI/ESD S20.20-2021 table 2", "Only with a body voltage under 100 V when qualified.", "more",
        ),
        "garment_for_strap": PlanItem(
            "A groundable garment may replace the strap", "", "no", "ANSI/ESD S20.20-2021 table 2",
            "It may if the plan says so; never near exposed high voltage.", "more",
        ),
        "garment_below_mohm": PlanItem(
            "Person through the groundable garment, under", "MΩ", "35", "ANSI/ESD S20.20-2021 table 2", "The garment is then the strap.", "more",
        ),
    },
    "Bench and kit": {
        "surface_below_mohm": PlanItem(
            "Work surface to ground, under", "MΩ", "1000", "ANSI/ESD S20.20-2021 table 3", "Under 1 GΩ.", "more",
        ),
        "floor_below_mohm": PlanItem(
            "Floor to ground, under", "MΩ", "1000", "ANSI/ESD S20.20-2021 table 3, from memory", "Where the floor grounds people.", "more",
        ),
        "bond_below_mohm": PlanItem(
            "Person, mat, frame and unit to the common point, under", "MΩ", "1000", "ANSI/ESD S20.20-2021 table 1", "No earth at hand, as on a deck.", "more",
        ),
        "ioniser_offset_below_v": PlanItem(
            "Ioniser offset either way, under", "V", "35", "ANSI/ESD S20.20-2021 table 3, from memory", "Where an ioniser is used.", "more",
        ),
        "ioniser_decay_below_s": PlanItem(
            "Ioniser, 1,000 V to 100 V, under", "s", None, "ANSI/ESD S20.20-2021 table 3: the site sets it", "Where an ioniser is used, both polarities.", "more",
        ),
    },
    "Charge at the unit": {
        "field_below_kv_m": PlanItem(
            "Field at the unit, under", "kV/m", "5", "ANSI/ESD S20.20-2021 8.3.1, IEC 61340-5-1", "125 V per inch. It is not 125 V/m.", "more",
        ),
        "insulator_far_v": PlanItem(
            "An insulator over this is kept far", "V", "2000", "ANSI/ESD S20.20-2021 8.3.1", "Surface potential.", "more",
        ),
        "insulator_far_cm": PlanItem(
            "Far is at least", "cm", "30", "ANSI/ESD S20.20-2021 8.3.1 (12 in), IEC 61340-5-1", "From the unit.", "less",
        ),
        "insulator_near_v": PlanItem(
            "An insulator over this is kept off", "V", "125", "ANSI/ESD S20.20-2021 8.3.1", "Surface potential.", "more",
        ),
        "insulator_near_cm": PlanItem(
            "Off is at least", "cm", "2.5", "ANSI/ESD S20.20-2021 8.3.1 (1 in)", "From the unit.", "less",
        ),
    },
    "How long it holds": {
        "signoff_holds_h": PlanItem(
            "An ESD sign-off", "h", "12", PRACTICE, "The standard leaves it to the plan; a calendar day would end in the middle of a night shift.", "more", "168",
        ),
        "mat_check_months": PlanItem(
            "A check of a protected area", "months", "3", PRACTICE, "Mats dry out and get dirty.", "more", "120",
        ),
        "kit_check_months": PlanItem(
            "A check of a field kit", "months", "1", PRACTICE, "Usual: before each voyage.", "more", "120",
        ),
        "meter_months": PlanItem(
            "A meter’s calibration", "months", "12", PRACTICE, "Where its certificate names no day.", "more", "120",
        ),
        "refresher_months": PlanItem(
            "Training, to its refresher", "months", "12", PRACTICE, "The standard leaves the period to the plan.", "more", "120",
        ),
    },
    "Verification": {
        "verification_months": PlanItem(
            "A verification", "months", "12", PRACTICE, "And after a shock, a repair, a year in store, before mobilisation.", "more", "120",
        ),
        "verification_notice_days": PlanItem(
            "It is told of from so many before it is due", "days", "30", PRACTICE, "Time to bring the pair to a mark.", "less", "365",
        ),
        "overdue_stops": PlanItem(
            "An overdue verification stops the vehicle", "", "no", PRACTICE, "Where the site or a contract says so; else a named person answers.",
        ),
    },
    "A second person’s check": {
        "recheck_alone_min": PlanItem(
            "Who seated a pair looks again after", "min", "30", PRACTICE, "Fresh eyes, where nobody else is aboard. It stays for a named person to take on.", "less", "1440",
        ),
    },
    "Cold units": {
        "dew_margin_k": PlanItem(
            "Surface over the dew point, at least", "K", "3", PRACTICE, "Water condenses on cold fibre and boards.", "less", "50",
        ),
        "rest_in_carton_h": PlanItem("Rest in the carton, unmeasured", "h", "12", PRACTICE, "Until all of it is warm.", "less", "240"),
        "rest_in_bag_h": PlanItem("Rest in the bag alone, unmeasured", "h", "4", PRACTICE, "Without foam it warms sooner.", "less", "240"),
        "rest_from_deep_cold_h": PlanItem("Rest after less than −10 °C", "h", "24", PRACTICE, "Potting and coils warm last.", "less", "240"),
    },
    "Time that work takes, for planning": {
        "open_min": PlanItem("Open a housing", "min", "45", PRACTICE, "Make safe, vent, lift the lid.", most="10000"),
        "close_min": PlanItem("Close a housing", "min", "75", PRACTICE, "Seals, faces, desiccant, torque.", most="10000"),
        "leak_test_min": PlanItem("A leak test", "min", "60", PRACTICE, "Pump down, wait, hold.", most="10000"),
        "swap_min": PlanItem("Swap a pair, hull open", "min", "45", PRACTICE, "Go or no-go, out, in, cables latched.", most="10000"),
        "second_check_min": PlanItem("A second person’s check of a seated pair", "min", "10", PRACTICE, "Before the lid is on.", most="10000"),
        "load_min": PlanItem("Load settings and read them back", "min", "30", PRACTICE, "A load counts only since its install.", most="10000"),
        "firmware_min": PlanItem("Bring a half to permitted firmware", "min", "90", PRACTICE, "With the load that follows.", most="10000"),
        "axis_check_min": PlanItem("An axis and sign check", "min", "20", PRACTICE, "Settled, then three motions.", most="10000"),
        "carry_min": PlanItem("Carry an alignment over", "min", "15", PRACTICE, "Dowels and clean faces only.", most="10000"),
        "alignment_min": PlanItem("Measure an alignment", "min", "240", PRACTICE, "A run with turns, in the water.", most="10000"),
        "check_run_min": PlanItem("A check run, with its residual", "min", "90", PRACTICE, "It answers a carried alignment.", most="10000"),
        "heading_check_min": PlanItem("A heading check on a mark", "min", "120", PRACTICE, "Warm-up included.", most="10000"),
        "review_min": PlanItem("A second person’s review", "min", "20", PRACTICE, "Of a verification.", most="10000"),
        "look_min": PlanItem("Look over what is in an open hull", "min", "30", PRACTICE, "Connectors, caps, labels.", most="10000"),
        "carriage_min": PlanItem(
            "Carriage of a pair or a kit from another site", "min", None, "The site sets it", "Both sites say; unset at either, it is not counted on.", most="100000",
        ),
    },
    "Leak test by vacuum": {
        "leak_below_mbar": PlanItem(
            "Change corrected for temperature, at most", "mbar", "2", PRACTICE, "Finds pinched or dirty seals; does not prove depth.", "more", "50",
        ),
        "leak_hold_min": PlanItem("Held for at least", "min", "30", PRACTICE, "A slow leak shows late.", "less", "1440"),
        "leak_judged_to_k": PlanItem(
            "Judged up to a change of the inside of", "K", "2", PRACTICE, "Beyond it the gas law corrects more than a leak would show.", "more", "20",
        ),
    },
}  # fmt: skip
ITEMS: dict[str, PlanItem] = {name: item for group in GROUPS.values() for name, item in group.items()}


@dataclass(frozen=True, slots=True)
class PlanFigure:
    """A figure as a site, or every site, set it: from when on, why, and whose rule it is."""

    name: str
    value: str
    site_id: str | None
    since_at: str
    reason: str
    source: str
    seq: int


@dataclass(frozen=True, slots=True)
class Plan:
    """What holds at one site at one instant. What nobody set is at its default."""

    figures: dict[str, PlanFigure] = field(default_factory=dict)

    def value(self, name: str) -> str | None:
        """The figure in force as text; None where only a site can set it and none has."""
        own = self.figures.get(name)
        return own.value if own else ITEMS[name].default

    def number(self, name: str) -> Decimal:
        """A figure that is known to have a value."""
        value = self.value(name)
        assert value is not None
        return Decimal(value)

    def count(self, name: str) -> int:
        """Whole months or hours."""
        return int(self.number(name))

    def allows(self, name: str) -> bool:
        return self.value(name) == "yes"

    def source(self, name: str) -> str:
        """Whose figure it is, in words."""
        own = self.figures.get(name)
        if own is None:
            return ITEMS[name].source
        whose = "the site’s plan" if own.site_id else "the plan of all sites"
        return f"{own.source} ({whose} since {say_day(own.since_at[:10])})"

    def record(self, names: tuple[str, ...]) -> dict[str, dict[str, Any]]:
        """What an entry keeps of the plan: the figures it was judged by, each with its source."""
        return {name: {"value": self.value(name), "source": self.source(name)} for name in names}


@dataclass(frozen=True, slots=True)
class KeptPlan(Plan):
    """The plan as an entry kept it: judged again by it, whatever the plan says today."""

    kept: dict[str, dict[str, Any]] = field(default_factory=dict)

    def value(self, name: str) -> str | None:
        return self.kept[name]["value"]

    def source(self, name: str) -> str:
        return self.kept[name]["source"]


def in_order(figures: list[PlanFigure]) -> Plan:
    """The plan from what is set: a site's own figure goes before one for all sites."""
    own = sorted(figures, key=lambda one: (one.site_id is not None, one.since_at))
    return Plan({one.name: one for one in own})


def fault_of_value(name: str, value: str) -> str | None:
    """Why a text is no value of this figure, or None."""
    item = ITEMS[name]
    if item.yes_or_no:
        return None if value in ("yes", "no") else f"{item.label}: say yes or no."
    try:
        figure = Decimal(value)
    except InvalidOperation:
        return f"{value[:40]!r} is not a figure. Write digits with a point, like 7.2."
    if not figure.is_finite() or not 0 < figure <= Decimal(item.most) or len(value) > 20:
        return f"{item.label}: more than 0 and at most {item.most} {item.unit} make sense."
    if item.unit in ("months", "days", "h") and figure != int(figure):
        return f"{item.label}: whole {'hours' if item.unit == 'h' else item.unit} only."
    return None


def is_looser(name: str, value: str | None) -> bool:
    """Whether a value is less careful than the default: it may be set, and the plan says so beside it."""
    item = ITEMS[name]
    if value is None or item.default is None or not item.looser:
        return False
    if item.yes_or_no:
        return value == "yes" and item.default == "no"
    return Decimal(value) > Decimal(item.default) if item.looser == "more" else Decimal(value) < Decimal(item.default)


def say_value(name: str, value: str | None) -> str:
    """A value with its unit, as people read it."""
    item = ITEMS[name]
    if value is None:
        return "not set"
    return value if item.yes_or_no else f"{value} {item.unit}"
