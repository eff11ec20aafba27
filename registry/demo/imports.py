"""What the invented outfit kept in a spreadsheet before it had a registry: certificates of the year before, carried over as
a whole by its keeper, row by row through the door; and the calendar that its keeper reads them in."""

import csv
import io

from registry import calendar_keys
from registry.demo.hand import Hand
from registry.demo.outfit import KEEPER, START
from registry.import_steps import run
from registry.importing import Imports
from registry.instance import Instance
from registry.models.carried_files import carried

NAME = "certificates before the registry.csv"
#: Acts that its rows stand for: two lines of one certificate are one calibration.
CARRIED = 3
_HEADERS = ("Pair", "Certificate no", "Cal date", "Laboratory", "Parameter", "Units", "Before", "After", "Adjusted", "U95", "Coverage factor")  # fmt: skip
#: Pair, certificate, days before the registry began, and what was found and left of a gyro: quantity, before, after.
_LINES = [
    ("QH-0363", "AC-6102", 340, "gyro bias x", "0.042", "0.006"),
    ("QH-0363", "AC-6102", 340, "gyro bias y", "0.038", "0.005"),
    ("QH-0402", "AC-6118", 322, "gyro bias x", "0.051", "0.007"),
    ("QH-0376", "AC-6121", 301, "gyro bias x", "0.029", "0.004"),
]


def carry_over(instance: Instance, hand: Hand) -> int:
    """The spreadsheet tried and entered as a person would; gives the number of acts that were not there yet."""
    raw, now, keeper = _sheet(hand), hand.at(-1, "16:40"), hand.ids[KEEPER]
    imports = Imports(instance)
    one = imports.take(io.BytesIO(raw), NAME, "calibrations", keeper, now)
    with instance.database.reading() as db:
        known = carried(db, one.sha256) is not None
    if known:
        imports.drop(one)
        return 0
    for step in ("look", "try", "enter"):
        run(imports, one.id, step, now)
    calendar_keys.make_key(instance.database, keeper, now)
    return CARRIED


def _sheet(hand: Hand) -> bytes:
    out = io.StringIO()
    sheet = csv.writer(out)
    sheet.writerow(_HEADERS)
    for pair, certificate, days, quantity, before, after in _LINES:
        on = hand.at(START - days).date().isoformat()
        sheet.writerow(
            (pair, certificate, on, "Ardlune works, hall 2", quantity, "deg/h", before, after, "yes", "0.006", "2")
        )
    return out.getvalue().encode()
