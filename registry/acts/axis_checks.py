"""The axis and sign check of a pair in its bay: three motions, and what the unit showed."""

from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field

from registry.acts.act import Act, Case, Decision
from registry.acts.attachments import file_rows
from registry.acts.effects import hold_row
from registry.acts.entry import Add, Effect, Entry
from registry.acts.long_work import LongWork, Told, reasons_of_work
from registry.acts.mountings import mounting_at
from registry.acts.shapes import BayRef, FigureText, FileList, Words, one_from, within
from registry.acts.stays import sitting
from registry.domain.axis_checks import LEAST_TILT_DEG, LEVEL_DEG, LEVELS, TILT_PARTS, TILTS, TURNS, VERDICTS, not_told
from registry.domain.motion_signs import PHASES, kept, say_signs, signs_of
from registry.domain.mountings import ORIENTATIONS
from registry.domain.people import May
from registry.inertial.methods import method

#: Without an entry the unit is taken to lie square-on: what is shown then says how its output is turned.
_SQUARE_ON = "forward starboard down"
_SHOWN = ("level", "bow_down", "roll_right", "turn", "tilt_deg")


class RecordAxisCheck(
    Act, name="record_axis_check", may=May.INSTALL | frozenset({"verifier"}), pin=True, happened=True, says="Enter an axis and sign check"
):  # fmt: skip
    """Bow down, roll right, turn clockwise: enter what the unit showed. A wrong sign stops the pair; standing still proves nothing about orientation."""

    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    level: one_from(LEVELS) = Field("level", title="Level, the unit shows")
    bow_down: one_from(TILTS, unset=True) = Field(
        title="Bow down, the unit shows", description="Push the bow down and hold it."
    )
    roll_right: one_from(TILTS, unset=True) = Field(
        title="Roll right, the unit shows", description="Push starboard down and hold."
    )
    turn: one_from(TURNS, unset=True) = Field(title="Turn clockwise, the unit shows", description="Seen from above.")
    tilt_deg: Annotated[FigureText, within(str(LEAST_TILT_DEG), "60")] = Field(
        "10", title="Tilted by about", description=f"deg, {LEAST_TILT_DEG} or more"
    )
    words: Words | None = Field(None, title="In your words")

    def decide(self, case: Case) -> Decision:
        return _decision(case, lambda orientation: _judged(self.model_dump(), orientation))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return _check_rows(entry, entry.body)

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        return _judged(entry.body, entry.decided["orientation"])


class RecordAxisRecording(
    Act, name="record_axis_recording", may=May.INSTALL | frozenset({"verifier"}), pin=True, happened=True, says="Enter an axis and sign check from a recording"
):  # fmt: skip
    """What the unit showed level, bow down, rolled right and in a turn clockwise, recorded: the signs are worked out from it. What is too small or ambiguous is refused."""

    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    files: Annotated[FileList, Field(min_length=1, max_length=1)] = Field(
        title="The recording",
        description="CSV or NPZ with time_s, roll_deg, pitch_deg, heading_deg as the unit gives them out, and phase: level, bow_down, roll_right, turn; empty between them. Five seconds each or more.",
    )
    words: Words | None = Field(None, title="In your words")

    def long_work(self) -> LongWork:
        return LongWork(self.name, (self.files[0].sha256,), {})

    @staticmethod
    def worked_out(figures: dict[str, Any], paths: list[Path], told: Told) -> dict[str, Any]:
        from registry.inertial import as_record, shown_attitudes

        told(None, "means of the phases")
        return {one.motion: kept(as_record(one)) for one in shown_attitudes(paths[0])}

    def decide(self, case: Case) -> Decision:
        if reasons := reasons_of_work(case, self.files):
            return Decision(reasons)
        shown = {name: told for name, told in case.ready["worked_out"].items() if name in PHASES}
        _signs, reasons = signs_of(shown)
        if reasons:
            return Decision(reasons)
        return _decision(case, lambda orientation: _judged_recording(shown, orientation), shown=shown)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        motions = [
            Add("axis_check_motion", {"id": entry.derived(f"motion:{name}"), "axis_check_id": entry.id, "motion": name, **told})
            for name, told in entry.decided["shown"].items()
        ]  # fmt: skip
        files = file_rows(entry, "pairing_id", entry.decided["pairing"], "attached")
        return [*_check_rows(entry, entry.decided["signs"]), *motions, *files]

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        return _judged_recording(entry.decided["shown"], entry.decided["orientation"])


def _decision(case: Case, judge: Callable[[str | None], dict[str, Any]], **looked_up: Any) -> Decision:
    """The verdict on a check of the pair that sits in the bay."""
    stay, installation, reasons = sitting(case, case.ids["bay"])
    mounting = mounting_at(case.db, case.ids["bay"], case.at)
    orientation = mounting["orientation"] if mounting else None
    found = judge(orientation)
    decided = {
        "installation": installation,
        "pairing": stay.pairing_id if stay else None,
        "mounting": mounting["id"] if mounting else None,
        "orientation": orientation,
        **looked_up,
        **found,
    }
    said = f"{VERDICTS[found['verdict']].capitalize()}. {found['told']} {found['next']}"
    return Decision(reasons, decided, stay.seq if stay else 0, [said])


def _judged_recording(shown: dict[str, Any], orientation: str | None) -> dict[str, Any]:
    """The signs of a recording whose motions all tell something, and the verdict on them."""
    signs, _reasons = signs_of(shown)
    found = _judged(signs, orientation)
    told, how = f"{found['told']} {say_signs(shown)}", f"{found['method']}; {method('motion-signs')}"
    return {"signs": signs, **found, "told": told, "method": how}


def _check_rows(entry: Entry, signs: dict[str, Any]) -> list[Effect]:
    """The check with what the unit showed, and the hold on its pair when a sign is wrong."""
    body, decided = entry.body, entry.decided
    shown = {name: signs[name] for name in _SHOWN}
    told = {name: decided[name] for name in ("verdict", "explained_by", "told", "next", "method")}
    row = {"id": entry.id, "installation_id": decided["installation"], "bay_mounting_id": decided["mounting"]}
    made: list[Effect] = [
        Add("axis_check", {**row, **shown, **told, "words": body["words"] or "", **entry.moment("checked")})
    ]
    if decided["verdict"] == "wrong":
        why = f"Axis and sign check, wrong: {decided['told']}"
        made.append(hold_row(entry, entry.derived("hold"), "pairing_id", decided["pairing"], "suspect", why))
    return made


def _judged(body: dict[str, Any], orientation: str | None) -> dict[str, Any]:
    """The verdict on what was shown, with the entry that would explain it."""
    gap = not_told(body["bow_down"], body["roll_right"], body["turn"])
    if gap:
        return {"verdict": "cannot_tell", "explained_by": None, "told": gap[0], "next": gap[1], "method": None}
    from registry.inertial import Entry as Status
    from registry.inertial import ShownMotions, check_signs, mounting_from_words

    tilt = float(body["tilt_deg"])
    down, right = ([part * tilt for part in TILT_PARTS[body[name]]] for name in ("bow_down", "roll_right"))
    shown = ShownMotions(LEVEL_DEG[body["level"]], (down[0], down[1]), (right[0], right[1]), body["turn"] == "rises")
    entered = mounting_from_words(*(orientation or _SQUARE_ON).split())
    found = check_signs(shown, entered, tilt)
    verdict = {Status.CONFIRMED: "right", Status.WRONG_ENTRY: "wrong"}.get(found.status, "cannot_tell")
    explained = " ".join(found.fitted.axes) if verdict == "wrong" and found.fitted else None
    told, then = found.verdict, found.next
    if orientation is None:
        told, then = _without_entry(verdict, explained)
    return {"verdict": verdict, "explained_by": explained, "told": told, "next": then, "method": found.method}


def _without_entry(verdict: str, explained: str | None) -> tuple[str, str]:
    """How it is said while nobody has entered how the bay is mounted."""
    if verdict == "right":
        return "The three signs are right. How the bay is mounted is not entered.", "Enter how the bay is mounted."
    if explained:
        told = (
            f"What the unit gives out is turned: its forward, starboard and down point like {ORIENTATIONS[explained]}."
        )
        return told, "Enter how the bay is mounted; a check after that names the entry to correct."
    return "No mounting explains these signs.", "Look at the output format of the unit, then repeat all three motions."
