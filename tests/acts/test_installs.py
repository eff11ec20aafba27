"""Install, remove, swap: what is taken, what is refused, at which field and in which words."""

from collections.abc import Callable

import pytest

from registry.models.whereabouts import whereabouts
from tests.acts.stage import Stage
from tests.cast import World


def test_a_pair_goes_into_an_empty_bay(either: World):
    done = either.install("p1")
    assert done.entry.act == "install_pair"
    assert not done.again


def test_halves_of_different_pairs_are_refused_naming_both_partners_and_their_places(stages: Stage):
    stages.install("p1")
    told = stages.refused("install_pair", "10 09:30", bay="teasel B", sensor="p1 s", electronics="p2 e")
    assert "in Teasel, bay A, since 10 May 2026" in told["mixed_pair"]
    assert "at North shed, shelf 2" in told["mixed_pair"]


def seat(stage: Stage, sensor: str, electronics: str, bay: str = "teasel A", when: str = "10 09:00", **more) -> dict:
    return stage.sent("install_pair", when, bay=bay, sensor=sensor, electronics=electronics, **more)


def lift(stage: Stage, sensor: str, electronics: str, bay: str = "teasel A", when: str = "10 12:00", **more) -> dict:
    return stage.sent(
        "remove_pair", when, bay=bay, sensor_out=sensor, electronics_out=electronics, **{"reason": "planned", **more}
    )


def exchange(stage: Stage, out: str, into: str, bay: str = "teasel A", when: str = "10 12:00", **more) -> dict:
    halves = {
        "sensor_out": f"{out} s",
        "electronics_out": f"{out} e",
        "sensor_in": f"{into} s",
        "electronics_in": f"{into} e",
    }
    return stage.sent("swap_pairs", when, bay=bay, **(halves | more))


def _alone(stage: Stage) -> dict:
    for name, kind, part in (("lone s", "sensor", "RS-100"), ("lone e", "electronics", "RE-200")):
        stage.do(
            "receive_half",
            by="oda",
            name=name,
            kind=kind,
            unit_type="reed",
            site="shed",
            maker="Ardlune",
            part=part,
            serial=name,
        )
    return seat(stage, "lone s", "lone e", when="10 15:00")


def _former(stage: Stage) -> dict:
    stage.do("end_pairing", "9 09:00", by="oda", pair="p1", why="one half was scrapped")
    return seat(stage, "p1 s", "p1 e")


def _bay_with_p1(stage: Stage) -> None:
    stage.install("p1", when="10 09:00")


def _history(stage: Stage) -> None:
    """p1 was in Teasel A from 10:00 to 11:00."""
    stage.install("p1", when="10 10:00")
    stage.remove("p1", when="10 11:00")


def _held(what: str) -> Callable[[Stage], dict]:
    def case(stage: Stage) -> dict:
        thing = {"half": "p1 s", "pair": "p1", "vehicle": "teasel", "bay": "teasel A"}[what]
        stage.do("place_hold", "9 09:00", reason="dropped it", **{what: thing})
        return seat(stage, "p1 s", "p1 e")

    return case


def _after(do: Callable[[Stage], object], *args, **kwargs) -> Callable[[Stage], dict]:
    def case(stage: Stage) -> dict:
        do(stage)
        return seat(stage, *args, **kwargs)

    return case


def _someone_else_signed(stage: Stage) -> dict:
    done = stage.sign("yusuf", "10 08:30")
    return seat(stage, "p1 s", "p1 e", esd_signoff=done.entry.id)


REFUSED_SEATS: dict[str, tuple[Callable[[Stage], dict], dict[str, str | None]]] = {
    "halves of two pairs": (lambda stage: seat(stage, "p1 s", "p2 e"), {"mixed_pair": "electronics"}),
    "two sensor halves": (lambda stage: seat(stage, "p1 s", "p2 s"), {"same_kind": "electronics"}),
    "two electronics halves": (lambda stage: seat(stage, "p1 e", "p2 e"), {"same_kind": "sensor"}),
    "one half scanned twice": (lambda stage: seat(stage, "p1 s", "p1 s"), {"same_kind": "electronics"}),
    "a pair that has ended": (_former, {"former_pair": "sensor"}),
    "halves that no statement joins": (_alone, {"half_alone": "sensor"}),
    "halves before they were a pair": (lambda stage: seat(stage, "p1 s", "p1 e", when="2025-01-20T09:00:00Z"), {"half_alone": "sensor", "overlaps_history": "happened_at", "no_esd_signoff": "esd_signoff", "not_trained": None}),
    "a bay that holds another pair": (_after(_bay_with_p1, "p2 s", "p2 e", when="10 10:00"), {"bay_taken": "bay"}),
    "a bay that holds this very pair": (_after(_bay_with_p1, "p1 s", "p1 e", when="10 10:00"), {"bay_taken": "bay"}),
    "a pair that sits elsewhere": (_after(_bay_with_p1, "p1 s", "p1 e", "burdock A", when="10 10:00"), {"pair_installed": "sensor"}),
    "a time at which the bay was taken": (_after(_history, "p2 s", "p2 e", when="10 10:30", removed_at="2026-05-10T10:45:00Z"), {"overlaps_history": "happened_at"}),
    "no end before a later stay": (_after(_history, "p2 s", "p2 e", when="10 09:00"), {"overlaps_history": "removed_at"}),
    "an end in a later stay": (_after(_history, "p2 s", "p2 e", when="10 09:00", removed_at="2026-05-10T10:30:00Z"), {"overlaps_history": "removed_at"}),
    "no end before a later stay of its own elsewhere": (_after(_history, "p1 s", "p1 e", "burdock A", when="10 09:00"), {"overlaps_history": "removed_at"}),
    "no end though the pair ended later": (_after(lambda stage: stage.do("end_pairing", "15 09:00", by="oda", pair="p1", why="lost"), "p1 s", "p1 e"), {"pair_ended": "removed_at"}),
    "an end after the pair's own": (_after(lambda stage: stage.do("end_pairing", "15 09:00", by="oda", pair="p1", why="lost"), "p1 s", "p1 e", removed_at="2026-05-16T09:00:00Z"), {"pair_ended": "removed_at"}),
    "a type the bay does not accept": (lambda stage: seat(stage, "p4 s", "p4 e"), {"type_not_accepted": "bay"}),
    "a half on hold": (_held("half"), {"on_hold": "sensor"}),
    "a pair on hold": (_held("pair"), {"on_hold": "sensor"}),
    "a vehicle on hold": (_held("vehicle"), {"on_hold": "sensor"}),
    "a bay on hold": (_held("bay"), {"on_hold": "sensor"}),
    "no sign-off yet": (lambda stage: seat(stage, "p1 s", "p1 e", when="10 07:59"), {"no_esd_signoff": "esd_signoff"}),
    "a sign-off that has run out": (lambda stage: seat(stage, "p1 s", "p1 e", when="10 20:00"), {"no_esd_signoff": "esd_signoff"}),
    "another person's sign-off": (_someone_else_signed, {"no_esd_signoff": "esd_signoff"}),
    "a sign-off at another site": (_after(lambda stage: stage.do("move_vehicle", "9 09:00", by="piet", vehicle="teasel", site="vessel"), "p1 s", "p1 e"), {"no_esd_signoff": "esd_signoff"}),
    "a sign-off that failed": (_after(lambda stage: stage.sign("ida", "10 08:30", strap_mohm="35.0"), "p1 s", "p1 e"), {"esd_failed": "esd_signoff"}),
    "a half that is retired": (_after(lambda stage: stage.do("retire_half", "9 09:00", by="piet", half="p1 s", why="worn"), "p1 s", "p1 e"), {"retired": "sensor", "former_pair": "sensor"}),
    "a vehicle that is retired": (_after(lambda stage: stage.do("retire_vehicle", "9 09:00", by="piet", vehicle="teasel", why="sold"), "p1 s", "p1 e"), {"retired": "sensor"}),
    "a stay that ends before it begins": (lambda stage: seat(stage, "p1 s", "p1 e", removed_at="2026-05-10T08:00:00Z"), {"wrong_form": None}),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED_SEATS)
def test_a_seat_is_refused(name: str, stage: Stage):
    case, told = REFUSED_SEATS[name]
    assert stage.refusal(case(stage)) == told


def test_a_half_of_a_pair_with_a_half_of_none_is_mixed(stage: Stage):
    _alone(stage)
    told = stage.refused("install_pair", "10 15:00", bay="teasel A", sensor="p1 s", electronics="lone e")
    assert "is in no pair today" in told["mixed_pair"]


@pytest.mark.parametrize(
    "name",
    [
        "halves of two pairs",
        "halves that no statement joins",
        "a bay that holds another pair",
        "a time at which the bay was taken",
        "a half on hold",
    ],
)
def test_a_seat_is_refused_on_either_engine(name: str, stages: Stage):
    case, told = REFUSED_SEATS[name]
    assert stages.refusal(case(stages)) == told


def test_every_reason_is_told_at_once(stage: Stage):
    stage.install("p1")
    stage.do("place_hold", "9 09:00", half="p4 s", reason="wet")
    told = stage.refusal(seat(stage, "p4 s", "p2 e", when="11 09:00"), by="anselm")
    assert set(told) == {"mixed_pair", "bay_taken", "type_not_accepted", "on_hold", "no_esd_signoff", "not_allowed"}


def test_who_has_no_training_is_told_so(stage: Stage):
    stage.do("give_role", "9 09:00", by="maren", person="vera", role="technician")
    stage.do("add_person", "9 10:00", by="maren", name="nils", role="technician", private={"name": "Nils"})
    stage.sign("nils", "10 08:00")
    told = stage.refusal(seat(stage, "p1 s", "p1 e"), by="nils")
    assert told == {"esd_failed": "esd_signoff", "not_trained": None}


def _other_found(stage: Stage) -> dict:
    stage.install("p1")
    return lift(stage, "p2 s", "p2 e")


def _already_out(stage: Stage) -> dict:
    _history(stage)
    return lift(stage, "p1 s", "p1 e", when="10 10:30")


def _before_it_went_in(stage: Stage) -> dict:
    stage.install("p1")
    return lift(stage, "p1 s", "p1 e", when="10 09:00")


def _elsewhere(stage: Stage) -> dict:
    stage.install("p1", "teasel B")
    return lift(stage, "p1 s", "p1 e")


REFUSED_LIFTS: dict[str, tuple[Callable[[Stage], dict], dict[str, str | None]]] = {
    "an empty bay": (lambda stage: lift(stage, "p1 s", "p1 e"), {"not_installed": "bay"}),
    "a pair that was taken out since": (_already_out, {"not_installed": "bay"}),
    "a pair that sits in another bay": (_elsewhere, {"not_installed": "bay"}),
    "a pair before it went in": (_before_it_went_in, {"overlaps_history": "happened_at"}),
    "another pair than recorded": (_other_found, {"found_other": "sensor_out"}),
    "no sign-off": (lambda stage: (stage.install("p1"), lift(stage, "p1 s", "p1 e", when="10 21:00"))[1], {"no_esd_signoff": "esd_signoff"}),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED_LIFTS)
def test_a_removal_is_refused(name: str, stage: Stage):
    case, told = REFUSED_LIFTS[name]
    assert stage.refusal(case(stage)) == told


@pytest.mark.parametrize("name", ["an empty bay", "a pair that sits in another bay"])
def test_a_removal_that_is_refused_says_where_the_halves_are(name: str, stage: Stage):
    case, _told = REFUSED_LIFTS[name]
    reason = stage.answer(case(stage)).reasons[0]
    assert ("Teasel, bay B" if "another" in name else "at North shed, shelf 2") in reason.message
    assert reason.offer.act == "record_sighting"


def test_a_swap_is_refused_for_what_goes_in_and_for_what_comes_out_at_once(stage: Stage):
    stage.install("p1")
    stage.do("place_hold", "9 09:00", half="p3 s", reason="wet")
    told = stage.refusal(exchange(stage, "p2", "p3", electronics_in="p2 e"))
    assert set(told) == {"found_other", "mixed_pair", "on_hold"}
    assert told["mixed_pair"] == "electronics_in"


def test_a_swap_of_a_pair_with_itself_is_refused(stage: Stage):
    stage.install("p1")
    assert "already_so" in stage.refusal(exchange(stage, "p1", "p1"))


def test_the_old_pair_cannot_come_out_after_the_new_one_went_in(stage: Stage):
    stage.install("p1")
    assert stage.refusal(exchange(stage, "p1", "p2", removed_at="2026-05-10T12:01:00Z")) == {"wrong_form": None}


def test_who_lifted_it_must_have_been_allowed_to(stage: Stage):
    stage.install("p1")
    told = stage.refusal(exchange(stage, "p1", "p2", removed_by="anselm"))
    assert told == {"not_allowed": None}


def test_a_swap_leaves_two_spans_a_removal_and_the_halves_at_the_vehicles_site(stages: Stage):
    stages.install("p1")
    done = stages.swap(
        "p1", "p2", when="10 12:00", removed_at="2026-05-10T11:00:00Z", removed_by="yusuf", reason="repair"
    )
    out, into = (stages.row("installation_span", pairing_id=pair) for pair in ("p1", "p2"))
    assert (out.removed_at, out.closed_by, out.closed_seq) == (
        "2026-05-10T11:00:00.000000Z",
        done.entry.id,
        done.entry.seq,
    )
    assert (into.installed_at, into.removed_at, into.seq) == ("2026-05-10T12:00:00.000000Z", None, done.entry.seq)
    removal = stages.row("removal", act_id=done.entry.id)
    assert (removal.reason, removal.condition, removal.installation_id) == ("repair", "sound", out.installation_id)
    half = stages.ids["p1 s"]
    place = whereabouts(stages.db, [half], "2026-05-20T12:00:00.000000Z")[half]
    assert (place.site_id, place.since_at) == (stages.ids["shed"], "2026-05-10T11:00:00.000000Z")
    assert stages.unlike() == []


def test_a_stay_that_is_over_is_entered_whole(stages: Stage):
    done = stages.install("p1", when="10 09:00", removed_at="2026-05-10T13:00:00+02:00")
    span = stages.row("installation_span", pairing_id="p1")
    assert (span.installed_at, span.removed_at, span.removed_offset_min) == (
        "2026-05-10T09:00:00.000000Z",
        "2026-05-10T11:00:00.000000Z",
        120,
    )
    assert span.seq == span.closed_seq == done.entry.seq
    assert stages.unlike() == []


@pytest.mark.parametrize("condition", ["suspect", "wet", "knocked"])
def test_what_came_out_unsound_is_on_hold(condition: str, stage: Stage):
    stage.install("p1")
    stage.remove("p1", when="10 12:00", condition=condition, words="heard it hum")
    hold = stage.row("hold", pairing_id="p1")
    assert hold.cause == condition
    assert "heard it hum" in hold.reason
    assert "on_hold" in stage.refusal(seat(stage, "p1 s", "p1 e", when="10 13:00"))


def test_what_came_out_sound_is_not_on_hold(stage: Stage):
    stage.install("p1")
    stage.remove("p1", when="10 12:00")
    assert stage.rows("hold") == []


def test_lifted_and_none_seated_is_a_state(stage: Stage):
    stage.install("p1")
    done = stage.remove("p1", when="10 12:00", seat_follows=True)
    assert stage.row("removal", act_id=done.entry.id).seat_follows == 1


def test_a_numbered_copy_of_a_label_is_no_evidence_of_place(stage: Stage):
    code = stage.row("half", id="p1 s").code
    told = stage.refusal(seat(stage, f"HTTPS://PAIRBOOK.EXAMPLE/I/{code}/2", "p1 e"))
    assert told == {"copy_label": "sensor"}
    stage.send(seat(stage, f"HTTPS://PAIRBOOK.EXAMPLE/I/{code}", "p1 e"))


SECONDS = {
    "has not signed": ({"second": "oda"}, None, "ida"),
    "is who did it": ({"second": "ida"}, "ida", "ida"),
    "is who enters it": ({"second": "oda", "done_by": "ida"}, "oda", "oda"),
    "held no role that day": ({"second": "nobody"}, "nobody", "ida"),
}


@pytest.mark.parametrize("name", SECONDS)
def test_a_second_person_who(name: str, stage: Stage):
    stage.do("add_person", "9 09:00", by="maren", name="nobody", private={"name": "Nobody"})
    fields, signed, by = SECONDS[name]
    assert stage.refusal(seat(stage, "p1 s", "p1 e", **fields), by=by, second=signed) == {
        "needs_second_person": "second"
    }


def test_a_second_person_who_signed_stands_in_the_entry(stage: Stage):
    done = stage.send(seat(stage, "p1 s", "p1 e", second="oda"), by="ida", second="oda")
    assert done.entry.second == stage.ids["oda"]
    assert stage.row("log_entry", seq=done.entry.seq).second_id == stage.ids["oda"]


def test_who_enters_for_another_must_be_allowed_to_themselves(stage: Stage):
    assert stage.refusal(seat(stage, "p1 s", "p1 e", done_by="ida"), by="anselm") == {"not_allowed": None}
    done = stage.send(seat(stage, "p1 s", "p1 e", done_by="ida"), by="piet")
    assert (done.entry.by, done.entry.done_by) == (stage.ids["piet"], stage.ids["ida"])


def test_a_page_that_is_older_than_what_it_shows_is_stale(stage: Stage):
    before = stage.size()
    stage.install("p1")
    assert stage.refusal(lift(stage, "p1 s", "p1 e", seen=before)) == {"stale": None}
    stage.send(lift(stage, "p1 s", "p1 e", seen=stage.size()))


@pytest.mark.parametrize("act", ["install_pair", "swap_pairs"])
def test_halves_scanned_into_each_others_field_are_seated_all_the_same(act: str, stages: Stage):
    """A phone scans in any order, and the halves say themselves which is which."""
    stages.install("p1", "teasel B")
    suffix, bay = ("", "teasel A") if act == "install_pair" else ("_in", "teasel B")
    fields = {f"sensor{suffix}": "p2 e", f"electronics{suffix}": "p2 s"}
    out = {"sensor_out": "p1 e", "electronics_out": "p1 s"} if suffix else {}
    stages.do(act, "10 11:00", bay=bay, **fields, **out)
    span = stages.row("installation_span", pairing_id="p2")
    assert (span.sensor_id, span.electronics_id) == (stages.ids["p2 s"], stages.ids["p2 e"])
    assert stages.unlike() == []
