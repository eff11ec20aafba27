"""Settings sheets of bays, written version by version; their loads; and the file of a unit that is to be pulled."""

import re
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.attachments import file_rows, reasons_of_files
from registry.acts.entry import Add, Effect, Entry
from registry.acts.mountings import Metres
from registry.acts.settings_facts import bay_gives, last_version, ports_of, sheet_in_force, type_for
from registry.acts.shapes import (
    BayRef,
    BlankRows,
    FileList,
    Line,
    SeatedHalfRef,
    TypeRef,
    Words,
    one_from,
    wrong,
)
from registry.acts.sheet_lines import given_lines, plan_of, reasons_of_sheet, scales_of
from registry.acts.stays import sitting
from registry.domain import settings as rules
from registry.domain.people import May
from registry.domain.times import say
from registry.errors import Offer, Reason
from registry.models.columns import Id
from registry.models.seeks import AT
from registry.models.settings import settings_sheet

_FORBID = ConfigDict(extra="forbid", frozen=True, strict=True)
_versioned = select(settings_sheet.c.id, settings_sheet.c.version, settings_sheet.c.seq).where(
    settings_sheet.c.bay_id == bindparam("bay", type_=Id), settings_sheet.c.version == bindparam("version"),
    settings_sheet.c.since_at <= AT,
)  # fmt: skip


def _address(value: Any) -> str:
    if not isinstance(value, str):
        raise wrong("This is an address: send text like 192.0.2.14/24.")
    try:
        return rules.read_address(value)
    except ValueError as problem:
        raise wrong(str(problem)) from None


def _port(value: Any) -> str:
    text = " ".join(value.lower().split()) if isinstance(value, str) else ""
    text = re.sub(r"^(serial|network)(?: port)? ?", r"\1 ", text)
    if not rules.is_port(text):
        raise wrong("Name a port of this sheet, like serial 1 or network 1.")
    return text


Number = Annotated[int, Field(ge=1, le=64)]
Port = Annotated[str, BeforeValidator(_port)]
_SCALE = "What its time is counted in."


class SerialPort(BaseModel):
    """A serial port of the unit: how it is wired, its rate, and what goes over it."""

    model_config = _FORBID

    port: Number = Field(title="Serial port")
    wiring: one_from(rules.WIRINGS, unset=True) = Field(title="Wiring")
    rate: one_from(rules.RATES, unset=True) = Field(title="Rate")
    carries: Line = Field(title="Carries", description="Which sentences, in or out, how often.")


class NetworkPort(BaseModel):
    """A network port of the unit and its address."""

    model_config = _FORBID

    port: Number = Field(title="Network port")
    address: Annotated[str, BeforeValidator(_address)] = Field(title="Address", description="Like 192.0.2.14/24.")
    carries: Line = Field(title="Carries", description="Which data, in or out, on which port number.")


class Aiding(BaseModel):
    """A sensor that aids the unit. A lever arm that the bay has is taken over; give one here for any other sensor."""

    model_config = _FORBID

    sensor: Line = Field(title="Aiding sensor", description="What it is called aboard.")
    gives: one_from(rules.AIDING, unset=True) = Field(title="Gives")
    on: Port = Field(title="On port", description="serial 1, network 1")
    time_scale: one_from(rules.TIME_SCALES) | None = Field(None, title="Its time", description=_SCALE)
    forward_m: Metres | None = Field(None, title="Lever arm forward", description="m, aft is negative")
    starboard_m: Metres | None = Field(None, title="To starboard", description="m, to port is negative")
    down_m: Metres | None = Field(None, title="Down", description="m, up is negative")

    @model_validator(mode="after")
    def _whole(self) -> "Aiding":
        if len({arm is None for arm in (self.forward_m, self.starboard_m, self.down_m)}) > 1:
            raise wrong("A lever arm has three parts: give all of them, or none if the bay has it.")
        return self


class Feeds(BaseModel):
    """Something aboard that lives on this unit’s data."""

    model_config = _FORBID

    feeds: Line = Field(title="Feeds", description="Sonar, autopilot, camera …")
    on: Port = Field(title="On port", description="serial 1, network 1")


class OwnValue(BaseModel):
    """Any other setting: a name of its own, a value, its unit."""

    model_config = _FORBID

    setting: Line = Field(title="Setting")
    value: Line = Field(title="Value", description="As it is typed in.")
    unit: one_from({unit or "text": words for unit, words in rules.UNITS.items()}) = Field("text", title="Unit")


class WriteSettingsSheet(Act, name="write_settings_sheet", may=May.INSTALL | May.FLEET, says="Write a settings sheet"):
    """What the unit in this bay is told. Mounting, angles and lever arms are taken over from the bay; every sheet is a version of its own, with a checksum."""

    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    unit_type: TypeRef | None = Field(None, title="Unit type", description="Empty: that of the pair in the bay.")
    led_by: one_from(rules.LED_BY, unset=True) = Field(title="Led by")
    time_scale: one_from(rules.TIME_SCALES, unset=True) = Field(title="The unit runs on")
    serial_ports: Annotated[list[SerialPort], Field(max_length=24), BlankRows(2)] = Field([], title="Serial ports")
    network_ports: Annotated[list[NetworkPort], Field(max_length=8), BlankRows(1)] = Field([], title="Network ports")
    aiding: Annotated[list[Aiding], Field(max_length=12), BlankRows(2)] = Field([], title="Aiding sensors")
    feeds: Annotated[list[Feeds], Field(max_length=12), BlankRows(1)] = Field([], title="What it feeds")
    values: Annotated[list[OwnValue], Field(max_length=60), BlankRows(2)] = Field([], title="Further values")
    answer: Words | None = Field(
        None, title="What looks like a placeholder and is none", description="Asked only when something does."
    )
    words: Words | None = Field(None, title="In your words", description="What changed, and why.")

    def decide(self, case: Case) -> Decision:
        bay_id = case.ids["bay"]
        stay, installation, _empty = sitting(case, bay_id)
        type_id = type_for(case, bay_id, case.ids.get("unit_type"), stay)
        if type_id is None:
            do = "Choose one: its ports are what the plan is looked over against."
            return Decision([Reason("missing_field", "The bay accepts several types, or none.", "unit_type", do)])
        ports, gives, last = ports_of(case, type_id), bay_gives(case, bay_id, installation), last_version(case, bay_id)
        body = self.model_dump()
        lines = given_lines(body, gives.lines)
        reasons = reasons_of_sheet(body, lines, ports)
        if last and last.since_at >= case.at:
            told = f"Version {last.version} holds from {say(last.since_at)}; another cannot begin before."
            reasons.append(Reason("overlaps_history", told, "happened_at", "Look at the day and time."))
        asked: list[str] = []
        if not reasons:
            asked = rules.questions(lines, gives.lengths, gives.addresses)
            asked += rules.question_of_time(self.time_scale, scales_of(body))
            reasons = rules.reasons_unanswered(asked, self.answer)
        version = last.version + 1 if last else 1
        decided = {
            "unit_type": type_id, "version": version, "bay_code": gives.code, "questions": asked,
            "lines": [vars_of(line) for line in lines], "checksum": rules.checksum(gives.code, version, lines),
        }  # fmt: skip
        touched = max(gives.touched, last.seq if last else 0)
        return Decision(reasons, decided, touched, _remarks(body, plan_of(body), ports))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, decided = entry.body, entry.decided
        told = {name: body[name] for name in ("led_by", "time_scale", "answer")}
        told |= {"version": decided["version"], "checksum": decided["checksum"], "words": body["words"] or ""}
        sheet = {"id": entry.id, "bay_id": entry.ids["bay"], "unit_type_id": decided["unit_type"], **told}
        made: list[Effect] = [Add("settings_sheet", {**sheet, **entry.moment("since")})]
        for number, line in enumerate(decided["lines"], 1):
            row = {"id": entry.derived(f"value:{number}"), "settings_sheet_id": entry.id, "number": number, **line}
            made.append(Add("settings_value", row))
        return made

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        lines = [rules.Line(**line) for line in entry.decided["lines"]]
        return {"checksum": rules.checksum(entry.decided["bay_code"], entry.decided["version"], lines)}


def vars_of(line: rules.Line) -> dict[str, str]:
    """A line as an entry keeps it."""
    return {name: getattr(line, name) for name in ("part", "name", "value", "unit", "source")}


def _remarks(body: dict[str, Any], plan: dict[str, list[int]], ports: rules.Ports) -> list[str]:
    rates = [(row["port"], row["wiring"], row["rate"]) for row in body["serial_ports"]]
    unknown = [kind for kind, used in plan.items() if used and ports.count(kind) is None]
    told = [
        f"Nobody stated how many {kind} ports {ports.type_name} has: the plan was not looked over." for kind in unknown
    ]
    return rules.remarks_of_rates(rates) + told


class LoadSettings(Act, name="load_settings", may=May.INSTALL, pin=True, happened=True, says="Load settings"):
    """A version of the bay’s sheet was put into the electronics half that sits there, or into the host that starts it. It counts only for this install."""

    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    sheet_version: Annotated[int, Field(ge=1, le=100_000)] | None = Field(
        None, title="Version", description="Empty: the newest."
    )
    electronics: SeatedHalfRef | None = Field(
        None, title="Electronics half", description="Scan it if you can: it must be the one in the bay."
    )
    words: Words | None = Field(None, title="In your words")

    def decide(self, case: Case) -> Decision:
        bay_id = case.ids["bay"]
        stay, installation, reasons = sitting(case, bay_id)
        newest = sheet_in_force(case, bay_id)
        sheet = newest if self.sheet_version is None else self._of_version(case, bay_id)
        if sheet is None:
            told = "That bay has no settings sheet" + (
                f" of version {self.sheet_version}." if self.sheet_version else " yet."
            )
            offer = Offer("write_settings_sheet", "Write the settings sheet", {"bay": bay_id})
            do = "Write it first, or look at the version."
            reasons = [*reasons, Reason("no_sheet", told, "sheet_version" if self.sheet_version else "bay", do, offer)]
        if stay and case.ids.get("electronics") not in (None, stay.electronics_id):
            told = f"{stay.pair} sits there; that is another half."
            offer = Offer("record_sighting", "Record what is in the hull", {"bay": bay_id})
            reasons = [
                *reasons,
                Reason("not_installed", told, "electronics", "Look which unit you have loaded.", offer),
            ]
        decided = {
            "installation": installation, "half": stay.electronics_id if stay else None,
            "sheet": sheet["id"] if sheet else None, "version": sheet["version"] if sheet else None,
        }  # fmt: skip
        old = sheet and newest and sheet["id"] != newest["id"]
        remarks = [f"Version {newest['version']} is newer: the vehicle stops until that is loaded."] if old else []
        touched = max(stay.seq if stay else 0, sheet["seq"] if sheet else 0)
        return Decision(reasons, decided, touched, remarks)

    def _of_version(self, case: Case, bay_id: str) -> Any:
        keys = {"bay": bay_id, "version": self.sheet_version, "at": case.at}
        return case.db.execute(_versioned, keys).mappings().first()

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        on = {"settings_sheet_id": entry.decided["sheet"], "installation_id": entry.decided["installation"]}
        row = {"id": entry.id, **on, "half_id": entry.decided["half"], "words": entry.body["words"] or ""}
        return [Add("settings_load", {**row, **entry.moment("loaded")})]


class KeepSettingsFile(
    Act, name="keep_settings_file", may=May.INSTALL, happened=True, says="Keep a unit’s settings file"
):
    """The file read out of the unit in a bay before it is pulled. A unit that is dead gives none: that is an answer, too."""

    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    outcome: one_from(rules.SAVED, unset=True) = Field(title="The file")
    files: FileList = Field(
        [], title="The file itself", description="As text, a table or a PDF. It goes with the pair."
    )
    words: Words | None = Field(None, title="In your words")

    @model_validator(mode="after")
    def _saved_or_dead(self) -> "KeepSettingsFile":
        if (self.outcome == "saved") != bool(self.files):
            raise wrong("A file that was saved is attached; a dead unit gives none.")
        return self

    def decide(self, case: Case) -> Decision:
        stay, installation, reasons = sitting(case, case.ids["bay"])
        decided = {"installation": installation, "pairing": stay.pairing_id if stay else None}
        return Decision(reasons + reasons_of_files(case, self.files), decided, stay.seq if stay else 0)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        told = {"outcome": entry.body["outcome"], "words": entry.body["words"] or ""}
        row = {"id": entry.id, "installation_id": entry.decided["installation"], **told, **entry.moment("saved")}
        return [Add("settings_file", row), *file_rows(entry, "pairing_id", entry.decided["pairing"], "attached")]
