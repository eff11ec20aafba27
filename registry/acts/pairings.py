"""Pairings: entered from the maker's matched-pair statement, ended for a reason, never made by us."""

from pydantic import Field, model_validator
from sqlalchemy import bindparam, select

from registry.acts import seats
from registry.acts.act import Act, Case, Decision
from registry.acts.attachments import file_rows, reasons_of_files
from registry.acts.entry import Add, Close, Effect, Entry
from registry.acts.shapes import DayText, FileList, HalfRef, Line, PairRef, When, Words, one_from, wrong
from registry.acts.spells import ended
from registry.domain.matches import Half, Pairing
from registry.domain.people import May
from registry.domain.times import NEVER, say, say_day, stamp, write_rfc3339
from registry.domain.units import GRADES
from registry.errors import Reason
from registry.models.installs import installation_span as span
from registry.models.lookups import PAIRING
from registry.models.pairings import pairing
from registry.models.units import accepted_statement

_named = select(pairing.c.id).where(pairing.c.name == bindparam("name"))
_grades = select(accepted_statement.c.grade).where(accepted_statement.c.unit_type_id == bindparam("type"))
_one = select(*PAIRING, pairing.c.seq).where(pairing.c.id == bindparam("id"))
_last_removed = (
    select(span.c.removed_at)
    .where(span.c.pairing_id == bindparam("id"), span.c.voided_seq.is_(None))
    .order_by(span.c.installed_at.desc())
    .limit(1)
)


class RecordPairing(Act, name="record_pairing", may=May.PAIR, pin=True, says="Enter a matched-pair statement"):
    """What the maker says in writing: these two halves left as one.

    If either half stood in another pair until then (a factory repair), that pairing ends by this statement.
    """

    pair: Line = Field(title="Name of the pair", description="As the statement calls it.")
    sensor: HalfRef = Field(title="Sensor half", description="Scan the label on the part.")
    electronics: HalfRef = Field(title="Electronics half", description="Scan the label on the part.")
    grade: one_from(GRADES) = Field(title="Statement")
    statement: Line = Field(title="Number of the statement")
    stated_on: DayText = Field(title="Date of the statement")
    paired_at: When | None = Field(
        None, title="A pair since", description="The start of the statement’s day, if nothing else is known."
    )
    ended_at: When | None = Field(
        None, title="It ended at", description="Only for a pair that is over and is entered late."
    )
    end_why: Words | None = Field(None, title="Why it ended", description="For a pair that is over.")
    replaces: bool = Field(
        False, title="It ends the earlier pair", description="After a factory repair, when one half was replaced."
    )
    files: FileList = Field([], title="The statement as a file")

    @model_validator(mode="after")
    def _over_as_a_whole(self) -> "RecordPairing":
        if (self.ended_at is None) != (self.end_why is None):
            raise wrong("Of a pair that is over, say both when it ended and why.")
        return self

    def decide(self, case: Case) -> Decision:
        since = self.paired_at.isoformat() if self.paired_at else f"{self.stated_on}T00:00:00Z"
        at, until = stamp(since), stamp(self.ended_at) if self.ended_at else None
        sensor, electronics = case.ids["sensor"], case.ids["electronics"]
        known = seats.halves(case.db, [sensor, electronics])
        pairings = seats.pairings(case.db, [sensor, electronics])
        reasons = self._of_statement(case, known[sensor]) + _of_halves(known[sensor], known[electronics])
        reasons += [
            Reason("retired", f"{words[0].upper()}{words[1:]}.", "sensor", "Look at the label and at the statement.")
            for words in seats.retired_words(case.db, until, known)
        ]
        if until and until <= at:
            reasons.append(
                Reason("wrong_form", "The pair would have ended before it began.", "ended_at", "Look at both days.")
            )
        ends = [p for p in pairings if (p.ended_at or NEVER) > at and p.paired_at < (until or NEVER)]
        reasons += self._of_earlier(case, ends, at, {sensor, electronics}, known) + reasons_of_files(case, self.files)
        decided = {
            "since": since,
            "until": write_rfc3339(self.ended_at) if self.ended_at else None,
            "type": known[sensor].type_id,
            "ends": [p.id for p in ends if p.paired_at < at],
        }
        return Decision(reasons, decided, seats.touched(case.db, [sensor, electronics]))

    def _of_statement(self, case: Case, sensor: Half) -> list[Reason]:
        reasons = []
        if case.db.execute(_named, {"name": self.pair}).first():
            reasons.append(
                Reason(
                    "already_known",
                    f"A pair called {self.pair} is in the registry.",
                    "pair",
                    "Look at it; a new statement has a new number.",
                )
            )
        grades = set(case.db.execute(_grades, {"type": sensor.type_id}).scalars())
        if self.grade not in grades:
            accepted = ", ".join(GRADES[g] for g in GRADES if g in grades)
            reasons.append(
                Reason(
                    "statement_not_accepted",
                    f"A {GRADES[self.grade]} does not prove a pair of {sensor.type_name}; accepted: {accepted}.",
                    "grade",
                    "Ask the maker for one of those, or have a keeper accept this grade.",
                )
            )
        if self.stated_on > case.now[:10]:
            reasons.append(
                Reason(
                    "in_the_future",
                    f"{say_day(self.stated_on)} has not come yet.",
                    "stated_on",
                    "Enter the date on the statement.",
                )
            )
        return reasons

    def _of_earlier(
        self, case: Case, ends: list[Pairing], at: str, both: set[str], known: dict[str, Half]
    ) -> list[Reason]:
        """What the halves are bound to already. Only a statement that says it replaces the earlier pair may end it."""
        reasons = []
        for old in ends:
            half = known[next(id_ for id_ in old.halves() if id_ in both)]
            if set(old.halves()) == both and old.ended_at is None:
                reasons.append(
                    Reason(
                        "already_paired",
                        f"They are a pair already: {old.name}, since {say_day(old.paired_at)}.",
                        "sensor",
                        "There is nothing to enter.",
                    )
                )
            elif old.paired_at >= at or old.ended_at:
                until = f" to {say(old.ended_at)}" if old.ended_at else ""
                reasons.append(
                    Reason(
                        "overlaps_history",
                        f"{half} is in pair {old.name} from {say(old.paired_at)}{until}.",
                        "paired_at",
                        "Look at the day this pair was made.",
                    )
                )
            elif not self.replaces:
                reasons.append(
                    Reason(
                        "already_paired",
                        f"{half} is in pair {old.name} since {say_day(old.paired_at)}.",
                        "sensor" if half.kind == "sensor" else "electronics",
                        "If the maker replaced its partner, say that this statement ends the earlier pair.",
                    )
                )
            else:
                reasons += _reasons_not_to_end(case, old, at)
        return reasons

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, decided = entry.body, entry.decided
        moment = entry.moment("ended", decided["since"])
        closed = [
            Close("pairing", id_, {**moment, "end_reason": f"replaced by {body['pair']}"}) for id_ in decided["ends"]
        ]
        told = {name: body[name] for name in ("grade", "statement", "stated_on")}
        halves = {
            "sensor_id": entry.ids["sensor"],
            "sensor_kind": "sensor",
            "electronics_id": entry.ids["electronics"],
            "electronics_kind": "electronics",
        }
        row = {
            "id": entry.id,
            "name": body["pair"],
            **halves,
            "unit_type_id": decided["type"],
            **told,
            **entry.moment("paired", decided["since"]),
            **ended(entry, decided["until"]),
            "end_reason": body["end_why"],
        }
        return [*closed, Add("pairing", row), *file_rows(entry, "pairing_id", entry.id, "statement")]


class EndPairing(Act, name="end_pairing", may=May.PAIR, pin=True, says="End a pair"):
    """The two halves no longer belong together: lost, scrapped, or one went back to the maker."""

    pair: PairRef = Field(title="Pair")
    why: Words = Field(title="Why")

    def decide(self, case: Case) -> Decision:
        row = case.db.execute(_one, {"id": case.ids["pair"]}).one()
        if row.ended_at:
            return Decision(
                [
                    Reason(
                        "already_so",
                        f"{row.name} ended on {say_day(row.ended_at)}: {row.end_reason}.",
                        "pair",
                        "There is nothing to end.",
                    )
                ],
                touched=row.seq,
            )
        old = Pairing(row.id, row.name, "", "", row.paired_at)
        touched = seats.touched(case.db, [row.sensor_id, row.electronics_id])
        return Decision(_reasons_not_to_end(case, old, case.at), touched=touched)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [Close("pairing", entry.ids["pair"], {**entry.moment("ended"), "end_reason": entry.body["why"]})]


def _of_halves(sensor: Half, electronics: Half) -> list[Reason]:
    reasons = []
    for half, field, want in ((sensor, "sensor", "sensor"), (electronics, "electronics", "electronics")):
        if half.kind != want:
            reasons.append(
                Reason(
                    "same_kind",
                    f"{half} is not {'a' if want == 'sensor' else 'an'} {want} half.",
                    field,
                    f"Scan the {want} half.",
                )
            )
    if sensor.type_id != electronics.type_id:
        reasons.append(
            Reason(
                "mixed_pair",
                f"{sensor} is a {sensor.type_name}, {electronics.say()} a {electronics.type_name}: the halves of a pair are of one type.",
                "electronics",
                "Look at both labels and at the statement.",
            )
        )
    return reasons


def _reasons_not_to_end(case: Case, old: Pairing, at: str) -> list[Reason]:
    if old.paired_at >= at:
        return [
            Reason(
                "overlaps_history",
                f"{old.name} is a pair since {say(old.paired_at)}; it cannot end before.",
                "happened_at",
                "Look at the day and time.",
            )
        ]
    rows = case.db.execute(_last_removed, {"id": old.id}).all()
    if rows and rows[0].removed_at is None:
        return [
            Reason(
                "pair_installed",
                f"{old.name} still sits in a bay; its pairing cannot end there.",
                "pair",
                "Enter its removal first.",
            )
        ]
    if rows and rows[0].removed_at > at:
        return [
            Reason(
                "overlaps_history",
                f"{old.name} sat in a bay until {say(rows[0].removed_at)}; it cannot end before.",
                "happened_at",
                "Look at the day and time.",
            )
        ]
    return []
