"""Guessing: every attempt is counted before it is looked at, each failure makes the next wait longer, at every door."""

import threading
from datetime import timedelta

import pytest

from registry import passwords
from registry.domain.times import as_datetime
from registry.errors import Refused
from registry.passwords import FREE_ATTEMPTS, LONGEST_WAIT_S, check_secret
from tests.web.doors import PASSWORD, PIN, Doors
from tests.web.test_account import sign_in


def guess(doors: Doors, secret: str = "nothing like it", kind: str = "password") -> str:
    try:
        check_secret(doors.instance.database, doors.world.ids["ida"], kind, secret, doors.world.now)
    except Refused as refused:
        return refused.reasons[0].code
    return "in"


def failures(doors: Doors) -> list[int]:
    return sorted(row.failures for row in doors.rows("attempt"))


def waits_until(doors: Doors) -> str | None:
    return max((row.wait_until for row in doors.rows("attempt") if row.wait_until), default=None)


@pytest.mark.parametrize(("kind", "longest"), [("password", 60), ("pin", 900)])
def test_the_wait_doubles_with_every_failure_up_to_its_longest(kind: str, longest: int, doors: Doors):
    """A stranger who guesses at passwords must not keep anybody out for long; a PIN is asked for only further in."""
    waits = []
    for _ in range(16):
        before = doors.world.now
        assert guess(doors, "0000", kind) == "wrong_secret"
        until = waits_until(doors)
        waits.append(0 if until is None else round((as_datetime(until) - before).total_seconds()))
        doors.world.later(seconds=waits[-1])
    assert waits[:FREE_ATTEMPTS] == [0] * FREE_ATTEMPTS
    assert waits[FREE_ATTEMPTS:] == [min(2**n, longest) for n in range(1, 14)]
    assert LONGEST_WAIT_S[kind] == longest


def test_while_it_waits_even_the_right_secret_is_not_looked_at(doors: Doors):
    for _ in range(FREE_ATTEMPTS + 1):
        guess(doors)
    assert guess(doors, PASSWORD) == "wait"
    assert failures(doors) == [FREE_ATTEMPTS + 1]
    doors.world.later(seconds=2)
    assert guess(doors, PASSWORD) == "in"
    assert (failures(doors), waits_until(doors)) == ([0], None)


def test_whoever_guesses_at_a_password_keeps_nobody_from_signing(doors: Doors):
    for _ in range(FREE_ATTEMPTS + 2):
        guess(doors)
    assert guess(doors) == "wait"
    assert guess(doors, PIN, "pin") == "in"


def test_guesses_at_names_nobody_has_wait_too(doors: Doors):
    stranger = doors.stranger()
    statuses = [sign_in(stranger, "Nobody at all", "nothing like it").status for _ in range(FREE_ATTEMPTS + 3)]
    assert statuses == [401] * (FREE_ATTEMPTS + 1) + [429] * 2
    assert sign_in(doors.stranger(), "Ida").status == 303


def test_guesses_sent_at_once_are_counted_one_by_one(doors: Doors):
    """Sixteen phones guess in the same instant: three are let through, the rest find a wait."""
    told: list[str] = []
    threads = [threading.Thread(target=lambda: told.append(guess(doors, f"guess {len(told)}"))) for _ in range(16)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(told) == ["wait"] * (16 - FREE_ATTEMPTS - 1) + ["wrong_secret"] * (FREE_ATTEMPTS + 1)
    assert failures(doors) == [FREE_ATTEMPTS + 1]


def test_the_sign_in_page_says_until_when_to_wait(doors: Doors):
    visitor = doors.stranger()
    for _ in range(FREE_ATTEMPTS + 1):
        sign_in(visitor, password="nothing like it")
    answer = sign_in(visitor)
    assert answer.status == 429
    assert (
        answer.root.one("p", role="alert").words
        == "Too many attempts failed. The next one is taken in 2 seconds. Wait that long, or ask a keeper to set a new one."
    )
    doors.world.later(seconds=2)
    assert sign_in(visitor).status == 303


def test_a_pin_that_is_guessed_on_a_page_makes_the_next_wait(doors: Doors):
    visitor, size = doors.visitor("ida"), doors.size()
    for _ in range(FREE_ATTEMPTS + 1):
        assert visitor.act("sign_esd", station=doors.world.ids["bench"], pin="0000").status == 401
    answer = visitor.act("sign_esd", station=doors.world.ids["bench"], pin=PIN)
    assert (answer.status, doors.size()) == (429, size)
    assert answer.told()[0].startswith("Too many attempts failed.")


def test_a_pin_that_is_guessed_at_the_command_line_makes_the_next_wait(doors: Doors):
    words = ("act", "note_fault", f"half={doors.code('p1 s')}", "words=hums", "--as", "Ida")
    for _ in range(FREE_ATTEMPTS + 1):
        result = doors.cli(*words, PAIRBOOK_PIN="0000")
        assert (result.exit_code, "wrong_secret" in result.stderr) == (1, True)
    result = doors.cli(*words, PAIRBOOK_PIN=PIN)
    assert (result.exit_code, "(wait" in result.stderr) == (1, True)


def test_every_failure_is_noted(doors: Doors):
    guess(doors)
    sign_in(doors.stranger(), "Nobody at all")
    noted = [(row.what, row.person_id) for row in doors.rows("security_event")]
    assert sorted(noted, key=str) == [("wrong password", doors.world.ids["ida"]), ("wrong password", None)]


def test_an_unknown_name_costs_as_much_as_a_known_one(doors: Doors, monkeypatch: pytest.MonkeyPatch):
    """Neither the answer nor the work done for it tells whether somebody of that name is here."""
    hashed: list[bool] = []
    real = passwords.hasher()

    class Counting:
        def verify(self, kept: str, secret: str) -> bool:
            hashed.append(True)
            return real.verify(kept, secret)

        hash = real.hash

    monkeypatch.setattr(passwords, "hasher", lambda: Counting())
    for name in ("Ida", "Nobody at all"):
        assert sign_in(doors.stranger(), name, "nothing like it").status == 401
    assert len(hashed) == 2


def test_secrets_are_hashed_as_the_library_advises_today():
    parameters = passwords.hasher.__wrapped__() if hasattr(passwords.hasher, "__wrapped__") else passwords.hasher()
    assert parameters.type.name == "ID"
    assert parameters.memory_cost >= 19 * 1024
    assert parameters.time_cost >= 2


def test_an_attempt_at_an_instant_of_the_past_does_not_shorten_the_wait(doors: Doors):
    for _ in range(FREE_ATTEMPTS + 3):
        guess(doors)
        doors.world.later(seconds=8)
    until = waits_until(doors)
    doors.world.now -= timedelta(hours=1)
    assert guess(doors, PASSWORD) == ("wait" if until else "in")


def test_who_waits_is_told_a_time_that_has_not_passed(doors: Doors):
    stranger = doors.stranger()
    for _ in range(4):
        sign_in(stranger, password="nothing like it")
    told = sign_in(stranger).root.one("p", role="alert").words
    assert "12:00 UTC" not in told
