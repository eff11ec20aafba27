"""People: founding, joining, roles from when to when, training, leaving; names stay outside the log."""

import pytest

from registry.acts.entry import read
from registry.acts.fold import compare, fold
from registry.acts.log import rows
from tests.acts.stage import Stage
from tests.cast import ROLES, World


def test_a_registry_begins_with_its_outfit_and_its_first_keeper(empty: World):
    sent = empty.sent("found_outfit", "2025-01-02T08:00:00Z", outfit="Test Shed", origin="Q", private={"name": "Maren"})
    empty.ids["maren"] = empty.new_id()
    done = empty.send(sent, by="maren")
    assert (done.entry.seq, done.entry.origin, done.entry.decided["code"][0]) == (1, "Q", "Q")
    with empty.database.reading() as db:
        assert list(compare(db, fold(read(stored.raw) for stored in rows(db)))) == []
    empty.do("add_site", "2025-01-02T09:00:00Z", by="maren", site="Shed", kind="shore")


def test_a_registry_is_founded_once(stage: Stage):
    sent = stage.sent("found_outfit", "10 09:00", outfit="Other", private={"name": "Other"})
    assert stage.refusal(sent, "maren") == {"already_known": None}


@pytest.mark.parametrize("origin", ["I", "KK", "k", "-"])
def test_an_outfit_whose_letter_cannot_begin_a_code_is_refused(origin: str, empty: World):
    empty.ids["maren"] = empty.new_id()
    told = empty.refused(
        "found_outfit", "2025-01-02T08:00:00Z", by="maren", outfit="Test Shed", origin=origin, private={"name": "Maren"}
    )
    assert set(told) == {"wrong_form"}


REFUSED = {
    "a name that is taken": ("add_person", "10 09:00", "maren", {"private": {"name": "Ida"}}, {"already_known": "private.name"}),
    "a role that is held": ("give_role", "10 09:00", "maren", {"person": "ida", "role": "technician"}, {"already_so": "role"}),
    "a role that is not held": ("end_role", "10 09:00", "maren", {"person": "ida", "role": "keeper"}, {"already_so": "role"}),
    "a role ended before it was given": ("end_role", "2025-01-01T09:00:00Z", "maren", {"person": "ida", "role": "technician"}, {"overlaps_history": "happened_at"}),
    "a role nobody knows": ("give_role", "10 09:00", "maren", {"person": "ida", "role": "captain"}, {"wrong_form": "role"}),
    "training that is still to come": ("record_training", "10 09:00", "maren", {"person": "ida", "subject": "esd", "trained_on": "2026-05-21"}, {"in_the_future": "trained_on"}),
    "training good to before it was had": ("record_training", "10 09:00", "maren", {"person": "ida", "subject": "esd", "trained_on": "2026-05-02", "good_to_on": "2026-05-02"}, {"wrong_form": "good_to_on"}),
    "leaving by oneself": ("record_departure", "10 09:00", "maren", {"person": "maren"}, {"own_work": "person"}),
    "leaving before one came": ("record_departure", "2025-01-01T09:00:00Z", "maren", {"person": "ida"}, {"overlaps_history": "happened_at"}),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_refused(name: str, stage: Stage):
    act, when, by, fields, told = REFUSED[name]
    assert stage.refusal(stage.sent(act, when, **fields), by) == told


def test_who_has_left_gets_no_role_and_leaves_once(stage: Stage):
    stage.do("record_departure", "10 09:00", by="maren", person="ida")
    assert stage.refusal(stage.sent("give_role", "11 09:00", person="ida", role="auditor"), "maren") == {
        "already_so": "person"
    }
    assert stage.refusal(stage.sent("record_departure", "11 09:00", person="ida"), "maren") == {"already_so": "person"}


def test_leaving_ends_every_role_and_the_account_but_no_signature(stages: Stage):
    stages.install("p1", when="10 09:00")
    done = stages.do("record_departure", "12 09:00", by="maren", person="ida")
    assert {(row.ended_at, row.closed_seq) for row in stages.rows("person_role", person_id="ida")} == {
        ("2026-05-12T09:00:00.000000Z", done.entry.seq)
    }
    assert "not_signed_in" in stages.refusal(stages.sent("note_fault", "10 10:00", half="p1 s", words="late"), "ida")
    # What she did while she was here can still be entered by another, judged by its day.
    stages.remove("p1", when="10 15:00", by="oda", done_by="ida")
    assert stages.unlike() == []


def test_somebody_who_leaves_tomorrow_signs_today(stage: Stage):
    stage.now = stage.now.replace(hour=13)
    stage.do("record_departure", "2026-05-20T13:04:00Z", by="maren", person="ida")
    stage.do("note_fault", "20 12:59", half="p1 s", words="last day")


def test_names_are_kept_outside_the_log(stage: Stage):
    done = stage.do(
        "add_person",
        "10 09:00",
        by="maren",
        name="lise",
        role="technician",
        private={"name": "Lise Unheard-of", "badge": "B-17"},
    )
    assert (
        stage.row("person_private", person_id="lise").name,
        stage.row("person_private", person_id="lise").badge,
    ) == ("Lise Unheard-of", "B-17")
    raw = bytes(stage.row("log_entry", seq=done.entry.seq).entry)
    assert b"Unheard" not in raw
    assert b"B-17" not in raw


def test_a_name_changes_without_a_row_of_the_fold(stage: Stage):
    stage.do("rename_person", "10 09:00", by="maren", person="ida", private={"name": "Ida Two"})
    assert stage.row("person_private", person_id="ida").name == "Ida Two"
    assert stage.unlike() == []


def test_a_name_is_needed(stage: Stage):
    assert stage.refusal(stage.sent("add_person", role="auditor"), "maren") == {"missing_field": "private.name"}


def test_training_is_good_for_a_year_unless_the_plan_says_otherwise(stage: Stage):
    usual = stage.do("record_training", "10 09:00", by="maren", person="ida", subject="fibre", trained_on="2026-02-28")
    planned = stage.do(
        "record_training",
        "10 09:00",
        by="maren",
        person="ida",
        subject="fibre",
        trained_on="2026-02-28",
        good_to_on="2026-08-31",
    )
    assert [stage.row("training", id=done.entry.id).good_to_on for done in (usual, planned)] == [
        "2027-02-28",
        "2026-08-31",
    ]


def test_a_role_may_be_given_ended_and_given_again(stages: Stage):
    stages.do("end_role", "10 09:00", by="maren", person="ida", role="technician")
    stages.do("give_role", "12 09:00", by="maren", person="ida", role="technician")
    assert [row.ended_at for row in sorted(stages.rows("person_role", person_id="ida"), key=lambda row: row.seq)] == [
        "2026-05-10T09:00:00.000000Z",
        None,
    ]
    # Between the two she was no technician, whenever the deed is entered.
    told = stages.refused("install_pair", "11 09:00", bay="teasel A", sensor="p1 s", electronics="p1 e")
    assert "not_allowed" in told
    assert "held no role" in told["not_allowed"]


def test_the_cast_has_every_role():
    assert {role for roles in ROLES.values() for role in roles} == {
        "keeper",
        "workshop_lead",
        "technician",
        "fleet_manager",
        "release_authority",
        "auditor",
        "verifier",
    }


FIRSTS = {
    "add_site": {"site": "Shed", "kind": "shore"},
    "add_person": {"private": {"name": "Mallory"}, "role": "keeper"},
    "add_unit_type": {
        "maker": "Ardlune",
        "type_name": "Reed",
        "sensor_part": "S",
        "electronics_part": "E",
        "accepts": ["letter"],
    },
}


@pytest.mark.parametrize("act", FIRSTS)
def test_nothing_but_founding_can_be_first(act: str, empty: World):

    empty.ids["mallory"] = empty.new_id()
    told = empty.refused(act, "2025-01-02T08:00:00Z", by="mallory", **FIRSTS[act])
    assert set(told) & {"not_allowed", "not_found"}


@pytest.mark.parametrize("host", ["two words", "a+b", "https://x", "x/y", "-"])
def test_a_host_that_no_label_can_bear_is_refused(host: str, empty: World):

    empty.ids["maren"] = empty.new_id()
    told = empty.refused(
        "found_outfit",
        "2025-01-02T08:00:00Z",
        by="maren",
        outfit="Test Shed",
        label_host=host,
        private={"name": "Maren"},
    )
    assert set(told) == {"wrong_form"}


def test_a_role_is_not_given_into_a_time_it_was_held(stage: Stage):

    stage.do("end_role", "10 09:00", by="maren", person="ida", role="technician")
    assert stage.refusal(stage.sent("give_role", "9 09:00", person="ida", role="technician"), "maren") == {
        "overlaps_history": "happened_at"
    }


def test_a_name_or_badge_another_has_is_refused_when_it_changes(stage: Stage):

    stage.do("rename_person", by="maren", person="ida", private={"name": "Ida", "badge": "B-1"})
    assert stage.refusal(stage.sent("rename_person", person="ida", private={"name": "Yusuf"}), "maren") == {
        "already_known": "private.name"
    }
    assert stage.refusal(
        stage.sent("rename_person", person="yusuf", private={"name": "Yusuf", "badge": "B-1"}), "maren"
    ) == {"already_known": "private.badge"}
    assert stage.refusal(stage.sent("add_person", private={"name": "Lise", "badge": "B-1"}), "maren") == {
        "already_known": "private.badge"
    }


def test_the_last_keeper_cannot_stop_being_one(stage: Stage):

    assert stage.refusal(stage.sent("end_role", "11 09:00", person="maren", role="keeper"), "maren")
