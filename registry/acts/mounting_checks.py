"""The mounting check of a bay: what its unit felt level, bow down, rolled, turned, against the 24 ways it can sit."""

from pathlib import Path
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, model_validator

from registry.acts.act import Act, Case, Decision
from registry.acts.attachments import file_rows
from registry.acts.entry import Add, Effect, Entry
from registry.acts.long_work import LongWork, Told, reasons_of_work
from registry.acts.mountings import mounting_at
from registry.acts.shapes import BayRef, BlankRows, FigureText, FileList, Words, within, wrong
from registry.acts.stays import sitting
from registry.domain.mounting_checks import BETWEEN, RAISE_THE_BOW, VERDICTS, verdict_of
from registry.domain.mountings import ORIENTATIONS
from registry.domain.people import May
from registry.errors import Reason
from registry.inertial.refusal import CannotCompute

#: Without an entry the poses are judged against square-on; only what they leave is told.
_SQUARE_ON = "forward starboard down"
#: The phase in which the vehicle was turned: it shows a rate, and no attitude to judge by.
TURN = "turn"
Attitude = Annotated[FigureText, within("-60", "60")]
Force = Annotated[FigureText, within("-20", "20")]
Rate = Annotated[FigureText, within("-60", "60")]
_AXES = ("x", "y", "z")


class PoseGiven(BaseModel):
    """One resting pose: the vehicle’s attitude as an inclinometer shows it, and the mean specific force in unit axes."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    pitch_deg: Attitude = Field(title="Pitch", description="deg, bow up +")
    roll_deg: Attitude = Field(title="Roll", description="deg, starboard down +")
    force_x_m_s2: Force = Field(title="Force along x", description="m/s²; at rest and level, z down reads −9.8")
    force_y_m_s2: Force = Field(title="Force along y", description="m/s²")
    force_z_m_s2: Force = Field(title="Force along z", description="m/s²")
    seconds: Annotated[FigureText, within(above="0", most="36000")] | None = Field(
        None, title="Averaged over", description="s; 60 is usual"
    )


class RecordMountingCheck(
    Act, name="record_mounting_check", may=May.INSTALL | frozenset({"verifier"}), pin=True, happened=True, says="Enter a mounting check"
):  # fmt: skip
    """What the unit felt at known attitudes, against how its bay is said to hold it. Level poses alone never prove how it sits: four ways look the same."""

    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    poses: Annotated[list[PoseGiven], Field(max_length=12), BlankRows(3)] = Field(
        [], title="Poses", description="Level, and one with the bow raised or the vehicle rolled by 5° or more."
    )
    files: Annotated[FileList, Field(max_length=1)] = Field(
        [],
        title="Or a short recording",
        description="CSV or NPZ with time_s, phase (level, bow_up …), acc_x_m_s2 … acc_z_m_s2, and the vehicle’s measured pitch_deg and roll_deg; with gyro_x_deg_s … for a phase turn.",
    )
    turn_deg_s: Annotated[FigureText, within("-60", "60")] | None = Field(
        None, title="Turned level at", description="deg/s, to starboard +, if it was"
    )
    rate_x_deg_s: Rate | None = Field(None, title="Rate about x in the turn", description="deg/s, mean, unit axes")
    rate_y_deg_s: Rate | None = Field(None, title="Rate about y in the turn", description="deg/s")
    rate_z_deg_s: Rate | None = Field(None, title="Rate about z in the turn", description="deg/s")
    moving_deck: bool = Field(False, title="The deck moved: each pose is a mean of 120 s or more")
    words: Words | None = Field(None, title="In your words", description="What the attitudes were measured with.")

    @model_validator(mode="after")
    def _one_source(self) -> "RecordMountingCheck":
        if bool(self.poses) == bool(self.files):
            raise wrong("Give poses, or one recording of them: one of the two.")
        rates = [getattr(self, f"rate_{axis}_deg_s") is not None for axis in _AXES]
        wanted = self.turn_deg_s is not None and not self.files
        if rates != [wanted] * 3:
            raise wrong(
                "A turn that is typed has its rate and the three rates of the unit; a recording brings those itself."
            )
        return self

    def long_work(self) -> LongWork | None:
        return LongWork(self.name, (self.files[0].sha256,), {}) if self.files else None

    @staticmethod
    def worked_out(figures: dict[str, Any], paths: list[Path], told: Told) -> dict[str, Any]:
        from registry.inertial import as_record, felt_poses

        told(None, "means of the phases")
        return {"phases": [as_record(one) for one in felt_poses(paths[0])]}

    def decide(self, case: Case) -> Decision:
        stay, installation, reasons = sitting(case, case.ids["bay"])
        mounting = mounting_at(case.db, case.ids["bay"], case.at)
        seqs = [stay.seq if stay else 0, mounting["seq"] if mounting else 0]
        reasons = [*reasons, *reasons_of_work(case, self.files)]
        if reasons:
            return Decision(reasons, touched=max(seqs))
        try:
            measured = _recorded(case.ready["worked_out"], self.turn_deg_s) if self.files else _typed(self)
            found = _judged(measured, mounting["orientation"] if mounting else None, self.moving_deck)
        except CannotCompute as cannot:
            field = "files" if self.files else "poses"
            return Decision([Reason("cannot_compute", cannot.sentence, field, cannot.next or None)])
        decided = {
            "installation": installation,
            "pairing": stay.pairing_id if stay else None,
            "mounting": mounting["id"] if mounting else None,
            "orientation": mounting["orientation"] if mounting else None,
            "measured": measured,
            **found,
        }
        said = f"{VERDICTS[found['verdict']].capitalize()}. {found['told']} {found['next']}"
        return Decision([], decided, max(seqs), [said])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        decided = entry.decided
        row = {"id": entry.id, "installation_id": decided["installation"], "bay_mounting_id": decided["mounting"]}
        row |= {name: decided[name] for name in _KEPT} | {"still_open": BETWEEN.join(decided["still_open"])}
        check = Add("mounting_check", {**row, "words": entry.body["words"] or "", **entry.moment("checked")})
        poses = [
            Add("mounting_pose", {"id": entry.derived(f"pose:{number}"), "mounting_check_id": entry.id, "number": number, **one})
            for number, one in enumerate(decided["measured"]["poses"], 1)
        ]  # fmt: skip
        return [check, *poses, *file_rows(entry, "pairing_id", decided["pairing"], "attached")]

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        return _judged(entry.decided["measured"], entry.decided["orientation"], entry.body["moving_deck"])


_KEPT = (
    "verdict", "best", "residual_m_s2", "runner_up", "runner_up_residual_m_s2", "limit_m_s2", "tilt_deg", "told", "next", "method",
)  # fmt: skip


def _typed(act: RecordMountingCheck) -> dict[str, Any]:
    """The poses as typed, in the shape in which an entry keeps them."""
    poses = [{"name": f"pose {n}", "spread_m_s2": "0", **one.model_dump()} for n, one in enumerate(act.poses, 1)]
    rates = [getattr(act, f"rate_{axis}_deg_s") for axis in _AXES]
    return {"poses": poses, "turn": {"turn_deg_s": act.turn_deg_s, "rates_deg_s": rates} if act.turn_deg_s else None}


def _recorded(worked_out: dict[str, Any], turn_deg_s: str | None) -> dict[str, Any]:
    """The same from a recording. Raises CannotCompute where a turn was recorded and not said, or said and not recorded."""
    phases = {one["name"]: one for one in worked_out["phases"]}
    turn = phases.pop(TURN, None)
    if (turn is None) != (turn_deg_s is None):
        raise CannotCompute(
            "A turn needs both: its measured rate, and a phase turn in the recording.",
            "Say how fast the vehicle was turned, or name the phase otherwise.",
        )
    if turn and turn["rate_deg_s"] is None:
        raise CannotCompute("The phase turn holds no rates.", "Add gyro_x_deg_s, gyro_y_deg_s, gyro_z_deg_s.")
    poses = [
        {
            "name": one["name"],
            "seconds": f"{one['seconds']:.1f}",
            **{name: f"{one[name]:.3f}" for name in ("pitch_deg", "roll_deg")},
            **{f"force_{axis}_m_s2": f"{one['force_m_s2'][place]:.5f}" for place, axis in enumerate(_AXES)},
            "spread_m_s2": f"{one['spread_m_s2']:.5f}",
        }
        for one in phases.values()
    ]
    rates = [f"{rate:.5f}" for rate in turn["rate_deg_s"]] if turn else []
    return {"poses": poses, "turn": {"turn_deg_s": turn_deg_s, "rates_deg_s": rates} if turn else None}


def _judged(measured: dict[str, Any], orientation: str | None, moving_deck: bool) -> dict[str, Any]:
    """What the poses leave of the 24, and the verdict on the entry. Raises CannotCompute as `check_mounting` does."""
    from registry.inertial import check_mounting, mounting_from_words, nearest_to_poses, pose

    poses = [
        pose(
            [float(one[f"force_{axis}_m_s2"]) for axis in _AXES], float(one["pitch_deg"]), float(one["roll_deg"]),
            spread_m_s2=float(one["spread_m_s2"]), seconds=float(one["seconds"]) if one["seconds"] else None, moving_deck=moving_deck,
        )
        for one in measured["poses"]
    ]  # fmt: skip
    found = check_mounting(poses, mounting_from_words(*(orientation or _SQUARE_ON).split()))
    left = _left(found.candidates, measured["turn"])
    nearest = nearest_to_poses(poses)
    best, runner_up = (" ".join(one.axes) for one in (nearest, found.runner_up))
    verdict = verdict_of(orientation, left)
    told, then = _said(verdict, orientation, left, len(found.candidates))
    apart = f" Best fit {found.residual_m_s2:.2f} m/s² off, the next {found.runner_up_residual_m_s2:.2f}; the limit is {found.threshold_m_s2:.2f}."
    return {
        "verdict": verdict,
        "best": best,
        "residual_m_s2": f"{found.residual_m_s2:.4f}",
        "runner_up": runner_up,
        "runner_up_residual_m_s2": f"{found.runner_up_residual_m_s2:.4f}",
        "limit_m_s2": f"{found.threshold_m_s2:.4f}",
        "tilt_deg": f"{found.tilt_deg:.1f}",
        "still_open": list(left),
        "told": told + apart,
        "next": then,
        "method": found.method,
    }


def _left(candidates: Any, turn: dict[str, Any] | None) -> tuple[str, ...]:
    """The orientations that fit the poses, and the turn if there was one."""
    from registry.inertial import check_turn

    if turn:
        rates, about = [float(rate) for rate in turn["rates_deg_s"]], float(turn["turn_deg_s"])
        candidates = [one for one in candidates if check_turn(one, about, rates).vertical_agrees]
    return tuple(" ".join(one.axes) for one in candidates)


def _said(verdict: str, orientation: str | None, left: tuple[str, ...], fitting: int) -> tuple[str, str]:
    """The verdict in words, and what to do next."""
    if not left:
        told = "The turn contradicts the poses: the gyros tell other axes than the accelerometers."
        return told, "Look at the output format and the axis settings of the unit, then repeat poses and turn."
    ways = BETWEEN.join(ORIENTATIONS[one] for one in left)
    if verdict == "agrees":
        return f"The unit sits {ways}, as entered.", "Nothing to change. The axis and sign check is made all the same."
    many = (
        f"The poses leave {len(left)} of {fitting} ways: {ways}."
        if len(left) < fitting
        else f"The poses leave {len(left)} ways: {ways}."
    )
    if verdict == "contradicts":
        entered = f"Entered: {ORIENTATIONS[orientation or '']}."
        if len(left) == 1:
            do = f"If the unit is where it belongs, correct the mounting to {ways}, and load the settings again."
            return f"{entered} Found: {ways}. That entry would explain the poses.", do
        return f"{entered} The poses rule that out. {many}", RAISE_THE_BOW
    if len(left) > 1:
        return f"{many} A level pose cannot tell which way a unit is turned about the vertical.", RAISE_THE_BOW
    return f"Found: {ways}. Nobody entered how the bay is mounted.", "Enter how the bay is mounted."
