"""Every address there is, with something that is there: made from the routes themselves.

A route with parts that this table does not know fails the tests that walk them all.
"""

from typing import NamedTuple

from werkzeug.routing import Rule

from tests.samples import CARRIED_GIVEN, NOTE_GIVEN
from tests.web.doors import Doors


class Address(NamedTuple):
    """One way to call one route."""

    endpoint: str
    method: str
    path: str

    @property
    def is_api(self) -> bool:
        return self.path.startswith("/api/")


def parts(doors: Doors) -> dict[str, dict[str, str]]:
    """Endpoint -> what stands for the variable parts of its address, in the registry that has been lived in."""
    ids, bay, half = doors.world.ids, doors.code("teasel A"), doors.code("p1 s")
    vehicle, station = doors.code("teasel"), doors.code("kit")
    return {
        "static": {"filename": "look.css"},
        "acts.do": {"name": "place_hold"},
        "acts.done": {"name": "place_hold"},
        "acts.under_way": {"name": "record_static_test", "act_id": ids["static test"]},
        "mounting_checks.one": {"check_id": ids["mounting check"]},
        "api.mounting_check": {"check_id": ids["mounting check"]},
        "alignments.one": {"alignment_id": ids["alignment"]},
        "attachments.original": {"file_id": ids["file"]},
        "imports.spreadsheet": {"sha256": CARRIED_GIVEN["sha256"]},
        "attachments.small": {"file_id": ids["photo"]},
        "account.end_token": {"token_id": "0"},
        "api.alignment": {"alignment_id": ids["alignment"]},
        "api.bay": {"ref": bay},
        "api.calibration": {"calibration_id": ids["calibration"]},
        "api.verification": {"verification_id": ids["static test"]},
        "calendars.feed": {"key": "nobodys"},
        "calibrations.one": {"calibration_id": ids["calibration"]},
        "verifications.one": {"verification_id": ids["static test"]},
        "api.bay_alignments": {"ref": bay},
        "api.bay_settings": {"ref": bay},
        "api.settings_sheet": {"sheet_id": ids["sheet 2"]},
        "settings.one": {"sheet_id": ids["sheet 2"]},
        "settings.as_sent": {"sheet_id": ids["sheet 2"]},
        "settings.sheet": {"sheet_id": ids["sheet 2"]},
        "settings.readback": {"bay": bay},
        "api.bay_spares": {"ref": bay},
        "api.entry": {"seq": "3"},
        "api.file": {"sha256": NOTE_GIVEN["sha256"]},
        "api.half": {"ref": half},
        "api.pair": {"ref": "p1"},
        "api.pair_history": {"ref": "p1"},
        "api.fit": {"ref": vehicle},
        "api.vehicle": {"ref": vehicle},
        "api.delivery": {"ref": "DN-7"},
        "api.meter": {"ref": "RM-1"},
        "api.station": {"ref": station},
        "api.audit": {"ref": "A-1"},
        "api.audit_certificate": {"ref": "A-4"},
        "audits.one": {"ref": "A-1"},
        "audits.closed": {"ref": "A-4"},
        "audits.sheet": {"ref": "A-4"},
        "audits.sight": {"ref": "A-1"},
        "deliveries.carton": {"carton_id": ids["sealed carton"]},
        "deliveries.one": {"ref": "DN-7"},
        "fleet.bay": {"ref": bay},
        "fleet.closing": {"ref": ids["spare forward"]},
        "fleet.sheet": {"ref": vehicle},
        "fleet.vehicle": {"ref": vehicle},
        "handling.one": {"signoff_id": ids["sign-off"]},
        "handling.station": {"ref": station},
        "holds.one": {"hold_id": ids["hold"]},
        "imports.one": {"import_id": "nothing"},
        "imports.try_it": {"import_id": "nothing"},
        "imports.enter": {"import_id": "nothing"},
        "imports.report": {"import_id": "nothing"},
        "api.an_import": {"import_id": "nothing"},
        "api.import_step": {"import_id": "nothing", "step": "try"},
        "impacts.one": {"impact": ids["impact"]},
        "impacts.batch": {"impact": ids["impact"]},
        "impacts.batch_of_hold": {"hold_id": ids["hold"]},
        "missions.one": {"ref": "M-1"},
        "missions.pack": {"ref": "M-1"},
        "api.impact": {"ref": ids["impact"]},
        "api.mission": {"ref": "M-1"},
        "labels.svg": {"code": half},
        "labels.png": {"code": half},
        "log.one": {"seq": "3"},
        "meters.one": {"ref": "RM-1"},
        "scan.labelled": {"code": half, "copy": "2"},
        "spares.of_bay": {"ref": bay},
        "swap.start": {"bay": bay},
        "swap.lift": {"bay": bay},
        "swap.seat": {"bay": bay},
        "swap.sign": {"bay": bay},
        "swap.signed": {"bay": bay},
        "units.half": {"ref": half},
        "units.pair": {"ref": "p1"},
        "units.sheet": {"ref": "p1"},
    }


#: Questions that an address must bring along to be answered at all.
QUERIES = {
    "api.resolved": "?text=p1",
    "api.where": "?thing=p1",
    "api.proof": "?seq=3",
    "api.voyage_spares": "?sailing=Teasel%202026-06-01T06:00:00Z/2026-06-08T18:00:00Z",
}


def addresses(doors: Doors, *methods: str) -> list[Address]:
    """Every route by each of these methods it takes."""
    told = parts(doors)
    found = []
    for rule in doors.app.url_map.iter_rules():
        path = filled(rule, told.get(rule.endpoint, {})) + QUERIES.get(rule.endpoint, "")
        found += [Address(rule.endpoint, method, path) for method in sorted((rule.methods or set()) & set(methods))]
    return sorted(found)


def filled(rule: Rule, told: dict[str, str]) -> str:
    path = rule.rule
    for name in rule.arguments - set(rule.defaults or ()):
        assert name in told, f"{rule.endpoint} is new here: say in tests/web/addresses.py what its {name} may be"
        for form in (f"<{name}>", f"<int:{name}>", f"<path:{name}>"):
            path = path.replace(form, told[name])
    return path
