"""Openings and closings of a housing, its leak test, and knocks."""

from typing import Annotated, Any

from pydantic import Field, model_validator
from sqlalchemy import bindparam, select

from registry.acts import seats
from registry.acts.act import Act, Case, Decision, Deed
from registry.acts.attachments import file_rows, reasons_of_files
from registry.acts.effects import hold_row
from registry.acts.entry import Add, Close, Effect, Entry, no_moment
from registry.acts.housings import housing_state
from registry.acts.shapes import (
    FigureText,
    HalfRef,
    HousingRef,
    Photos,
    RecheckRef,
    VehicleRef,
    Words,
    within,
    wrong,
)
from registry.acts.spells import reasons_not_to_end
from registry.domain.fleet import CLOSING_METHODS, LEAK_TESTED
from registry.domain.openings import JUDGED_BY, LeakTest, judge_leak_test, rechecks_of_knock
from registry.domain.people import May
from registry.domain.times import say
from registry.errors import Reason
from registry.models.fleet import housing
from registry.models.openings import recheck
from registry.models.plans import plan_at

_housing = select(housing.c.name, housing.c.closing_method).where(housing.c.id == bindparam("id"))
_recheck = select(recheck.c.asked_at, recheck.c.answered_at, recheck.c.seq).where(recheck.c.id == bindparam("id"))
Pressure = Annotated[FigureText, within("1", "2000")]
Celsius = Annotated[FigureText, within("-40", "85")]


class OpenHousing(Deed, name="open_housing", may=May.INSTALL, says="Open a housing"):
    """Anybody who opens a housing says so, whatever for: its leak test no longer counts. Installing and removing say it too."""

    housing: HousingRef = Field(title="Housing", description="Scan a bay in it, or choose.")
    reason: Words = Field(title="What for")

    def decide(self, case: Case) -> Decision:
        state = housing_state(case.db, case.ids["housing"], case.at)
        if state.open_since:
            return Decision(
                [
                    Reason(
                        "already_so",
                        f"It is open since {say(state.open_since)}.",
                        "housing",
                        "There is nothing to enter.",
                    )
                ],
                touched=state.touched,
            )
        return Decision(touched=state.touched, hold_on=[("vehicle_id", state.vehicle_id)])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [
            Add(
                "opening",
                {
                    "id": entry.id,
                    "housing_id": entry.ids["housing"],
                    "reason": entry.body["reason"],
                    **entry.moment("opened"),
                },
            )
        ]


class CloseHousing(Deed, name="close_housing", may=May.INSTALL, pin=True, says="Close a housing"):
    """The housing is shut again. Its leak test follows, if it is closed under vacuum or by gasket."""

    housing: HousingRef = Field(title="Housing", description="Scan a bay in it, or choose.")
    words: Words | None = Field(None, title="In your words", description="Seals, faces, torque, desiccant.")
    files: Photos = Field([], title="Photos of seals and faces", description="They go with the vehicle.")

    def decide(self, case: Case) -> Decision:
        state = housing_state(case.db, case.ids["housing"], case.at)
        reasons = []
        if not state.open_since:
            told = (
                f"It is closed since {say(state.closed_at)}." if state.closed_at else "Nobody has opened it on record."
            )
            reasons.append(Reason("not_open", told, "housing", "Enter the opening first, or look at the time."))
        reasons += reasons_of_files(case, self.files)
        decided = {"vehicle": state.vehicle_id}
        return Decision(reasons, decided, state.touched, hold_on=[("vehicle_id", state.vehicle_id)])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [
            Add(
                "housing_closing",
                {
                    "id": entry.id,
                    "housing_id": entry.ids["housing"],
                    "words": entry.body["words"] or "",
                    **entry.moment("closed"),
                },
            ),
            *file_rows(entry, "vehicle_id", entry.decided.get("vehicle"), "closing"),
        ]


class RecordLeakTest(Act, name="record_leak_test", may=May.INSTALL, pin=True, happened=True, says="Enter a leak test"):
    """Absolute pressure and inside temperature at both ends of the hold. Judged on the temperature-corrected change."""

    housing: HousingRef = Field(title="Housing", description="Scan a bay in it, or choose.")
    start_mbar: Pressure = Field(title="Pressure at the start", description="mbar absolute")
    start_c: Celsius = Field(title="Inside temperature at the start", description="°C")
    end_mbar: Pressure = Field(title="Pressure at the end", description="mbar absolute")
    end_c: Celsius = Field(title="Inside temperature at the end", description="°C")
    hold_min: Annotated[FigureText, within(above="0", most="10000")] = Field(
        title="Held for", description="min, after 10 min of waiting"
    )
    limit_mbar: Annotated[FigureText, within(above="0", most="100")] | None = Field(
        None, title="Limit", description="mbar, if the vehicle’s maker gives one. Empty: the plan’s."
    )
    electronics_on: bool = Field(False, title="Electronics were on")
    files: Photos = Field(
        [], title="Its record", description="The gauge’s log or a photo of it. They go with the vehicle."
    )

    def decide(self, case: Case) -> Decision:
        row = case.db.execute(_housing, {"id": case.ids["housing"]}).one()
        state = housing_state(case.db, case.ids["housing"], case.at)
        reasons = []
        if row.closing_method not in LEAK_TESTED:
            reasons.append(
                Reason(
                    "wrong_form",
                    f"Housing {row.name} is {CLOSING_METHODS[row.closing_method]}: a vacuum test says nothing about it.",
                    "housing",
                    "Follow the vehicle maker’s own check.",
                )
            )
        if state.open_since:
            reasons.append(
                Reason(
                    "not_open",
                    f"The housing is open since {say(state.open_since)}.",
                    "housing",
                    "Close it first, then test it.",
                )
            )
        reasons += reasons_of_files(case, self.files)
        site = seats.vehicle_site(case.db, state.vehicle_id, case.at)
        plan = plan_at(case.db, site.site_id if site else None, case.at).record(JUDGED_BY)
        found = _judged(self.model_dump(), plan)
        decided = {**found, "plan": plan, "vehicle": state.vehicle_id}
        return Decision(reasons, decided, state.touched, [found["told"]])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        names = ("start_mbar", "start_c", "end_mbar", "end_c", "hold_min", "electronics_on")
        told = {name: entry.body[name] for name in names} | {
            name: entry.decided[name] for name in ("verdict", "change_mbar", "limit_mbar")
        }
        made: list[Effect] = [
            Add("leak_test", {"id": entry.id, "housing_id": entry.ids["housing"], **told, **entry.moment("tested")}),
            *file_rows(entry, "vehicle_id", entry.decided["vehicle"], "leak_test"),
        ]
        if entry.decided["verdict"] == "does_not":
            made.append(
                hold_row(
                    entry,
                    entry.derived("hold"),
                    "vehicle_id",
                    entry.decided["vehicle"],
                    "failed_leak_test",
                    entry.decided["told"],
                )
            )
        return made

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        return _judged(entry.body, entry.decided["plan"])


class RecordKnock(Act, name="record_knock", may=May.ANYONE, says="Record a knock"):
    """A vehicle or a loose half was struck or dropped: one act that lists what to look at again."""

    vehicle: VehicleRef | None = Field(None, title="Vehicle")
    half: HalfRef | None = Field(None, title="Half in hand")
    hard: bool = Field(
        False,
        title="Hard, or from a height",
        description="Then it is also put on hold, and verified before it goes in again.",
    )
    words: Words = Field(title="What happened")

    @model_validator(mode="after")
    def _one_thing(self) -> "RecordKnock":
        if (self.vehicle is None) == (self.half is None):
            raise wrong("Say what was knocked: a vehicle, or a half in hand.")
        return self

    def decide(self, case: Case) -> Decision:
        if vehicle := case.ids.get("vehicle"):
            stays = seats.live_stays_at(case.db, vehicle, case.at)
            asked = [
                {"pairing": stay.pairing_id, "what": what}
                for stay in stays
                for what in rechecks_of_knock(self.hard, True)
            ]
            asked += [{"housing": id_, "what": "leak_test"} for id_ in seats.tested_housings(case.db, vehicle)]
            return Decision(decided={"asked": asked, "holds": [stay.pairing_id for stay in stays] if self.hard else []})
        asked = [{"half": case.ids["half"], "what": what} for what in rechecks_of_knock(self.hard, False)]
        return Decision(decided={"asked": asked, "holds": []})

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, ids = entry.body, entry.ids
        made: list[Effect] = [
            Add(
                "knock",
                {
                    "id": entry.id,
                    "vehicle_id": ids.get("vehicle"),
                    "half_id": ids.get("half"),
                    "words": body["words"],
                    **entry.moment("knocked"),
                },
            )
        ]
        for number, asked in enumerate(entry.decided["asked"]):
            on = {f"{name}_id": asked.get(name) for name in ("pairing", "housing", "half")}
            row = {"id": entry.derived(f"recheck:{number}"), "knock_id": entry.id, **on, "what": asked["what"]}
            made.append(Add("recheck", {**row, **entry.moment("asked"), **no_moment("answered")}))
        if body["hard"] and ids.get("half"):
            made.append(hold_row(entry, entry.derived("hold"), "half_id", ids["half"], "knocked", body["words"]))
        for number, pairing in enumerate(entry.decided["holds"]):
            made.append(
                hold_row(entry, entry.derived(f"hold:{number}"), "pairing_id", pairing, "knocked", body["words"])
            )
        return made


class AnswerRecheck(
    Act, name="answer_recheck", may=May.INSTALL | frozenset({"verifier"}), happened=True, says="Answer a recheck"
):
    """What a knock asked to look at again was looked at: say what was found and where the evidence is."""

    recheck: RecheckRef = Field(title="Recheck")
    answer: Words = Field(title="What was found")

    def decide(self, case: Case) -> Decision:
        row = case.db.execute(_recheck, {"id": case.ids["recheck"]}).one()
        reasons = reasons_not_to_end(
            row.asked_at, row.answered_at, case.at, "recheck", over="It was answered on {}.",
            begun="It was asked at {}; it cannot be answered before.", nothing="There is nothing to answer.",
        )  # fmt: skip
        return Decision(reasons, touched=row.seq)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        row = {**entry.moment("answered"), "answered_by_id": entry.by, "answer": entry.body["answer"]}
        return [Close("recheck", entry.ids["recheck"], row)]


def _judged(body: dict[str, Any], plan: dict[str, Any]) -> dict[str, Any]:
    names = ("start_mbar", "start_c", "end_mbar", "end_c", "hold_min")
    limit, judged_to, least = (plan[name]["value"] for name in JUDGED_BY)
    limit = body["limit_mbar"] or limit
    read = {name: body[name] for name in names}
    found = judge_leak_test(LeakTest(**read, limit_mbar=limit, judged_to_k=judged_to, least_hold_min=least))
    return {"verdict": found.verdict, "change_mbar": found.change_mbar, "limit_mbar": limit, "told": found.told}
