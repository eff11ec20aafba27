"""A small invented outfit for the tests: its people, places, types, halves and vehicle, and how they act.

Everybody here is made up. Instants are given as "day hour:minute" in May 2026, UTC, so that a test reads like a diary.
"""

import random
import uuid
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from registry.acts import door
from registry.acts.door import Answer, Done, Ready, Signer
from registry.acts.ids import new_id
from registry.acts.long_work import LongWork
from registry.acts.preparing import prepare, worked_out_here
from registry.domain.times import UTC
from registry.errors import Refused
from registry.files import Files
from registry.models.database import Database
from tests.samples import SHARED

NOW = datetime(2026, 5, 20, 12, 0, tzinfo=UTC)
ROLES = {
    "maren": ("keeper",),
    "oda": ("workshop_lead",),
    "ida": ("technician",),
    "yusuf": ("technician",),
    "piet": ("fleet_manager",),
    "rosa": ("release_authority",),
    "anselm": ("auditor",),
    "vera": ("verifier",),
}


def at(text: str) -> str:
    """`"14 09:30"` is 14 May 2026, 09:30 UTC; a full RFC 3339 instant stays as it is."""
    if "T" in text:
        return text
    day, _, clock = text.partition(" ")
    return f"2026-05-{int(day):02d}T{clock or '12:00'}:00Z"


#: The meters at the shed, in date to 1 September 2026, and what each reads.
METERS = {"BT-04": "strap", "RM-1": "resistance", "FM-2": "field"}


_WORKED_OUT: dict[str, dict[str, Any]] = {}


@dataclass
class World:
    """One registry, and a hand to act in it. `ids` remembers everything by the short name tests use."""

    database: Database
    now: datetime = NOW
    ids: dict[str, str] = field(default_factory=dict)
    dice: random.Random = field(default_factory=lambda: random.Random(7))
    files: Files = SHARED

    def new_id(self) -> str:
        return new_id(self.now, self.dice.getrandbits)

    def sent(self, act: str, when: str = "10 12:00", **fields: Any) -> dict[str, Any]:
        """The fields of an act as any adapter would send them; names of known things become their ids."""
        known = {name: self._known(value) for name, value in fields.items()}
        return {"act": act, "version": 1, "id": self.new_id(), "happened_at": at(when), **known}

    def _known(self, value: Any) -> Any:
        if isinstance(value, list):
            return [self._known(one) for one in value]
        return self.ids.get(value, value) if isinstance(value, str) else value

    def ready(self, sent: dict[str, Any], by: str, second: str | None = None) -> Ready:
        signer = Signer(self.ids[by], "test", self.ids[second] if second else None)
        return prepare(sent, signer, self.files, self._work_out, now=self.now)

    def _work_out(self, work: LongWork) -> dict[str, Any]:
        """Each piece of long work once a run: files lie under their hashes."""
        if work.key not in _WORKED_OUT:
            _WORKED_OUT[work.key] = worked_out_here(work, self.files.path)
        return _WORKED_OUT[work.key]

    def send(self, sent: dict[str, Any], by: str = "ida", second: str | None = None) -> Done:
        ready = self.ready(sent, by, second)
        with self.database.writing() as db:
            return door.perform(db, ready, now=self.now, randbelow=self.dice.randrange)

    def do(
        self,
        act: str,
        when: str = "10 12:00",
        *,
        by: str = "ida",
        name: str | None = None,
        second: str | None = None,
        **fields: Any,
    ) -> Done:
        """Act, and remember the act's id under `name`."""
        done = self.send(self.sent(act, when, **fields), by, second)
        if name:
            self.ids[name] = done.entry.id
        return done

    def check(
        self, act: str, when: str = "10 12:00", *, by: str = "ida", second: str | None = None, **fields: Any
    ) -> Answer:
        ready = self.ready(self.sent(act, when, **fields), by, second)
        with self.database.reading() as db:
            return door.check(db, ready, now=self.now, randbelow=self.dice.randrange)

    def refused(
        self, act: str, when: str = "10 12:00", *, by: str = "ida", second: str | None = None, **fields: Any
    ) -> dict[str, str]:
        """The reasons an act is refused for: code -> sentence. Fails when it is taken."""
        try:
            done = self.do(act, when, by=by, second=second, **fields)
        except Refused as refused:
            return {reason.code: reason.message for reason in refused.reasons}
        raise AssertionError(f"{act} was taken as entry {done.entry.seq}")

    # what a test needs before it begins

    def found(self) -> None:
        """The outfit and its people, each with one role, all trained in ESD handling."""
        first = self.sent(
            "found_outfit",
            "2025-01-02T08:00:00Z",
            outfit="Test Shed",
            origin="K",
            invented=True,
            private={"name": "Maren"},
        )
        self.ids["maren"] = str(uuid.uuid5(uuid.UUID(first["id"]), "person"))
        self.send(first, by="maren")
        for who, roles in ROLES.items():
            if who == "maren":
                continue
            self.do(
                "add_person",
                "2025-01-02T09:00:00Z",
                by="maren",
                name=who,
                role=roles[0],
                private={"name": who.capitalize()},
            )
        for who in ROLES:
            self.do(
                "record_training",
                "2025-01-03T09:00:00Z",
                by="maren",
                person=who,
                subject="esd",
                trained_on="2025-06-01",
            )

    def equip(self) -> None:
        """A shore site and a vessel, a bench and a kit, two types, and the vehicle Teasel with bays A and B."""
        early = "2025-01-04T09:00:00Z"
        self.do("add_site", early, by="maren", name="shed", site="North shed", kind="shore")
        self.do("add_site", early, by="maren", name="vessel", site="Halcyon Tern", kind="vessel")
        self.do("add_station", early, by="oda", name="bench", site="shed", station="Bench 2", kind="protected_area")
        self.do("add_station", early, by="oda", name="kit", site="vessel", station="Kit 1", kind="field_kit")
        for name, reads in METERS.items():
            self.do("add_meter", early, by="oda", name=name, site="shed", meter=name, reads=reads)
            told = {"calibrated_on": "2025-09-01", "as_found": "within", "certificate": f"C-{name}"}
            self.do("record_meter_calibration", "2025-09-02T09:00:00Z", by="oda", meter=name, **told)
        self.check_kit("1 09:00")
        for name, type_name in (("reed", "Reed"), ("sedge", "Sedge")):
            parts = {"sensor_part": f"{type_name[0]}S-100", "electronics_part": f"{type_name[0]}E-200"}
            self.do(
                "add_unit_type",
                early,
                by="oda",
                name=name,
                maker="Ardlune",
                type_name=type_name,
                accepts=["calibration_sheet"],
                **parts,
            )
        for vehicle in ("teasel", "burdock"):
            self.add_vehicle(vehicle)

    def check_kit(self, when: str) -> Done:
        """The periodic check of the field kit, good for a month."""
        read = {"surface_mohm": "60", "field_kv_m": "0.6", "bond_mohm": "9", "looks_sound": True}
        return self.do("check_station", when, by="oda", name="kit check", station="kit", meters=[*METERS], **read)

    def add_vehicle(self, name: str, letters: str = "AB") -> None:
        early = "2025-01-05T09:00:00Z"
        self.do(
            "add_vehicle",
            early,
            by="piet",
            name=name,
            vehicle=name.capitalize(),
            hull_number=f"HN-{name}",
            hull="torpedo",
            length_m="5.2",
            site="shed",
        )
        self.do(
            "add_housing",
            early,
            by="piet",
            name=f"{name} forward",
            vehicle=name,
            housing="forward",
            closing_method="vacuum",
        )
        for place, letter in enumerate(letters):
            housing = self.ids[f"{name} forward"]
            self.do(
                "add_bay",
                early,
                by="piet",
                name=f"{name} {letter}",
                housing=housing,
                letter=letter,
                from_bow_m=str(1 + place),
                accepts=["reed"],
            )

    def take_in(self) -> None:
        """A delivery of five cartons: of p6 one sealed and one open, `lone e` in an open bag, `odd e` inspected; the last
        is not entered."""
        self.add_pair("p6")
        bench = {"site": "shed", "station": "Bench 3", "kind": "protected_area"}
        self.do("add_station", "7 09:00", by="oda", name="bench 3", **bench)
        lines = [{"item": "power lead", "quantity": 1}, {"item": "handbook", "quantity": 1}]
        self.do("set_scope", "7 10:00", by="oda", unit_type="reed", lines=lines)
        told = {"sender": "Ardlune", "reference": "DN-7", "site": "shed", "cartons": 5}
        self.do("record_delivery", "8 07:00", name="delivery", **told)
        seen = {"condition": "sound", "shock": "clear", "tilt": "clear", "seal": "whole"}
        came = {"sealed carton": "p6 s", "open carton": "p6 e", "bag carton": "lone e", "done carton": "odd e"}
        for number, (name, half) in enumerate(came.items(), 1):
            told = {"delivery": "delivery", "number": number, "half": half, **seen}
            told |= {"shock": "tripped"} if name == "bag carton" else {}
            self.do("record_carton", "8 07:10", name=name, **told)
        for carton, hour in (("done carton", 8), ("bag carton", 9)):
            alone = {"station": "bench", "alone": "back from repair"}
            self.do("open_carton", f"9 {hour:02}:10", carton=carton, **alone)
            self.do("open_bag", f"9 {hour:02}:20", carton=carton)
            if carton == "done carton":
                found = {"bag": "closed", "outcome": "accept_noted", "words": "a scratch on the plate"}
                line = {"item": "handbook", "quantity": 1, "state": "missing", "words": "to follow"}
                self.do("inspect_half", "9 08:40", carton=carton, label="odd e", lines=[line], **found)
        self.do("open_carton", "9 09:30", carton="open carton", station="bench 3")
        read = {"off_load_v": "24.1", "on_load_v": "23.9", "current_a": "0.8", "fault_mohm": "40"}
        self.do("record_power_up", "9 10:00", name="power-up", pair="p2", **read)

    def add_pair(self, name: str, unit_type: str = "reed", since: str = "2025-02-01") -> None:
        """Both halves and their statement; `name s` and `name e` are the halves."""
        letter = unit_type[0].upper()
        for kind, part in (("sensor", f"{letter}S-100"), ("electronics", f"{letter}E-200")):
            label = {"maker": "Ardlune", "part": part, "serial": f"{part[1]}-{name}"}
            self.do(
                "receive_half",
                "2025-02-03T09:00:00Z",
                by="oda",
                name=f"{name} {kind[0]}",
                kind=kind,
                unit_type=unit_type,
                site="shed",
                spot="shelf 2",
                **label,
            )
        self.do(
            "record_pairing",
            "2025-02-03T10:00:00Z",
            by="oda",
            name=name,
            pair=name,
            sensor=f"{name} s",
            electronics=f"{name} e",
            grade="calibration_sheet",
            statement=f"ST-{name}",
            stated_on=since,
        )

    def sign(self, who: str = "ida", when: str = "10 08:00", station: str = "bench", **readings: Any) -> Done:
        """A passing sign-off, unless the readings say otherwise."""
        good: dict[str, Any] = {"strap_mohm": "7.2", "meters": [*METERS]}
        good |= (
            {"surface_mohm": "40", "field_kv_m": "0.4"}
            if station == "bench"
            else {"bond_mohm": "12", "insulators_cleared": True, "gloves_on": True}
        )
        return self.do("sign_esd", when, by=who, station=station, **(good | readings))

    def install(self, pair: str, bay: str = "teasel A", when: str = "10 09:00", by: str = "ida", **more: Any) -> Done:
        """Signed by a second person who was there, unless `second=None` says that there was none."""
        halves = {"sensor": f"{pair} s", "electronics": f"{pair} e"}
        return self._seat("install_pair", when, by, more, bay=bay, **halves)

    def remove(self, pair: str, bay: str = "teasel A", when: str = "10 15:00", by: str = "ida", **more: Any) -> Done:
        more = {"reason": "planned", **more}
        return self.do("remove_pair", when, by=by, bay=bay, sensor_out=f"{pair} s", electronics_out=f"{pair} e", **more)

    def swap(
        self, out: str, into: str, bay: str = "teasel A", when: str = "10 11:00", by: str = "ida", **more: Any
    ) -> Done:
        """Signed by a second person, as an install is."""
        left = {"sensor_out": f"{out} s", "electronics_out": f"{out} e"}
        return self._seat(
            "swap_pairs", when, by, more, bay=bay, **left, sensor_in=f"{into} s", electronics_in=f"{into} e"
        )

    def _seat(self, act: str, when: str, by: str, more: dict[str, Any], **fields: Any) -> Done:
        """The second person signs with a PIN of their own: it is a technician who had no part in it."""
        name, hands = more.pop("name", None), {by, more.get("done_by")}
        second = more.pop("second", next(who for who in ("yusuf", "ida", "vera") if who not in hands))
        signed = {"second": second} if second else {}
        done = self.send(self.sent(act, when, **fields, **signed, **more), by, second)
        if name:
            self.ids[name] = done.entry.id
        return done

    def mark(self, heading_deg: str = "120.00", when: str = "2025-03-01T09:00:00Z", **more: Any) -> Done:
        """A surveyed mark at the shed, called `mark`."""
        told = {"north": "true", "sigma_deg": "0.02", "how": "sun shots", "surveyed_on": "2025-02-20", **more}
        return self.do(
            "survey_mark", when, by="vera", name="mark", site="shed", mark="East wall", heading_deg=heading_deg, **told
        )

    def verify(
        self, pair: str, when: str = "10 08:00", found_deg: str = "120.03", review: bool = True, **more: Any
    ) -> Done:
        """A heading check on the mark, by vera, and oda's review of it. Remembered as `check <pair>`."""
        told = {
            "procedure": "WP-12",
            "issue": "3",
            "tolerance_deg": "0.2",
            "u_deg": "0.02",
            "found_deg": found_deg,
            **more,
        }
        done = self.do("record_heading_check", when, by="vera", name=f"check {pair}", pair=pair, mark="mark", **told)
        if review:
            self.do("review_verification", "20 11:00", by="oda", verification=done.entry.id, outcome="agreed")
        return done

    def later(self, **delta: float) -> None:
        self.now += timedelta(**delta)


def furnished(database: Database) -> World:
    """Founded, equipped, with the pairs p1 to p4 on a shelf, and a sign-off of ida and yusuf on the 10th at 8."""
    return furnish(World(database))


def furnish(world: World) -> World:
    world.found()
    world.equip()
    for name in ("p1", "p2", "p3"):
        world.add_pair(name)
    world.add_pair("p4", "sedge")
    for who in ("ida", "yusuf"):
        world.sign(who)
    return world
