"""The log through its pages: newest first, one entry whole with its proof, the signed checkpoint."""

import base64
import hashlib
import json

import pytest

from tests.api.merkle import root_of_proof
from tests.web.doors import Doors
from tests.web.html import Node


def test_entries_stand_newest_first_with_who_and_by_which_door(lived: Doors):
    lived.visitor("ida").act("note_fault", half=lived.code("p1 s"), words="hums")
    page = lived.visitor("anselm").get("/log")
    assert page.heading == f"The log has {lived.size()} entries."
    first = page.root.one("ol", cls="rows").all("li")[0].words
    assert f"{lived.size()} Note a fault Ida, by page" in first


def test_who_entered_it_for_whom_is_told(untouched: Doors):
    entry = next(
        row for row in untouched.rows("log_entry") if row.act == "install_pair" and row.by_id != row.done_by_id
    )
    page = untouched.visitor("anselm").get(f"/log?upto={entry.seq}")
    assert "Yusuf, entered by Oda, by test. Out of order" in page.words


def test_the_log_is_turned_back_to_its_first_entry(untouched: Doors, monkeypatch: pytest.MonkeyPatch):
    from registry.web import log

    monkeypatch.setattr(log, "PAGE", 20)
    seen: list[int] = []
    path = "/log"
    while path:
        page = untouched.visitor("anselm").get(path)
        seen += [int(node.words) for node in page.root.one("ol", cls="rows").all("a", cls="what")]
        path = page.links("plain").get("Older", "")
    assert seen == list(range(untouched.size(), 0, -1))
    assert "Newest" in page.links("plain")


@pytest.mark.parametrize("upto", ["0", "-1", "x", "999999999", "²", "9" * 30])
def test_a_strange_place_in_the_log_is_a_page(upto: str, untouched: Doors):
    assert untouched.visitor("anselm").get(f"/log?upto={upto}").status == 200


def proof(box: Node) -> list[str]:
    return [kid.strip() for kid in box.kids if isinstance(kid, str) and kid.strip()]


@pytest.mark.parametrize("seq", [1, 2, 17, 64, "the last"])
def test_an_entry_shows_the_steps_with_which_anybody_can_prove_it(seq: int | str, untouched: Doors):
    seq = untouched.size() if seq == "the last" else seq
    page = untouched.visitor("anselm").get(f"/log/{seq}")
    host, size, root, leaf, *steps = proof(page.root.one("div", cls="proof"))
    assert (host, size) == ("pairbook.example", str(untouched.size()))
    raw = bytes(next(row.entry for row in untouched.rows("log_entry") if row.seq == seq))
    mine = hashlib.sha256(b"\x00" + raw).digest()
    assert leaf == f"leaf {base64.b64encode(mine).decode()}"
    assert root_of_proof(seq - 1, int(size), mine, [base64.b64decode(step) for step in steps]) == base64.b64decode(root)
    assert json.loads(page.root.one("pre").raw) == json.loads(raw)


def test_an_entry_tells_when_it_happened_and_when_it_was_recorded(untouched: Doors):
    entry = next(
        row for row in untouched.rows("log_entry") if row.act == "install_pair" and row.by_id != row.done_by_id
    )
    page = untouched.visitor("anselm").get(f"/log/{entry.seq}")
    told = page.root.one("dl", cls="facts").words
    for fact in (
        "Happened 12 May 2026, 09:00 UTC",
        "Recorded 20 May 2026, 12:00 UTC",
        "Done by Yusuf",
        "Signed by Oda",
    ):
        assert fact in told
    assert "Out of order. The last sign-off" in page.words


def test_an_instant_that_was_wrong_is_amended_from_its_entry(lived: Doors):
    entry = next(row for row in lived.rows("log_entry") if row.act == "move_vehicle")
    oda = lived.visitor("oda")
    page = oda.get(oda.get(f"/log/{entry.seq}").links("act")["Amend when it happened"])
    form = page.form("/act/amend_times")
    assert (form.value("changes-0-act"), form.value("changes-0-instant")) == (entry.act_id, "moved")
    done = oda.send(page, form, changes__0__at="2026-05-16T08:00", why="it was earlier", pin="2846")
    assert done.status == 303
    shown = oda.get(f"/vehicles/{lived.code('teasel')}").words
    assert "16 May 2026 08:00 UTC Teasel at Halcyon Tern." in shown
    assert "09:00 UTC Teasel at Halcyon Tern." not in shown


def test_what_was_entered_twice_is_taken_back_from_its_entry_and_both_say_so(lived: Doors):
    entry = next(row for row in lived.rows("log_entry") if row.act == "close_housing")
    oda = lived.visitor("oda")
    page = oda.get(oda.get(f"/log/{entry.seq}").links("act")["Take entries back"])
    form = page.form("/act/withdraw_acts")
    assert form.value("acts") == entry.act_id
    assert oda.send(page, form, why="entered twice", pin="2846").status == 303
    shown = oda.get(f"/log/{entry.seq}")
    assert f"By entry {lived.size():,} it was taken back. entered twice" in shown.words
    assert "Take entries back" not in shown.links("act")
    assert "was taken back: entered twice" in oda.get(f"/vehicles/{lived.code('burdock')}").words


def test_neighbours_lead_through_the_log(untouched: Doors):
    page = untouched.visitor("anselm").get("/log/2")
    assert page.links("plain") == {"Before": "/log/1", "After": "/log/3"}
    assert "After" not in untouched.visitor("anselm").get(f"/log/{untouched.size()}").links("plain")


@pytest.mark.parametrize("seq", ["0", "one past the last", "9007199254740993", "9" * 40, "-1", "x"])
def test_an_entry_that_is_not_there_is_not_found(seq: str, untouched: Doors):
    seq = str(untouched.size() + 1) if seq == "one past the last" else seq
    assert untouched.visitor("anselm").get(f"/log/{seq}").status == 404


def test_the_checkpoint_is_a_file_to_keep(untouched: Doors):
    answer = untouched.visitor("anselm").client.get("/log/checkpoint")
    assert answer.mimetype == "text/plain"
    assert answer.headers["Content-Disposition"] == f'attachment; filename="pairbook-checkpoint-{untouched.size()}.txt"'
    assert answer.text.startswith(f"pairbook.example/K\n{untouched.size()}\n")


def test_every_page_shows_size_and_root(untouched: Doors):
    foot = untouched.visitor("anselm").get("/fleet").root.one("footer").words
    assert f"Log: {untouched.size()} entries. Root" in foot
