"""Install, remove, swap: the acts that put pairs into bays and take them out again."""

from pydantic import Field, model_validator

from registry.acts.act import Case, Decision, Deed
from registry.acts.authority import roles_of
from registry.acts.entry import Effect, Entry
from registry.acts.settings_facts import remarks_of_file
from registry.acts.shapes import BayRef, PersonRef, SeatedHalfRef, SignoffRef, When, Words, one_from, wrong
from registry.acts.stays import lift, lifted, put_in, reasons_in_order, removal, seat_facts, seated, seen_after
from registry.domain.installs import CONDITIONS, REMOVAL_REASONS
from registry.domain.people import May, reasons_not_allowed, roles_at
from registry.domain.times import say, stamp, write_rfc3339
from registry.errors import Reason

_SEATED = "Scan the label on the part, in place."


class InstallPair(Deed, name="install_pair", may=May.INSTALL, pin=True, says="Install a pair"):
    """Put both halves of one pair into an empty bay. A late stay may be entered whole, with its end."""

    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    sensor: SeatedHalfRef = Field(title="Sensor half", description=_SEATED)
    electronics: SeatedHalfRef = Field(title="Electronics half", description=_SEATED)
    esd_signoff: SignoffRef | None = Field(
        None, title="ESD sign-off", description="Your last one, if you leave it empty."
    )
    removed_at: When | None = Field(
        None, title="Came out again at", description="Only for a stay that is over and is entered late."
    )

    @model_validator(mode="after")
    def _ends_after_it_begins(self) -> "InstallPair":
        if self.removed_at and self.removed_at <= self.happened_at:
            raise wrong("A pair cannot have come out before it went in.")
        return self

    def decide(self, case: Case) -> Decision:
        until = stamp(self.removed_at) if self.removed_at else None
        facts, row = seat_facts(
            case,
            case.ids["bay"],
            case.ids["sensor"],
            case.ids["electronics"],
            until=until,
            named=case.ids.get("esd_signoff"),
        )
        return seated(case, facts, row, {"until": write_rfc3339(self.removed_at) if self.removed_at else None})

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        until = entry.decided["until"]
        over = [removal(entry, entry.derived("installation"), "other", "sound")] if until else []
        return [*put_in(entry, until), *over]


class RemovePair(Deed, name="remove_pair", may=May.INSTALL, pin=True, says="Remove a pair"):
    """Take the pair out of a bay. Both halves are named, so that what is in hand is what the record ends."""

    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    sensor_out: SeatedHalfRef = Field(title="Sensor half", description="Scan the label on the part in hand.")
    electronics_out: SeatedHalfRef = Field(title="Electronics half", description="Scan the label on the part in hand.")
    reason: one_from(REMOVAL_REASONS) = Field(title="Reason")
    condition: one_from(CONDITIONS) = Field("sound", title="State of what came out")
    seat_follows: bool = Field(
        False, title="Another pair follows", description="The bay waits for it: lifted, none seated."
    )
    words: Words | None = Field(None, title="In your words")
    esd_signoff: SignoffRef | None = Field(
        None, title="ESD sign-off", description="Your last one, if you leave it empty."
    )

    def decide(self, case: Case) -> Decision:
        stay, reasons, decided, row = lift(
            case, case.ids["bay"], case.ids["sensor_out"], case.ids["electronics_out"], case.at
        )
        reasons = reasons + reasons_in_order(case, row.site_id, case.ids.get("esd_signoff"))
        if stay is None:
            return Decision(reasons, decided)
        remarks = seen_after(case, stay, case.at) + remarks_of_file(case, stay, decided.get("installation"))
        return Decision(reasons, decided, stay.seq, remarks, [("pairing_id", stay.pairing_id)])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return lifted(entry, entry.happened_at, follows=entry.body["seat_follows"])


class SwapPairs(Deed, name="swap_pairs", may=May.INSTALL, pin=True, says="Swap pairs"):
    """One pair out, another in. Out and in have their own instants and may have their own people."""

    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    sensor_out: SeatedHalfRef = Field(title="Sensor half out", description="Scan the label on the part in hand.")
    electronics_out: SeatedHalfRef = Field(
        title="Electronics half out", description="Scan the label on the part in hand."
    )
    removed_at: When | None = Field(None, title="Lifted at", description="When the old pair came out, if earlier.")
    removed_by: PersonRef | None = Field(None, title="Lifted by", description="If it was somebody else.")
    reason: one_from(REMOVAL_REASONS) = Field("planned", title="Reason")
    condition: one_from(CONDITIONS) = Field("sound", title="State of what came out")
    words: Words | None = Field(None, title="In your words")
    sensor_in: SeatedHalfRef = Field(title="Sensor half in", description=_SEATED)
    electronics_in: SeatedHalfRef = Field(title="Electronics half in", description=_SEATED)
    esd_signoff: SignoffRef | None = Field(
        None, title="ESD sign-off", description="Your last one, if you leave it empty."
    )

    @model_validator(mode="after")
    def _out_before_in(self) -> "SwapPairs":
        if self.removed_at and self.removed_at > self.happened_at:
            raise wrong("The old pair came out before the new one went in: look at both instants.")
        return self

    def decide(self, case: Case) -> Decision:
        ids = case.ids
        out_at = stamp(self.removed_at) if self.removed_at else case.at
        stay, reasons, decided, _row = lift(case, ids["bay"], ids["sensor_out"], ids["electronics_out"], out_at)
        if ids.get("removed_by"):
            held = roles_at(roles_of(case, ids["removed_by"]), out_at)
            reasons = reasons + reasons_not_allowed("who lifted it", self.may, held, out_at, "remove a pair")
        facts, row = seat_facts(
            case, ids["bay"], ids["sensor_in"], ids["electronics_in"], named=ids.get("esd_signoff"),
            leaving=stay.id if stay else None, fields=("sensor_in", "electronics_in"),
        )  # fmt: skip
        if stay and {ids["sensor_in"], ids["electronics_in"]} == {stay.sensor_id, stay.electronics_id}:
            reasons = [
                *reasons,
                Reason(
                    "already_so",
                    f"{stay.pair} is in {stay.bay} since {say(stay.installed_at)} (entry {stay.seq:,}); it cannot go in again.",
                    "sensor_in",
                    "If this swap was entered before, there is nothing to enter. If you found another pair there, enter its "
                    "removal as you found it, and then the install.",
                ),
            ]
        seat = seated(case, facts, row, {"out_at": write_rfc3339(self.removed_at or self.happened_at), **decided})
        return Decision(
            reasons + seat.reasons,
            seat.decided,
            max(seat.touched, stay.seq if stay else 0),
            seat.remarks
            + (seen_after(case, stay, out_at) if stay else [])
            + remarks_of_file(case, stay, decided.get("installation")),
            seat.hold_on,
        )

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        out = lifted(entry, entry.decided["out_at"])
        return [*out, *put_in(entry)]
