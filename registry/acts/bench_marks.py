"""Bench marks: surveyed headings that checks are made against. A new survey takes the place of the one before."""

from typing import Annotated, Any

from pydantic import Field
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Close, Effect, Entry, no_moment
from registry.acts.shapes import BenchMarkRef, DayText, FigureText, Line, SiteRef, Words, one_from, within
from registry.acts.spells import reasons_not_to_end
from registry.domain.bench_marks import MOST_TO_TRUE_DEG, reasons_of_north, true_heading
from registry.domain.calibrations import reasons_of_day
from registry.domain.norths import NORTHS
from registry.domain.people import May
from registry.domain.times import say
from registry.errors import Reason
from registry.models.bench_marks import bench_mark

_in_force = select(bench_mark.c.id, bench_mark.c.since_at, bench_mark.c.seq).where(
    bench_mark.c.site_id == bindparam("site"),
    bench_mark.c.name == bindparam("name"),
    bench_mark.c.ended_at.is_(None),
    bench_mark.c.voided_seq.is_(None),
)
_one = select(bench_mark.c.since_at, bench_mark.c.ended_at, bench_mark.c.seq).where(
    bench_mark.c.id == bindparam("mark")
)
Heading = Annotated[FigureText, within("0", "360")]
ToTrue = Annotated[FigureText, within(f"-{MOST_TO_TRUE_DEG}", MOST_TO_TRUE_DEG)]


class SurveyMark(Act, name="survey_mark", may=May.VERIFY, says="Enter a surveyed mark"):
    """The heading of a bench mark as it was surveyed, its north declared. It takes the place of an earlier survey."""

    site: SiteRef = Field(title="Site")
    mark: Line = Field(title="Mark", description="What it is called there.")
    heading_deg: Heading = Field(title="Heading", description="Degrees, clockwise from the north declared below.")
    north: one_from(NORTHS) = Field(title="Surveyed against")
    to_true_deg: ToTrue | None = Field(
        None,
        title="From that north to true",
        description="Degrees, + when that north lies east of true. Empty for true north.",
    )
    north_source: Line | None = Field(
        None, title="Whence that angle is known", description="Chart, model and year, or grid and place."
    )
    sigma_deg: Annotated[FigureText, within(above="0", most="10")] = Field(
        title="Standard uncertainty", description="Degrees, one sigma"
    )
    how: Line = Field(title="How it was surveyed", description="Instrument, method, report.")
    surveyed_on: DayText = Field(title="Surveyed on")

    def decide(self, case: Case) -> Decision:
        reasons = reasons_of_north(self.north, self.to_true_deg, self.north_source)
        reasons += reasons_of_day(self.surveyed_on, case.at, "surveyed_on")
        before = case.db.execute(_in_force, {"site": case.ids["site"], "name": self.mark}).first()
        if before and before.since_at >= case.at:
            told = f"The survey in force was entered for {say(before.since_at)}; another cannot begin before."
            reasons.append(Reason("overlaps_history", told, "happened_at", "Look at the day and time."))
        decided = {"ends": before.id if before else None, **_made_true(self.model_dump())}
        return Decision(reasons, decided, before.seq if before else 0)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, ends = entry.body, entry.decided["ends"]
        told = {n: body[n] for n in ("heading_deg", "north", "to_true_deg", "sigma_deg", "how", "surveyed_on")}
        row = {"id": entry.id, "site_id": entry.ids["site"], "name": body["mark"], **told}
        row |= {"north_source": body["north_source"] or "", "true_deg": entry.decided["true_deg"]}
        closed = [Close("bench_mark", ends, {**entry.moment("ended"), "end_reason": "surveyed anew"})] if ends else []
        return [*closed, Add("bench_mark", {**row, **entry.moment("since"), **no_moment("ended")})]

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        return _made_true(entry.body)


class EndMark(Act, name="end_mark", may=May.VERIFY, says="End a bench mark"):
    """A mark that was moved, lost or doubted is used no more. Checks that were made on it stay as they are."""

    mark: BenchMarkRef = Field(title="Mark")
    reason: Words = Field(title="Why")

    def decide(self, case: Case) -> Decision:
        row = case.db.execute(_one, {"mark": case.ids["mark"]}).one()
        reasons = reasons_not_to_end(
            row.since_at, row.ended_at, case.at, "mark", over="It ended on {}.",
            begun="It is in force since {}; it cannot end before.", nothing="There is nothing to end.",
        )  # fmt: skip
        return Decision(reasons, touched=row.seq)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [Close("bench_mark", entry.ids["mark"], {**entry.moment("ended"), "end_reason": entry.body["reason"]})]


def _made_true(body: dict[str, Any]) -> dict[str, Any]:
    return {"true_deg": true_heading(body["heading_deg"], body["to_true_deg"])}
