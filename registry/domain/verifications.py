"""Verification by the user: its kinds and words, which results count, when a pair is due, who may review."""

from collections.abc import Iterable
from dataclasses import dataclass

from registry.domain.times import say_day
from registry.errors import Reason

KINDS = {
    "heading_check": "heading check on a known mark",
    "static_test": "static test",
    "ship_check": "check against the ship",
}
#: A check against the ship finds what is badly wrong; a pass of it never moves a due date (ILAC-G24, in-service checks).
MOVING = ("heading_check", "static_test")
RULES = {
    "guarded": "guarded: up to the tolerance less the expanded uncertainty",
    "four-way": "four-way: with conditional pass and conditional fail",
    "simple": "simple: inside the tolerance passes, half of the passes at its edge may be wrong",
}
VERDICTS = {
    "fail": "fail",
    "conditional_fail": "conditional fail",
    "cannot_decide": "cannot decide",
    "conditional_pass": "conditional pass",
    "pass": "pass",
}
FOLLOWS = {
    "fail": "The pair is on hold, and so is the vehicle it is in. What it was used for since its last good result is listed.",
    "conditional_fail": "Outside the tolerance by less than the uncertainty. Measure better, or adjust and measure again.",
    "cannot_decide": "It proves nothing either way. Measure with a smaller uncertainty, or agree on a wider tolerance.",
    "conditional_pass": "A conditional pass is not a pass: it counts once a second person accepts it by name.",
    "pass": "It shows that the readings met the tolerance; it is no proof that the two halves are a pair.",
}
REVIEWS = {
    "agreed": "agreed",
    "accepted": "accepted by name, with its condition",
    "rejected": "not agreed: it does not count",
}
#: Quantity -> (words, unit).
QUANTITIES = {
    "heading": ("heading", "deg"),
    "pitch": ("pitch", "deg"),
    "roll": ("roll", "deg"),
    "gravity": ("gravity", "m/s2"),
    "earth_rate": ("earth rate", "deg/h"),
    "vertical_rate": ("earth rate on the vertical", "deg/h"),
    "walk_x": ("random walk, gyro x", "deg/sqrt(h)"),
    "walk_y": ("random walk, gyro y", "deg/sqrt(h)"),
    "walk_z": ("random walk, gyro z", "deg/sqrt(h)"),
}
#: Shortest mean of a check against the ship (common practice, no source: moving deck, two minutes).
SHIP_LEAST_S = 120


def worst(outcomes: Iterable[str]) -> str:
    """The gravest of the outcomes; nothing judged is nothing decided."""
    return min(outcomes, key=list(VERDICTS).index, default="cannot_decide")


def counts(verdict: str, review: str | None) -> bool:
    """Whether a result counts as known good: a pass that nobody rejected, a conditional pass that was accepted by name."""
    return review != "rejected" and (verdict == "pass" or (verdict == "conditional_pass" and review == "accepted"))


@dataclass(frozen=True, slots=True)
class Due:
    """When a pair is due for verification, and what that rests on. Days as text; `good_on` None: never verified.

    `days` is the interval somebody approved; without one the plan’s `months` hold. `notice_days` is from when it is told.
    `held_by` names the contract whose shorter interval decides, `stops_by` the one by which overdue stops the vehicle.
    """

    pairing_id: str
    pair: str
    due_on: str
    good_on: str | None
    good_id: str | None
    last_id: str | None
    last_kind: str | None
    last_verdict: str | None
    last_on: str | None
    last_seq: int | None
    reviewed: bool
    jumped: bool
    days: int | None
    hours_left: str | None
    calibrated_on: str | None
    left_days: int
    months: int
    notice_days: int
    stated_seq: int | None = None
    held_by: str = ""
    stops_by: str = ""

    @property
    def evidence(self) -> int | None:
        """The entry it rests on: the last verification, else the statement of the pair."""
        return self.last_seq or self.stated_seq

    @property
    def state(self) -> str:
        """`failed`, `overdue`, `soon` or `in_date`."""
        if self.last_verdict == "fail":
            return "failed"
        if self.left_days < 0 or (self.hours_left is not None and float(self.hours_left) < 0):
            return "overdue"
        return "soon" if self.left_days <= self.notice_days else "in_date"

    def say(self) -> str:
        """When it was verified last, and when it is due, in one sentence."""
        last = f"Verified {say_day(self.good_on)}" if self.good_on else "Never verified since its statement"
        if self.state == "failed":
            return f"Failed on {say_day(self.last_on or '')}. {last}."
        if self.hours_left is not None and float(self.hours_left) < 0:
            return f"{last}; its hours ran out {-float(self.hours_left):g} h ago."
        when = (
            f"{-self.left_days} {'day' if self.left_days == -1 else 'days'} ago"
            if self.left_days < 0
            else f"in {self.left_days} {'day' if self.left_days == 1 else 'days'}"
        )
        when = "today" if self.left_days == 0 else when
        by = f", by {self.held_by}" if self.held_by else ""
        return f"{last}; due {say_day(self.due_on)}, {when}{by}."


@dataclass(frozen=True, slots=True)
class Reviewed:
    """What a review is decided on."""

    verdict: str
    verified_at: str
    by: str
    done_by: str
    reviewed_at: str | None


def reasons_not_to_review(known: Reviewed, outcome: str, by: str, at: str) -> list[Reason]:
    """A second person looks once, after it was done; only a conditional pass is accepted by name."""
    if known.reviewed_at:
        told = f"It was reviewed on {say_day(known.reviewed_at)}."
        return [Reason("already_so", told, "verification", "There is nothing to review.")]
    reasons = []
    if by in (known.by, known.done_by):
        told = "You did this verification or entered it; another person reviews it."
        reasons.append(
            Reason("own_work", told, "verification", "Ask another verifier, a workshop lead or a release authority.")
        )
    if at <= known.verified_at:
        told = f"It was done on {say_day(known.verified_at)}; it cannot be reviewed before."
        reasons.append(Reason("overlaps_history", told, "happened_at", "Look at the day and time."))
    wants = {"accepted": ("conditional_pass",), "agreed": tuple(v for v in VERDICTS if v != "conditional_pass")}
    if known.verdict not in wants.get(outcome, VERDICTS):
        told = f"The verdict is {VERDICTS[known.verdict]}; {'only a conditional pass is accepted by name' if outcome == 'accepted' else 'it is accepted by name or not agreed'}."
        reasons.append(Reason("wrong_form", told, "outcome", "Choose what fits the verdict."))
    return reasons


def reasons_not_to_lengthen(days: int, in_force: int, proposed: int | None) -> list[Reason]:
    """A shorter interval is anybody’s caution; a longer one goes no further than the rule proposes."""
    if days <= in_force or (proposed is not None and days <= proposed):
        return []
    why = f"the rule proposes {proposed}" if proposed is not None else "no as-found result on record lets it grow"
    told = f"{days} days are longer than the {in_force} in force, and {why}."
    return [Reason("interval_too_long", told, "days", "Approve what is proposed, or less.")]
