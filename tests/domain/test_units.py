"""A label that names another part is not this half's label; every quantity has its unit."""

import pytest

from registry.domain.units import QUANTITIES, UNITS, TypeParts, reasons_against_part

PARTS = TypeParts("Reed", "RS-100", "RE-200")


@pytest.mark.parametrize(("kind", "part", "field"), [
    ("sensor", "RS-100", None),
    ("electronics", "RE-200", None),
    ("sensor", "", None),
    ("sensor", "RE-200", "kind"),
    ("electronics", "RS-100", "kind"),
    ("sensor", "XX-1", "unit_type"),
])  # fmt: skip
def test_a_part_number_fits_or_is_refused_at_the_field_to_mend(kind: str, part: str, field: str | None):
    reasons = reasons_against_part(kind, part, PARTS, ("kind", "unit_type"))
    assert [reason.field for reason in reasons] == ([field] if field else [])


def test_every_quantity_has_its_unit():
    assert UNITS.keys() == QUANTITIES.keys()
