"""Acts in any order, late, amended, repeated, re-paired and held, against a plain model of what they should come to.

The model knows stays, pairs and holds as lists of dicts, and the rules in a few lines each. After every act it must
agree whether the act was taken; after every run the tables are the fold of the log, the stays are the model's, and
where everything was, as known at any size of the log, is what the log up to there says.
"""

from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from registry.acts.fold import fold
from registry.errors import Refused
from registry.models.whereabouts import whereabouts
from tests.acts.stage import Stage, staged
from tests.bounds import rounds

NEVER = 10**6
BAYS = ("teasel A", "teasel B", "burdock A")
PAIRS = ("p1", "p2", "p3")
HALVES = [f"{pair} {half}" for pair in PAIRS for half in "se"]
#: Instants are quarters of a day from 1 May on; few, so that acts collide.
SLOTS = st.integers(0, 32)


def clock(slot: int) -> str:
    return f"2026-05-{1 + slot // 4:02d}T{slot % 4 * 6:02d}:00:00Z"


def stamp(slot: int) -> str:
    return clock(slot).replace("Z", ".000000Z")


class Acts(RuleBasedStateMachine):
    """What three technicians, a workshop lead and an authority might send."""

    theatre: Any = None

    def __init__(self) -> None:
        super().__init__()
        self.connection = self.theatre.database._writer.connect()
        self.whole = self.connection.begin()
        self.stage: Stage = staged(self.theatre, self.connection)
        self.first = self.stage.size()
        self.pairs = {name: {"halves": (f"{name} s", f"{name} e"), "since": -NEVER, "until": NEVER} for name in PAIRS}
        self.stays: list[dict[str, Any]] = []
        self.holds: list[dict[str, Any]] = []
        self.sent: list[tuple[dict[str, Any], str, str]] = []

    def teardown(self) -> None:
        try:
            self._agree()
        finally:
            self.whole.rollback()
            self.connection.close()

    # the model's rules

    def _clash(self, stay: dict[str, Any], leaving: dict[str, Any] | None = None) -> bool:
        """Whether a stay would share a bay or a half with another for any time."""
        for other in self.stays:
            shared = other["bay"] == stay["bay"] or set(self.pairs[other["pair"]]["halves"]) & set(
                self.pairs[stay["pair"]]["halves"]
            )
            if other is not leaving and shared and stay["since"] < other["until"] and other["since"] < stay["until"]:
                return True
        return False

    def _holds_for(self, pair: str, since: int, until: int) -> bool:
        life = self.pairs[pair]
        return life["since"] <= since < life["until"] and until <= life["until"]

    def _held(self, things: set[str], slot: int) -> bool:
        return any(hold["on"] in things and hold["since"] <= slot < hold["until"] for hold in self.holds)

    def _things(self, pair: str, bay: str) -> set[str]:
        return {*self.pairs[pair]["halves"], bay, bay.split()[0]}

    def _newest(self, bay: str, slot: int) -> dict[str, Any] | None:
        begun = [stay for stay in self.stays if stay["bay"] == bay and stay["since"] <= slot]
        return max(begun, key=lambda stay: stay["since"], default=None)

    def _may_end(self, pair: str, slot: int) -> bool:
        """A pair ends after it was made and after it came out of its last bay."""
        mine = [stay for stay in self.stays if stay["pair"] == pair]
        last = max(mine, key=lambda stay: stay["since"], default=None)
        return self.pairs[pair]["since"] < slot and (last is None or last["until"] <= slot)

    # acts

    def _act(self, act: str, slot: int, taken: bool, by: str = "ida", **fields: Any) -> str | None:
        """Send it; its id when it was taken. The model said beforehand whether it would be."""
        sent = self.stage.sent(act, clock(slot), **fields)
        try:
            done = self.stage.send(sent, by)
        except Refused as refused:
            assert not taken, f"the model takes {act} at {clock(slot)}: {refused}"
            return None
        assert taken, f"the model refuses {act} at {clock(slot)}: {fields}"
        self.sent.append((sent, by, done.entry.id))
        return done.entry.id

    def _halves(self, pair: str, suffix: str = "") -> dict[str, str]:
        sensor, electronics = self.pairs[pair]["halves"]
        return {f"sensor{suffix}": sensor, f"electronics{suffix}": electronics}

    def _whole_at(self, slot: int) -> list[str]:
        return [name for name, life in self.pairs.items() if life["since"] <= slot < life["until"]]

    def _likely(self, slot: int) -> st.SearchStrategy[str | None]:
        """A pair that holds at that time, more often one that sits nowhere."""
        whole = self._whole_at(slot)
        seated = {
            half
            for stay in self.stays
            if stay["since"] <= slot < stay["until"]
            for half in self.pairs[stay["pair"]]["halves"]
        }
        free = [pair for pair in whole if not seated & set(self.pairs[pair]["halves"])]
        return st.sampled_from(free * 3 + whole or [None])

    @initialize()
    def begin(self) -> None:
        """The outfit is furnished."""

    @rule(data=st.data(), bay=st.sampled_from(BAYS), since=SLOTS, length=st.sampled_from([None, None, None, 1, 4, 12]))
    def install(self, data: st.DataObject, bay: str, since: int, length: int | None) -> None:
        until = None if length is None else since + length
        pair = data.draw(self._likely(since))
        if pair is None:
            return
        stay = {"pair": pair, "bay": bay, "since": since, "until": NEVER if until is None else until}
        taken = (
            self._holds_for(pair, since, stay["until"])
            and not self._clash(stay)
            and not self._held(self._things(pair, bay), since)
        )
        more = {} if until is None else {"removed_at": clock(until)}
        if id_ := self._act("install_pair", since, taken, bay=bay, **self._halves(pair), **more):
            self.stays.append(stay | {"opened": id_, "closed": None if until is None else id_})

    @precondition(lambda self: self.stays)
    @rule(bay=st.sampled_from(BAYS), since=SLOTS, one=st.sampled_from(PAIRS), other=st.sampled_from(PAIRS))
    def install_mixed(self, bay: str, since: int, one: str, other: str) -> None:
        """Two halves that no pair joins at that time: of two pairs, of a pair that has ended, of none any more."""
        halves = (f"{one} s", f"{other} e")
        if not any(self.pairs[name]["halves"] == halves for name in self._whole_at(since)):
            self._act("install_pair", since, False, bay=bay, sensor=halves[0], electronics=halves[1])

    def _some(self, data: st.DataObject) -> tuple[str, int]:
        """A bay and an instant at which something may come out of it: mostly soon after it went in."""
        begun = [stay for stay in self.stays if stay["until"] == NEVER] or self.stays
        if not begun or data.draw(st.integers(0, 9)) == 9:
            return data.draw(st.sampled_from(BAYS)), data.draw(SLOTS)
        stay = data.draw(st.sampled_from(begun))
        return stay["bay"], max(0, min(40, stay["since"] + data.draw(st.sampled_from([2, 1, 4, 7, 12, 0, -1]))))

    @precondition(lambda self: any(stay["until"] == NEVER for stay in self.stays))
    @rule(data=st.data())
    def remove(self, data: st.DataObject) -> None:
        bay, slot = self._some(data)
        stay = self._newest(bay, slot)
        pair = stay["pair"] if stay else data.draw(st.sampled_from(list(PAIRS)))
        taken = stay is not None and stay["until"] == NEVER and stay["since"] < slot
        if id_ := self._act("remove_pair", slot, taken, bay=bay, reason="planned", **self._halves(pair, "_out")):
            stay |= {"until": slot, "closed": id_}

    @precondition(lambda self: any(stay["until"] == NEVER for stay in self.stays))
    @rule(data=st.data(), earlier=st.integers(0, 2))
    def swap(self, data: st.DataObject, earlier: int) -> None:
        bay, slot = self._some(data)
        into = data.draw(self._likely(slot))
        out_at = max(0, slot - earlier)
        leaving = self._newest(bay, out_at)
        if not into or leaving is None:
            return
        stay = {"pair": into, "bay": bay, "since": slot, "until": NEVER}
        lifted = leaving["until"] == NEVER and leaving["since"] < out_at
        seated = (
            self._holds_for(into, slot, NEVER)
            and not self._clash(stay, leaving)
            and not self._held(self._things(into, bay), slot)
        )
        taken = lifted and seated and into != leaving["pair"]
        halves = self._halves(leaving["pair"], "_out") | self._halves(into, "_in")
        if id_ := self._act("swap_pairs", slot, taken, bay=bay, removed_at=clock(out_at), **halves):
            leaving |= {"until": out_at, "closed": id_}
            self.stays.append(stay | {"opened": id_, "closed": None})

    @precondition(lambda self: self.stays)
    @rule(data=st.data(), by=st.sampled_from([1, -1, 2, -3, 5]), end=st.booleans())
    def amend(self, data: st.DataObject, by: int, end: bool) -> None:
        stay = data.draw(st.sampled_from(self.stays))
        if end and not stay["closed"]:
            return
        slot = max(0, (stay["until"] if end else stay["since"]) + by)
        again = stay | ({"until": slot} if end else {"since": slot})
        taken = (
            again["since"] < again["until"]
            and self._holds_for(
                stay["pair"],
                again["since"],
                self.pairs[stay["pair"]]["until"] if again["until"] == NEVER else again["until"],
            )
            and not self._clash(again, stay)
        )
        change = {
            "act": stay["closed"] if end else stay["opened"],
            "instant": "removed" if end else "installed",
            "at": clock(slot),
        }
        if self._act("amend_times", 44, taken, by="oda", changes=[change], why="read the clock wrong"):
            stay |= again

    @precondition(lambda self: len(self.pairs) < 6 and self.stays)
    @rule(
        sensor=st.sampled_from(PAIRS),
        electronics=st.sampled_from(PAIRS),
        slot=SLOTS,
        replaces=st.sampled_from([True, True, False]),
    )
    def pair_again(self, sensor: str, electronics: str, slot: int, replaces: bool) -> None:
        halves = (f"{sensor} s", f"{electronics} e")
        bound = [
            name for name, life in self.pairs.items() if set(life["halves"]) & set(halves) and life["until"] > slot
        ]
        lawful = all(
            self.pairs[name]["halves"] != halves
            and self.pairs[name]["until"] == NEVER
            and replaces
            and self._may_end(name, slot)
            for name in bound
        )
        name = f"n{len(self.pairs)}"
        fields = {
            "grade": "calibration_sheet",
            "statement": name,
            "stated_on": "2026-05-01",
            "paired_at": clock(slot),
            "replaces": replaces,
        }
        if id_ := self._act(
            "record_pairing",
            44,
            lawful,
            by="oda",
            pair=f"again {name}",
            sensor=halves[0],
            electronics=halves[1],
            **fields,
        ):
            self.stage.ids[name] = id_
            for ended in bound:
                self.pairs[ended]["until"] = slot
            self.pairs[name] = {"halves": halves, "since": slot, "until": NEVER}

    @precondition(lambda self: sum(life["until"] == NEVER for life in self.pairs.values()) > 2 and len(self.stays) > 2)
    @rule(data=st.data(), slot=SLOTS)
    def end_pair(self, data: st.DataObject, slot: int) -> None:
        pair = data.draw(st.sampled_from(sorted(self.pairs)))
        taken = self.pairs[pair]["until"] == NEVER and self._may_end(pair, slot)
        if self._act("end_pairing", slot, taken, by="oda", pair=pair, why="lost"):
            self.pairs[pair]["until"] = slot

    @precondition(lambda self: len(self.holds) < 2 and self.stays)
    @rule(slot=SLOTS, on=st.sampled_from([*HALVES, *BAYS, "teasel", "burdock"]))
    def hold(self, slot: int, on: str) -> None:
        kind = "half" if on in HALVES else "bay" if on in BAYS else "vehicle"
        if id_ := self._act("place_hold", slot, True, reason="looked odd", **{kind: on}):
            self.holds.append({"id": id_, "on": on, "since": slot, "until": NEVER})

    @precondition(lambda self: any(hold["until"] == NEVER for hold in self.holds))
    @rule(data=st.data(), slot=SLOTS)
    def release(self, data: st.DataObject, slot: int) -> None:
        hold = data.draw(st.sampled_from(self.holds))
        taken = hold["until"] == NEVER and hold["since"] < slot
        if self._act("release_hold", slot, taken, by="rosa", hold=hold["id"], reason="fine", evidence="seen"):
            hold["until"] = slot

    @precondition(lambda self: self.sent)
    @rule(data=st.data())
    def send_again(self, data: st.DataObject) -> None:
        """Whatever was taken may come again at any time; it acts once."""
        sent, by, id_ = data.draw(st.sampled_from(self.sent))
        before = self.stage.size()
        done = self.stage.send(sent, by)
        assert (done.again, done.entry.id, self.stage.size()) == (True, id_, before)

    # what must hold

    @invariant()
    def one_entry_an_act(self) -> None:
        assert self.stage.size() == self.first + len(self.sent)

    def _agree(self) -> None:
        assert self.stage.unlike() == []
        rows = [row for row in self.stage.rows("installation_span") if row.voided_seq is None]
        names = {id_: name for name, id_ in self.stage.ids.items()}
        found = sorted(
            (names[row.bay_id], row.installed_at, row.removed_at or "", names[row.pairing_id]) for row in rows
        )
        assert found == sorted(
            (stay["bay"], stamp(stay["since"]), "" if stay["until"] == NEVER else stamp(stay["until"]), stay["pair"])
            for stay in self.stays
        )
        entries = self.stage.entries()
        for known in {self.first, (self.first + len(entries)) // 2, len(entries)}:
            folded = fold(entries[:known])
            for slot in (3, 17, 29, 41):
                told = whereabouts(self.connection, [self.stage.ids[half] for half in HALVES], stamp(slot), known)
                assert {half: place.bay_id for half, place in told.items()} == {
                    self.stage.ids[half]: _bay_of(folded, self.stage.ids[half], stamp(slot)) for half in HALVES
                }


def _bay_of(folded: dict[str, dict[str, Any]], half: str, at: str) -> str | None:
    """The bay a half sat in at an instant, read off a fold of the log."""
    mine = [
        row
        for row in folded["installation_span"].values()
        if half in (row["sensor_id"], row["electronics_id"]) and row["voided_seq"] is None
    ]
    there = [
        row["bay_id"]
        for row in mine
        if row["installed_at"] <= at and (row["removed_at"] is None or row["removed_at"] > at)
    ]
    assert len(there) <= 1
    return there[0] if there else None


QUICK = settings(
    max_examples=20, stateful_step_count=30, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck)
)
LONG = settings(QUICK, max_examples=rounds(150), stateful_step_count=50, derandomize=False)
#: A statement costs several times as much there.
LONG_ON_POSTGRESQL = settings(LONG, max_examples=rounds(50))
PROFILES = [
    pytest.param("sqlite", QUICK, id="sqlite"),
    pytest.param("sqlite", LONG, id="sqlite, long", marks=pytest.mark.long),
    pytest.param(
        "postgresql", LONG_ON_POSTGRESQL, id="postgresql, long", marks=[pytest.mark.long, pytest.mark.postgres]
    ),
]


@pytest.mark.parametrize(("engine", "profile"), PROFILES)
def test_whatever_is_sent_the_record_is_what_the_model_says(engine: str, profile: settings, request):
    theatre = request.getfixturevalue(f"signed_on_{engine}")
    run_state_machine_as_test(type("ActsOnStage", (Acts,), {"theatre": theatre}), settings=profile)
