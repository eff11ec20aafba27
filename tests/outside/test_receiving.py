"""Receiving against published figures.

Dew points: WMO-No. 8 (2018), annex 4.B gives the formula and its coefficients; the values below are those of the usual
tables of dew point by temperature and relative humidity, to half a kelvin (from memory, as printed in many handbooks of
coating inspection after ISO 8502-4, table of dew points).
"""

import pytest

from registry.domain.deliveries import dew_point_c

TABLE = [
    (20, 50, 9.3),
    (25, 80, 21.3),
    (30, 80, 26.2),
    (10, 50, 0.1),
    (20, 80, 16.4),
    (30, 50, 18.4),
    (15, 60, 7.3),
    (20, 100, 20.0),
]


@pytest.mark.parametrize(("air", "humidity", "dew"), TABLE)
def test_the_dew_point_is_that_of_the_table(air: float, humidity: float, dew: float):
    assert dew_point_c(air, humidity) == pytest.approx(dew, abs=0.25)
