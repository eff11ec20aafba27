"""One finding of a vehicle: how grave, what is so, why, and the act that clears it."""

from dataclasses import dataclass

from registry.errors import Offer


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding. `bay` is the letter it is about, if any; `seq` the entry that is its evidence."""

    severity: str
    code: str
    fact: str
    told: str
    seq: int | None = None
    bay: str | None = None
    offer: Offer | None = None
