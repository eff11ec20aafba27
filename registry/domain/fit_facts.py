"""The facts of one vehicle at an instant that its findings are worked out from; `domain/fit.py` says how."""

from dataclasses import dataclass

from registry.domain.acceptances import Acceptance
from registry.domain.alignments import Alignment, LeftAngle
from registry.domain.axis_checks import AxisCheck
from registry.domain.closing_sheets import ClosingStanding
from registry.domain.findings import Finding
from registry.domain.freshness import Doubt
from registry.domain.mounting_checks import MountingCheck
from registry.domain.second_checks import SeatChecked
from registry.domain.settings_fit import SettingsStanding
from registry.domain.sheet_values import SheetValues
from registry.domain.verifications import Due
from registry.domain.voyages import Voyage
from registry.errors import Offer


@dataclass(frozen=True, slots=True)
class HeldThing:
    """An open hold as it concerns a vehicle: on the vehicle, one of its bays, a pair or a half in it."""

    hold_id: str
    on: str
    cause: str
    reason: str
    placed_at: str
    seq: int
    bay: str | None = None


@dataclass(frozen=True, slots=True)
class OpenEnd:
    """An open discrepancy or recheck: its id, what it says, since when; `half` says that it is about one half."""

    id: str
    words: str
    since: str
    seq: int
    bay: str | None = None
    half: bool = False


@dataclass(frozen=True, slots=True)
class BayFacts:
    """What a bay held at the instant. `pair` is None when it was empty.

    `seq` is the entry that put in what is in, or took out what was; `entered_seq` the one that entered the bay. `left`
    is what its alignment left of each angle; `tolerance_deg` the heading tolerance of its own use.
    """

    bay_id: str
    letter: str
    pair: str | None
    installed_at: str | None = None
    lifted_at: str | None = None
    seat_follows: bool = False
    type_accepted: bool = True
    type_name: str = ""
    seq: int | None = None
    due: Due | None = None
    overdue_stops: bool = False
    axis_check: AxisCheck | None = None
    mounting_check: MountingCheck | None = None
    alignment: Alignment | None = None
    dowels: bool = False
    use: str = "other"
    tolerance_deg: str | None = None
    left: tuple[LeftAngle, ...] = ()
    entered_seq: int | None = None
    proved_at: str | None = None
    doubts: tuple[Doubt, ...] = ()
    settings: SettingsStanding | None = None
    checked: SeatChecked | None = None
    values: SheetValues | None = None


@dataclass(frozen=True, slots=True)
class HousingFacts:
    """What a housing was at the instant: its last opening (by whatever act), closing and leak test, each with its entry:
    of two in one minute the later entry came later."""

    housing_id: str
    name: str
    closing_method: str
    opened_at: str | None = None
    closed_at: str | None = None
    tested_at: str | None = None
    opened_seq: int = 0
    closed_seq: int = 0
    tested_seq: int = 0
    test_verdict: str | None = None
    test_told: str = ""
    closing: ClosingStanding | None = None

    @property
    def is_open(self) -> bool:
        return self.opened_at is not None and (self.opened_at, self.opened_seq) > (
            self.closed_at or "",
            self.closed_seq,
        )

    @property
    def is_tested(self) -> bool:
        """Whether the last leak test came after the last closing."""
        return self.tested_at is not None and (self.tested_at, self.tested_seq) > (
            self.closed_at or "",
            self.closed_seq,
        )


@dataclass(frozen=True, slots=True)
class Ending:
    """Something agreed that ends with the day `on`: what it is, how it ends in words, and what follows from it."""

    code: str
    what: str
    ends: str
    on: str
    told: str
    seq: int
    offer: Offer
    bay: str | None = None


@dataclass(frozen=True, slots=True)
class VehicleFacts:
    """Everything the findings of one vehicle are worked out from: what held at `at`, and what is asked of it, a planned
    voyage and a use. Without a use each bay is judged by its own."""

    vehicle_id: str
    name: str
    bays: tuple[BayFacts, ...] = ()
    housings: tuple[HousingFacts, ...] = ()
    holds: tuple[HeldThing, ...] = ()
    discrepancies: tuple[OpenEnd, ...] = ()
    rechecks: tuple[OpenEnd, ...] = ()
    retired_at: str | None = None
    site: str | None = None
    at: str = ""
    voyage: Voyage | None = None
    use: str | None = None
    acceptances: tuple[Acceptance, ...] = ()
    seq: int | None = None
    retired_seq: int | None = None
    loans: tuple[Finding, ...] = ()
    endings: tuple[Ending, ...] = ()
