"""Read-backs: what a unit itself says of its settings, compared with every sheet there is."""

from dataclasses import asdict
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, model_validator
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Effect, Entry
from registry.acts.settings_facts import sheet_in_force
from registry.acts.shapes import BayRef, BlankRows, FigureText, Line, Words, within, wrong
from registry.acts.stays import sitting
from registry.domain.people import May
from registry.domain.readbacks import LEAST_VALUES, KnownSheet, agree, compare, deciding, serials_unlike
from registry.domain.settings import plain
from registry.errors import Reason
from registry.models.columns import Id
from registry.models.known_sheets import known_sheets
from registry.models.seeks import EVER, newest
from registry.models.settings import settings_load
from registry.models.units import firmware, half, identity

_loads, _firmwares = settings_load.alias("loads"), firmware.alias("firmwares")
_load = select(settings_load.c.settings_sheet_id, settings_load.c.seq).where(
    settings_load.c.id == newest(_loads, "loaded_at", _loads.c.installation_id == bindparam("installation", type_=Id))
)
_serials = (
    select(half.c.kind, identity.c.printed_serial)
    .join(identity, identity.c.half_id == half.c.id)
    .where(half.c.id.in_(bindparam("halves", expanding=True)))
    .order_by(identity.c.seq, identity.c.id)
)
_runs = select(firmware.c.version).where(
    firmware.c.id == newest(_firmwares, "since_at", _firmwares.c.half_id == bindparam("half", type_=Id))
)
READ = May.INSTALL | frozenset({"verifier"})


class ValueRead(BaseModel):
    """One value as the unit shows it."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    setting: Line = Field(title="Setting", description="As the sheet calls it.")
    value: Line = Field(title="Read", description="As the unit shows it.")


class RecordReadback(Act, name="record_readback", may=READ, happened=True, says="Enter a read-back"):
    """Three or more values read off the unit itself, and what it says of itself. They are compared with every sheet of every vehicle."""

    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    values: Annotated[list[ValueRead], Field(min_length=LEAST_VALUES, max_length=60), BlankRows(4)] = Field(
        title="Values read"
    )
    sensor_serial: Line | None = Field(None, title="Serial of the sensor half, as the unit reports it")
    electronics_serial: Line | None = Field(None, title="Serial of the electronics half, as the unit reports it")
    firmware: Line | None = Field(None, title="Firmware, as the unit reports it")
    calibration: Line | None = Field(
        None, title="Calibration, as the unit reports it", description="Its number or day."
    )
    start_lat_deg: Annotated[FigureText, within("-90", "90")] | None = Field(
        None, title="Start position, latitude", description="deg, south is negative"
    )
    start_lon_deg: Annotated[FigureText, within("-180", "180")] | None = Field(
        None, title="Start position, longitude", description="deg, west is negative"
    )
    words: Words | None = Field(None, title="In your words")

    @model_validator(mode="after")
    def _each_once(self) -> "RecordReadback":
        if len({plain(one.setting) for one in self.values}) < len(self.values):
            raise wrong("A setting stands here twice. Read each one once.")
        if (self.start_lat_deg is None) != (self.start_lon_deg is None):
            raise wrong("A start position has latitude and longitude: give both or none.")
        return self

    def decide(self, case: Case) -> Decision:
        stay, installation, reasons = sitting(case, case.ids["bay"])
        if stay is None or installation is None:
            return Decision(reasons)
        load = case.db.execute(_load, {"installation": installation, "at": case.at, "known": EVER}).first()
        in_force = sheet_in_force(case, case.ids["bay"])
        wanted = load.settings_sheet_id if load else in_force["id"] if in_force else None
        sheets = known_sheets(case.db, case.at)
        given = {"bay": case.ids["bay"], "wanted": wanted}
        read = {one.setting: one.value for one in self.values}
        hung_on, names = deciding(read, sheets, wanted)
        found = _found(read, given, hung_on, names)
        if found is None:
            reasons = [*reasons, self._too_few(sheets)]
        kept = case.db.execute(_serials, {"halves": [stay.sensor_id, stay.electronics_id]}).all()
        serials = {kind: [row.printed_serial for row in kept if row.kind == kind] for kind in ("sensor", "electronics")}
        reported = {"sensor": self.sensor_serial, "electronics": self.electronics_serial}
        unlike = serials_unlike(reported, serials)
        decided = {
            "installation": installation, **(found or {}), "serials": " ".join(unlike), "half": stay.electronics_id,
            "firmware": self._other_firmware(case, stay.electronics_id), "compared": {**given, "sheets": [_kept(one) for one in hung_on], "names": names, "serials": serials},
        }  # fmt: skip
        remarks = [found["told"], found["next"], *unlike] if found else []
        if self.start_lat_deg is not None and not float(self.start_lat_deg) and not float(self.start_lon_deg or "0"):
            remarks.append("The start position is 0° N 0° E: nobody has entered one.")
        return Decision(reasons, decided, max(stay.seq, load.seq if load else 0), remarks)

    def _too_few(self, sheets: list[KnownSheet]) -> Reason:
        told = f"Fewer than {LEAST_VALUES} of these settings stand on any sheet: nothing can be said from them."
        do = "Call them as the sheet does." if sheets else "Write the settings sheet of the bay first."
        return Reason("wrong_form", told, "values", do)

    def _other_firmware(self, case: Case, half_id: str) -> str | None:
        """What the unit reports, when the record has something else for its electronics half."""
        runs = case.db.execute(_runs, {"half": half_id, "at": case.at, "known": EVER}).scalar()
        return self.firmware if self.firmware and self.firmware != runs else None

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, decided = entry.body, entry.decided
        told = {name: body[name] for name in _SAID} | {
            name: decided[name] for name in ("verdict", "told", "next", "serials")
        }
        on = {"installation_id": decided["installation"], "settings_sheet_id": decided["sheet"]}
        row = {"id": entry.id, **on, **told, "words": body["words"] or "", **entry.moment("read")}
        made: list[Effect] = [Add("settings_readback", row)]
        for number, one in enumerate(decided["values"], 1):
            value = {"id": entry.derived(f"value:{number}"), "settings_readback_id": entry.id, "number": number, **one}
            made.append(Add("readback_value", value))
        if decided["firmware"]:
            runs = {"half_id": decided["half"], "version": decided["firmware"], **entry.moment("since")}
            made.append(Add("firmware", {"id": entry.derived("firmware"), **runs}))
        return made

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        body, compared = entry.body, entry.decided.get("compared")
        if compared is None:  # entered before the sheets that decide were kept
            return {}
        sheets = [KnownSheet(**sheet) for sheet in compared["sheets"]]
        read = {one["setting"]: one["value"] for one in body["values"]}
        reported = {kind: body[f"{kind}_serial"] for kind in ("sensor", "electronics")}
        unlike = " ".join(serials_unlike(reported, compared["serials"]))
        found = _found(read, compared, sheets, compared["names"]) or {}
        # The same verdict, entered while this sentence was worded otherwise.
        if found and found["told"].replace(" These values fit ", " They fit ") == entry.decided["told"]:
            found = {**found, "told": entry.decided["told"]}
        return {**found, "serials": unlike}


def _kept(one: KnownSheet) -> dict[str, Any]:
    """A sheet as the entry keeps it."""
    return {**asdict(one), "values": {name: list(told) for name, told in one.values.items()}}


_SAID = ("sensor_serial", "electronics_serial", "calibration", "firmware", "start_lat_deg", "start_lon_deg")


def _found(
    read: dict[str, str], given: dict[str, Any], sheets: list[KnownSheet], names: list[str]
) -> dict[str, Any] | None:
    """The verdict as the entry keeps it, each value with what was wanted; None when too few of them say anything."""
    one = compare(read, sheets, given["bay"], given["wanted"], names)
    if one is None:
        return None
    wanted = next((sheet for sheet in sheets if sheet.id == given["wanted"]), None)
    mine = wanted.plain() if wanted else {}
    values = []
    for name, text in read.items():
        _name, value, unit = mine.get(plain(name), (name, None, ""))
        same = value is not None and agree(text, value, unit)
        said = None if value is None else f"{value} {unit}".strip()
        values.append({"name": name, "value": text, "wanted": said, "agrees": same})
    told = {"verdict": one.verdict, "told": one.told, "next": one.next}
    return {**told, "sheet": one.sheet.id if one.sheet else None, "values": values}
