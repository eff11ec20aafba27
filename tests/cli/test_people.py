"""Secrets and tokens at the machine the registry runs on."""

import pytest

from tests.web.doors import PASSWORD, PIN, Doors
from tests.web.test_account import sign_in


def test_a_secret_is_asked_for_or_read_from_the_environment(doors: Doors):
    asked = doors.cli("secret", "Ida", "password", stdin="quite another phrase\nquite another phrase\n")
    assert (asked.exit_code, "Ida has a new password from now on." in asked.stdout) == (0, True)
    assert "quite another phrase" not in asked.output
    assert sign_in(doors.stranger(), "Ida", "quite another phrase").status == 303
    told = doors.cli("secret", "Ida", "pin", PAIRBOOK_SECRET="917400")
    assert told.stdout == "Ida has a new PIN from now on.\n"
    assert doors.visitor("yusuf").get("/").status == 200
    done = doors.cli(
        "act", "note_fault", f"half={doors.code('p1 s')}", "words=hums", "--as", "Ida", PAIRBOOK_PIN="917400"
    )
    assert done.exit_code == 0


@pytest.mark.parametrize(
    ("words", "secret", "code", "says"),
    [
        (("Ida", "password"), "short", 1, "(wrong_form [password])"),
        (("Ida", "pin"), "12345678x", 1, "(wrong_form [pin])"),
        (("Nobody", "pin"), PIN, 1, "Nobody is called “Nobody”."),
        (("Ida", "shoe"), PIN, 2, "'shoe' is not one of"),
    ],
)
def test_a_secret_that_cannot_be_is_refused(words: tuple[str, str], secret: str, code: int, says: str, doors: Doors):
    result = doors.cli("secret", *words, PAIRBOOK_SECRET=secret)
    assert (result.exit_code, says in result.stderr) == (code, True)
    assert sign_in(doors.stranger(), "Ida", PASSWORD).status == 303


def test_a_token_made_here_opens_every_door(doors: Doors):
    result = doors.cli("token", "Ida", "bench computer")
    token = result.stdout.strip()
    assert (result.exit_code, token.startswith("pb_")) == (0, True)
    assert doors.app.test_client().get("/api/v1/fleet", headers={"Authorization": f"Bearer {token}"}).status_code == 200
    done = doors.cli("act", "note_fault", f"half={doors.code('p1 s')}", "words=hums", PAIRBOOK_TOKEN=token)
    assert done.exit_code == 0
    entry = next(row for row in doors.rows("log_entry") if row.seq == doors.size())
    assert entry.by_id == doors.world.ids["ida"]


def test_a_token_for_nobody_is_refused(doors: Doors):
    result = doors.cli("token", "Nobody", "x")
    assert (result.exit_code, result.stdout) == (1, "")
    assert doors.rows("token") == []
