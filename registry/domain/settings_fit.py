"""What settings say against deploying: sheet, load and read-back of a bay, and the firmware of the halves in it."""

from dataclasses import dataclass

from registry.domain.findings import Finding
from registry.domain.readbacks import VERDICTS
from registry.domain.times import say
from registry.errors import Offer


@dataclass(frozen=True, slots=True)
class Loaded:
    """The newest load of a stay; `firmware_at` is when other firmware was read from the unit since."""

    sheet_id: str
    version: int
    loaded_at: str
    seq: int
    firmware_at: str | None = None


@dataclass(frozen=True, slots=True)
class ReadBack:
    """The newest read-back of a stay; `serials` says where the unit’s own serials are not the record’s."""

    id: str
    verdict: str
    told: str
    next: str
    read_at: str
    seq: int
    serials: str = ""


@dataclass(frozen=True, slots=True)
class Runs:
    """The firmware of one half in a bay: what was read last, and whether the type’s list permits it.

    `permitted` is None while no list of its type is in force.
    """

    kind: str
    half: str
    version: str | None
    permitted: bool | None
    seq: int | None = None


@dataclass(frozen=True, slots=True)
class SettingsStanding:
    """How the settings of a stay stood at the instant. `read_back` is one of this load, or of none."""

    sheet_id: str | None = None
    version: int | None = None
    since: str | None = None
    seq: int | None = None
    demanded: bool = False
    load: Loaded | None = None
    read_back: ReadBack | None = None
    runs: tuple[Runs, ...] = ()

    @property
    def counts(self) -> ReadBack | None:
        """The read-back that says something of the load in force: read after it."""
        one, load = self.read_back, self.load
        return one if one and load and (one.read_at, one.seq) > (load.loaded_at, load.seq) else None


def findings_of_settings(one: SettingsStanding | None, bay: str, bay_id: str, pair: str, since: str) -> list[Finding]:
    """Everything about the settings of one bay with a pair in it."""
    if one is None:
        return []
    found = [*_of_sheet(one, bay, bay_id, pair, since), *_of_serials(one, bay, bay_id), *_of_firmware(one, bay)]
    return found if one.sheet_id is None else [*found, *_of_read_back(one, bay, bay_id)]


def _of_sheet(one: SettingsStanding, bay: str, bay_id: str, pair: str, since: str) -> list[Finding]:
    """Whether there is a sheet, and whether the unit holds it since it went in."""
    if one.sheet_id is None:
        told = "Nobody has written down what the unit in this bay is to be told."
        told += " Its type demands it." if one.demanded else ""
        offer = Offer("write_settings_sheet", "Write the settings sheet", {"bay": bay_id})
        severity = "stops" if one.demanded else "note"
        return [Finding(severity, "no_settings_sheet", f"Bay {bay}: no settings sheet", told, None, bay, offer)]
    load = Offer("load_settings", f"Load version {one.version}", {"bay": bay_id})
    if one.load is None:
        told = f"{pair} went in {say(since)}; a load counts only since then."
        fact = f"Bay {bay}: settings not loaded since the install"
        return [Finding("stops", "settings_not_loaded", fact, told, one.seq, bay, load)]
    if one.load.sheet_id != one.sheet_id:
        told = f"Version {one.version} holds since {say(one.since or '')}; the unit was loaded with version {one.load.version} {say(one.load.loaded_at)}."
        return [
            Finding(
                "stops", "settings_changed", f"Bay {bay}: the sheet changed since the load", told, one.seq, bay, load
            )
        ]
    if one.load.firmware_at:
        told = f"Other firmware was read {say(one.load.firmware_at)}. Reload the settings, and repeat the axis and sign check."
        return [
            Finding(
                "stops",
                "settings_changed",
                f"Bay {bay}: firmware changed since the load",
                told,
                one.load.seq,
                bay,
                load,
            )
        ]
    return []


def _of_read_back(one: SettingsStanding, bay: str, bay_id: str) -> list[Finding]:
    """What the unit itself said of the load in force."""
    if one.load is None:
        return []
    again, found = Offer("record_readback", "Enter a read-back", {"bay": bay_id}), one.counts
    if found is None:
        told = f"Loaded {say(one.load.loaded_at)}; three values read from the unit show whether it holds them."
        return [Finding("care", "not_read_back", f"Bay {bay}: settings not read back", told, one.load.seq, bay, again)]
    told = f"{found.told} {found.next}"
    if found.verdict == "agrees":
        return []
    if found.verdict == "cannot_tell":
        fact = f"Bay {bay}: the read-back fits more than one sheet"
        return [Finding("care", "not_read_back", fact, told, found.seq, bay, again)]
    fact = f"Bay {bay}: the read-back differs, {VERDICTS[found.verdict]}"
    return [Finding("stops", "readback_differs", fact, told, found.seq, bay, again)]


def _of_serials(one: SettingsStanding, bay: str, bay_id: str) -> list[Finding]:
    """Serials the unit reports that are not those of the halves the record has there: somebody has to look."""
    if one.read_back is None or not one.read_back.serials:
        return []
    look = Offer("record_sighting", f"Scan what is in bay {bay}", {"bay": bay_id})
    fact = f"Bay {bay}: the unit reports other serials than recorded"
    return [Finding("stops", "other_serials", fact, one.read_back.serials, one.read_back.seq, bay, look)]


def _of_firmware(one: SettingsStanding, bay: str) -> list[Finding]:
    """Firmware against the list of its type in force. Nothing is asked where there is no list."""
    found = []
    for runs in one.runs:
        key = {"half": runs.half}
        if runs.permitted is False and runs.version is None:
            offer = Offer("record_firmware", "Enter what it runs", key)
            fact = f"Bay {bay}: firmware of the {runs.kind} half was never read"
            told = "A list of permitted firmware is in force for its type."
            found.append(Finding("care", "firmware_not_read", fact, told, None, bay, offer))
        elif runs.permitted is False:
            offer = Offer("record_firmware", "Enter what it runs now", key)
            fact = f"Bay {bay}: firmware {runs.version} is not permitted"
            told = f"It was read from the {runs.kind} half; the list of its type does not name it. Bring it to one that it names."
            found.append(Finding("stops", "firmware_not_permitted", fact, told, runs.seq, bay, offer))
    return found
