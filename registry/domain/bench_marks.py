"""Bench marks: surveyed headings on a site, each with the north it was surveyed against and how sure it is."""

from decimal import Decimal

from registry.domain.norths import NORTHS
from registry.errors import Reason

#: How far any north lies off true at most, degrees: grids stay within 6, declination is larger only at the poles.
MOST_TO_TRUE_DEG = "90"


def true_heading(heading_deg: str, to_true_deg: str | None) -> str:
    """A heading made true, 0 up to 360, with the digits that were given. Grid and magnetic north lie `to_true_deg` east
    of true north."""
    turned = (Decimal(heading_deg) + Decimal(to_true_deg or "0")) % 360
    return format(turned + 360 if turned < 0 else turned, "f")  # what is left of a Decimal has the sign of the whole


def reasons_of_north(north: str, to_true_deg: str | None, source: str | None = "") -> list[Reason]:
    """Grid and magnetic north say how far they lie from true, and whence that is known; nothing is assumed."""
    if north == "true":
        if to_true_deg in (None, "0") or Decimal(to_true_deg) == 0:
            return []
        told = "True north is where it is: nothing is added to it."
        return [Reason("wrong_form", told, "to_true_deg", "Leave it empty, or declare grid or magnetic north.")]
    reasons = []
    if to_true_deg is None:
        told = f"How far {NORTHS[north]} lies from true is not said, and it is never guessed."
        do = "Enter convergence or declination at that place and day, + when that north lies east of true."
        reasons.append(Reason("missing_field", told, "to_true_deg", do))
    if source is None:
        told = f"Whence the angle of {NORTHS[north]} is known is not said."
        reasons.append(
            Reason("missing_field", told, "north_source", "Name the chart, the model with its year, or the grid.")
        )
    return reasons
