"""Verification by the user: on a known mark, at rest on the bench, against the ship; and the second person’s review."""

from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, model_validator
from sqlalchemy import bindparam, select

from registry.acts import judging
from registry.acts.act import Act, Case, Decision
from registry.acts.attachments import reasons_of_files
from registry.acts.calibrations import Standards
from registry.acts.entry import Add, Close, Effect, Entry
from registry.acts.long_work import LongWork, Told, reasons_of_work
from registry.acts.shapes import (
    BenchMarkRef,
    FigureText,
    FileGiven,
    FileList,
    Line,
    PairRef,
    Photos,
    VerificationRef,
    Words,
    one_from,
    within,
    wrong,
)
from registry.acts.verifying import (
    answered_by,
    consequences,
    limits_of,
    pair_row,
    reasons_of_pair,
    remarks_of,
    verification_rows,
)
from registry.domain.attachments import MOST_FILES
from registry.domain.bench_marks import MOST_TO_TRUE_DEG, reasons_of_north
from registry.domain.canonical import canonical
from registry.domain.norths import NORTHS
from registry.domain.people import May
from registry.domain.times import say
from registry.domain.verifications import REVIEWS, RULES, SHIP_LEAST_S, Reviewed, reasons_not_to_review
from registry.errors import Reason
from registry.inertial.refusal import CannotCompute
from registry.models.bench_marks import bench_mark
from registry.models.own_numbers import own_numbers, series_of
from registry.models.verifications import verification

_mark = select(bench_mark).where(bench_mark.c.id == bindparam("mark"))
_one = select(verification).where(verification.c.id == bindparam("verification"))
Heading = Annotated[FigureText, within("0", "360")]
Tilt = Annotated[FigureText, within("-90", "90")]
Sigma = Annotated[FigureText, within(above="0", most="10")]
Tolerance = Annotated[FigureText, within(above="0", most="45")]
ToTrue = Annotated[FigureText, within(f"-{MOST_TO_TRUE_DEG}", MOST_TO_TRUE_DEG)]
_RECORDINGS = ("text/csv", "application/zip")


class Verification(Act):
    """What every verification says: of which pair, by which procedure, under which rule; fixed before readings are taken."""

    pair: PairRef = Field(title="Pair", description="Scan one of its halves.")
    procedure: Line = Field(title="Procedure", description="Name or number of what was followed.")
    issue: Line = Field(title="Issue of the procedure")
    rule: one_from(RULES) = Field(
        "guarded", title="Decision rule", description="As the procedure fixes it, before readings are taken."
    )
    conditions: Line | None = Field(None, title="Conditions", description="Place, warm-up, temperature, wind, swell.")
    hours_run: Annotated[FigureText, within("0", "1000000")] | None = Field(
        None, title="Hours run", description="Of the unit’s own counter, if it has one."
    )
    standards: Standards = Field([], title="Standards used")
    words: Words | None = Field(None, title="In your words")

    def _decision(self, case: Case, judge: Any, more: list[Reason], **looked_up: Any) -> Decision:
        """The verdict with what follows from it; or every reason why there is none."""
        pair = pair_row(case)
        reasons = [*reasons_of_pair(pair, case.at), *more, *reasons_of_files(case, self.files)]
        if reasons:
            return Decision(reasons)
        try:
            judged = judge(self.model_dump(), **looked_up)
        except CannotCompute as cannot:
            return Decision([Reason("cannot_compute", cannot.sentence, None, cannot.next or None)])
        decided = {"jumped": False, **looked_up, **judged, **consequences(case, pair, judged["verdict"])}
        return Decision([], decided, remarks=remarks_of(decided))


class RecordHeadingCheck(
    Verification, name="record_heading_check", may=May.VERIFY, pin=True, happened=True, says="Enter a heading check"
):
    """Heading found on a surveyed mark, less the known one: the pair’s own number. A pass is no proof of a pair."""

    mark: BenchMarkRef = Field(title="Mark")
    tolerance_deg: Tolerance = Field(
        title="Tolerance ±", description="Degrees. Survey 0.1, transit 0.3 (common practice)."
    )
    north: one_from(NORTHS) = Field("true", title="The unit reads against")
    to_true_deg: ToTrue | None = Field(
        None, title="From that north to true", description="Degrees, + when it lies east of true. Empty for true north."
    )
    found_deg: Heading | None = Field(
        None, title="Heading as found", description="Degrees, settled, before anything is changed."
    )
    left_deg: Heading | None = Field(None, title="Heading as left", description="Only if it was adjusted.")
    u_deg: Sigma | None = Field(
        None,
        title="Standard uncertainty of the reading",
        description="Degrees, one sigma, the mark’s own left out. Empty: not stated.",
    )
    files: Photos = Field([], title="Photos and logs")

    @model_validator(mode="after")
    def _read_once(self) -> "RecordHeadingCheck":
        if self.found_deg is None and self.left_deg is None:
            raise wrong("No heading was read: enter it as found, as left, or both.")
        return self

    def decide(self, case: Case) -> Decision:
        row = case.db.execute(_mark, {"mark": case.ids["mark"]}).one()
        more = reasons_of_north(self.north, self.to_true_deg)
        if row.since_at > case.at or (row.ended_at and row.ended_at <= case.at):
            told = f"The survey of {row.name} is in force {f'until {say(row.ended_at)}' if row.ended_at else f'from {say(row.since_at)}'}."
            more.append(
                Reason("overlaps_history", told, "mark", "Choose the survey that held then, or look at the time.")
            )
        looked_up = {"mark": {"true_deg": row.true_deg, "sigma_deg": row.sigma_deg}}
        numbers = own_numbers(case.db, case.ids["pair"], case.at)
        made = self._decision(case, judging.heading_judged, more, **looked_up)
        if made.reasons:
            return made
        one = made.decided["lines"][0]
        value = one["as_left"] if one["as_found"] is None else one["as_found"]
        earlier = [[number, u] for number, u in series_of(numbers)]
        compared = judging.compared(earlier, value, one["u"])
        decided = made.decided | {"earlier": earlier, "compared": compared, "jumped": compared["jumped"]}
        decided["answers"] = answered_by(case, decided)
        decided["told"] = f"{decided['told']} {compared['sentence']}"
        return Decision([], decided, max((n.seq for n in numbers), default=0), remarks_of(decided))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return verification_rows(entry, "heading_check")

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        judged = judging.heading_judged(entry.body, entry.decided["mark"])
        one = judged["lines"][0]
        value = one["as_left"] if one["as_found"] is None else one["as_found"]
        compared = judging.compared(entry.decided["earlier"], value, one["u"])
        told = f"{judged['told']} {compared['sentence']}"
        return {**judged, "compared": compared, "jumped": compared["jumped"], "told": told}


class RecordShipCheck(
    Verification,
    name="record_ship_check",
    may=May.SHIP_CHECK,
    pin=True,
    happened=True,
    says="Enter a check against the ship",
):
    """Two minutes against the ship’s gyro and motion sensor. It finds what is badly wrong; a pass never moves a due date."""

    seconds: Annotated[int, Field(ge=SHIP_LEAST_S, le=86_400)] = Field(
        SHIP_LEAST_S, title="Seconds averaged", description=f"{SHIP_LEAST_S} or more, of both at once."
    )
    unit_heading_deg: Heading = Field(
        title="Heading of the unit", description="Mean, degrees, the same north as the ship’s."
    )
    ship_heading_deg: Heading = Field(title="Heading of the ship’s gyro", description="Mean, degrees")
    tolerance_deg: Tolerance = Field(title="Tolerance of heading ±", description="Degrees, fixed before.")
    unit_pitch_deg: Tilt | None = Field(None, title="Pitch of the unit", description="Mean, degrees, bow up +")
    ship_pitch_deg: Tilt | None = Field(None, title="Pitch of the motion sensor", description="Mean, degrees")
    unit_roll_deg: Tilt | None = Field(None, title="Roll of the unit", description="Mean, degrees, starboard down +")
    ship_roll_deg: Tilt | None = Field(None, title="Roll of the motion sensor", description="Mean, degrees")
    level_tolerance_deg: Tolerance | None = Field(
        None, title="Tolerance of pitch and roll ±", description="Degrees, fixed before."
    )
    u_deg: Sigma | None = Field(
        None,
        title="Standard uncertainty of a difference",
        description="Degrees, one sigma, the ship’s own part within. Empty: not stated.",
    )
    files: Photos = Field([], title="Photos and logs")

    @model_validator(mode="after")
    def _in_twos(self) -> "RecordShipCheck":
        for name in ("pitch", "roll"):
            unit, ship = getattr(self, f"unit_{name}_deg"), getattr(self, f"ship_{name}_deg")
            if (unit is None) != (ship is None):
                raise wrong(
                    f"{name.capitalize()} is compared: enter it of the unit and of the ship, or leave out both."
                )
            if unit is not None and self.level_tolerance_deg is None:
                raise wrong(
                    f"{name.capitalize()} was read, and its tolerance is not said. Enter it as the procedure fixes it."
                )
        return self

    def decide(self, case: Case) -> Decision:
        return self._decision(case, judging.ship_judged, [])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return verification_rows(entry, "ship_check")

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        return judging.ship_judged(entry.body)


class RecordStaticTest(
    Verification, name="record_static_test", may=May.VERIFY, pin=True, happened=True, says="Enter a static test"
):
    """A recording of the unit at rest on the bench: gravity, earth rate and noise against place and class. It proves no pair."""

    lat_deg: Annotated[FigureText, within("-90", "90")] = Field(
        title="Latitude of the bench", description="Degrees, north positive."
    )
    height_m: Annotated[FigureText, within("-500", "9000")] = Field(
        "0", title="Height", description="m above the ellipsoid"
    )
    warm_up_min: Annotated[FigureText, within("0", "100000")] | None = Field(
        None, title="Warmed up for", description="Minutes. 45 is usual (common practice)."
    )
    files: Annotated[FileList, Field(min_length=1, max_length=MOST_FILES)] = Field(
        title="The recording",
        description="CSV or NPZ, units in the headers: time_s, gyro_x_deg_h … acc_z_m_s2. Ten minutes or more; working it out takes some seconds.",
    )

    @model_validator(mode="after")
    def _one_recording(self) -> "RecordStaticTest":
        if len(_recordings(self.files)) != 1:
            raise wrong("A static test is one recording, CSV or NPZ; photos and notes may come with it.")
        return self

    def long_work(self) -> LongWork:
        return LongWork(self.name, (_recordings(self.files)[0].sha256,), {})

    @staticmethod
    def worked_out(figures: dict[str, Any], paths: list[Path], told: Told) -> dict[str, Any]:
        from registry.inertial import read_bench

        return read_bench(paths[0], told)

    def decide(self, case: Case) -> Decision:
        if reasons := reasons_of_work(case, self.files):
            return Decision(reasons)
        recorded, limits = case.ready["worked_out"], limits_of(case.db, pair_row(case).unit_type_id)
        return self._decision(case, judging.static_judged, [], recorded=recorded, limits=limits)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, recorded = entry.body, entry.decided["recorded"]
        sent = next(file for file in body["files"] if file["media_type"] in _RECORDINGS)
        told = {name: body[name] for name in ("lat_deg", "height_m", "warm_up_min")}
        row = {"id": entry.derived("recording"), "verification_id": entry.id, "sha256": sent["sha256"], **told}
        row |= {name: f"{recorded['summary'][name]:.6f}" for name in ("seconds", "rate_hz")}
        kept = Add("bench_recording", {**row, "worked_out": canonical(recorded).decode()})
        return [*verification_rows(entry, "static_test"), kept]

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        return judging.static_judged(entry.body, entry.decided["recorded"], entry.decided["limits"])


def _recordings(files: list[FileGiven]) -> list[FileGiven]:
    return [file for file in files if file.media_type in _RECORDINGS]


class ReviewVerification(Act, name="review_verification", may=May.REVIEW, pin=True, says="Review a verification"):
    """A second person, not the one who did it, looks at readings and verdict. Until then it waits for review."""

    verification: VerificationRef = Field(title="Verification")
    outcome: one_from(REVIEWS) = Field(title="Outcome")
    words: Words | None = Field(
        None, title="In your words", description="What was looked at; for a condition, what holds."
    )

    def decide(self, case: Case) -> Decision:
        row = case.db.execute(_one, {"verification": case.ids["verification"]}).one()
        known = Reviewed(row.verdict, row.verified_at, row.entered_by_id, row.done_by_id, row.reviewed_at)
        reasons = reasons_not_to_review(known, self.outcome, case.by, case.at)
        if self.outcome != "agreed" and not self.words:
            told = "An acceptance or a rejection needs a word why."
            reasons.append(Reason("needs_reason", told, "words", "Say what you saw."))
        return Decision(reasons, touched=row.closed_seq or row.seq)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        told = {"reviewed_by_id": entry.by, "review": entry.body["outcome"], "review_words": entry.body["words"] or ""}
        return [Close("verification", entry.ids["verification"], {**entry.moment("reviewed"), **told})]
