"""Roles and training, judged by the day of the deed."""

import pytest

from registry.domain.people import (
    ROLES,
    May,
    RoleHeld,
    Trained,
    name_roles,
    reasons_not_allowed,
    reasons_not_trained,
    roles_at,
)

HELD = [
    RoleHeld("technician", "2026-05-01T00:00:00.000000Z", "2026-05-10T00:00:00.000000Z"),
    RoleHeld("auditor", "2026-05-05T00:00:00.000000Z", None),
]


@pytest.mark.parametrize(("at", "roles"), [
    ("2026-04-30T23:59:59.999999Z", set()),
    ("2026-05-01T00:00:00.000000Z", {"technician"}),
    ("2026-05-09T23:59:59.999999Z", {"technician", "auditor"}),
    ("2026-05-10T00:00:00.000000Z", {"auditor"}),
    ("2199-01-01T00:00:00.000000Z", {"auditor"}),
])  # fmt: skip
def test_a_role_is_held_from_its_first_instant_until_its_end(at: str, roles: set[str]):
    assert roles_at(HELD, at) == roles


def test_who_may_is_told_who_may_and_what_they_were():
    told = reasons_not_allowed(
        "you", May.INSTALL, frozenset({"auditor"}), "2026-05-10T09:00:00.000000Z", "install a pair"
    )
    assert [reason.code for reason in told] == ["not_allowed"]
    assert told[0].message.startswith(
        "Only a technician or a workshop lead may install a pair. On 10 May 2026, 09:00 UTC, you "
    )
    assert told[0].message.endswith("an auditor.")
    assert reasons_not_allowed("you", May.INSTALL, frozenset({"auditor", "technician"}), "", "install a pair") == []


def test_no_role_is_named_that_there_is_not():
    sets = [value for name, value in vars(May).items() if name.isupper()]
    assert len(sets) > 8
    assert all(roles <= ROLES.keys() and roles for roles in sets)
    assert name_roles(May.ANYONE).count(" or ") == 1


TRAININGS = [Trained("esd", "2025-05-01", "2026-05-01"), Trained("lifting", "2026-01-01", "2027-01-01")]


@pytest.mark.parametrize(("subject", "at", "told"), [
    ("esd", "2025-04-30T23:59:59.999999Z", "No training"),
    ("esd", "2025-05-01T00:00:00.000000Z", None),
    ("esd", "2026-05-01T23:59:59.999999Z", None),
    ("esd", "2026-05-02T00:00:00.000000Z", "was good to 1 May 2026"),
    ("lithium", "2026-05-01T00:00:00.000000Z", "No training"),
])  # fmt: skip
def test_training_is_good_from_its_day_to_the_end_of_its_last(subject: str, at: str, told: str | None):
    reasons = reasons_not_trained("Ida", subject, TRAININGS, at)
    assert [reason.code for reason in reasons] == (["not_trained"] if told else [])
    assert told is None or told in reasons[0].message


def test_you_were_and_never_you_was():
    from registry.domain.people import May, reasons_not_allowed

    told = reasons_not_allowed(
        "you", May.INSTALL, frozenset({"auditor"}), "2026-05-10T09:00:00.000000Z", "install a pair"
    )
    assert "you were an auditor" in told[0].message
