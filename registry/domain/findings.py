"""One finding against a vehicle: what every feature that has something to say about deploying says it with."""

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
