"""The second person’s check on pages: offered after the seating, shown with who, how and photos, counted for an auditor; JSON,
command line and paper say the same."""

import io
import json

import pypdf

from registry.domain.packs import FILE
from registry.output.attached import attached
from tests.printed import read
from tests.web.doors import PIN, Doors

ALL = ["torque", "dowels", "orientation", "seals", "cables"]
VERA = "Checked by another person, there with it: Vera, 13 May 2026, 11:15 UTC, 1 photo."


def test_the_bay_and_the_pair_say_who_looked_how_and_with_how_many_photos(untouched: Doors):
    visitor = untouched.visitor("yusuf")
    bay = visitor.get(f"/bays/{untouched.code('teasel A')}")
    assert VERA in bay.words and "Its photos lie with the pair." in bay.words
    pair = visitor.get("/pairs/p1")
    assert VERA in pair.words
    assert "Second person’s check of p1 in Teasel, bay A, another person, there with it: nothing wrong." in pair.words
    assert VERA in read(visitor.get("/pairs/p1/sheet.pdf").response.get_data())[0][0]
    told = untouched.api("yusuf").get(f"/bays/{untouched.code('teasel A')}").get_json()["checked"]
    assert (told["state"], told["one"]["who"], told["one"]["photos"]) == ("present", "Vera", 1)


def test_what_is_found_wrong_stops_and_the_next_look_clears_it(lived: Doors):
    yusuf, bay = lived.visitor("yusuf"), lived.code("teasel A")
    page = yusuf.get(f"/bays/{bay}")
    form = yusuf.get(page.links("second")["Enter a second person’s check"])
    assert "No second person is replaced at lifting, lithium or over 60 V." in form.words
    assert "Never on exposed power." in form.words
    sent = yusuf.send(form, form.form("/act/check_seating"), how="present", found="A cable hangs.", pin=PIN)
    shown = yusuf.follow(sent)
    assert "Something was found wrong: Yusuf, 20 May 2026, 12:00 UTC. A cable hangs." in shown.words
    (found,) = [one for one in _fit(lived) if one["code"] == "seating_faulty"]
    assert (found["severity"], found["clears"]["act"]) == ("stops", "check_seating")
    assert "Bay A: its check found something wrong." in lived.cli("fit", "Teasel").output
    # A look that leaves something out is refused beside its field, and nothing typed is lost.
    part = {"how": "present", "looked_at": ALL[:4], "bay": bay}
    refused = yusuf.act("check_seating", **part)
    assert refused.status == 422
    assert refused.beside("looked_at") == ["Not looked at: cables latched. A look at a part answers nothing. Look at the rest, too; or say what is wrong."]  # fmt: skip
    assert yusuf.act("check_seating", **part | {"looked_at": ALL}).status == 303
    assert not any(one["code"] == "seating_faulty" for one in _fit(lived))


def _fit(doors: Doors) -> list[dict]:
    return doors.api("yusuf").get(f"/vehicles/{doors.code('teasel')}/fit").get_json()["findings"]


def test_the_swap_says_that_another_person_looks_before_the_lid_is_on(untouched: Doors):
    scans = "&".join(
        f"{name}={untouched.code(half)}" for name, half in (("sensor_in", "p5 s"), ("electronics_in", "p5 e"))
    )
    page = untouched.visitor("ida").get(f"/bays/{untouched.code('teasel B')}/swap/sign?{scans}")
    assert (
        "Another person looks at torque, dowels, orientation, seals and cables"
        in page.root.one("section", cls="redo").words
    )


def test_an_audit_counts_how_what_it_has_read_was_checked(lived: Doors):
    """Burdock B holds p2, signed by a second person; nothing is counted of what nobody has read."""
    said = "Of 1 seated pair, checked: 1 by another person, there with it."
    counts = {"present": 1, "ashore": 0, "alone": 0, "faulty": 0, "awaited": 0}
    anselm, api = lived.visitor("anselm"), lived.api("anselm")
    assert said in anselm.get("/audits/A-2").words
    assert "seated pair" not in anselm.get("/audits/A-1").words
    assert api.get("/audits/A-1").get_json()["seated_pairs_checked"] == dict.fromkeys(counts, 0)
    assert api.get("/audits/A-2").get_json()["seated_pairs_checked"] == counts
    assert said in lived.cli("audits", "A-2").output
    assert json.loads(lived.cli("audits", "A-2", "--json").output)["seated_pairs_checked"] == counts
    anselm.act("close_audit", audit=lived.world.ids["A-2"])
    # What is put right later changes nothing of a closed audit.
    seat = next(
        one
        for one in lived.api("oda").get("/bays/" + lived.code("burdock B")).get_json()["history"]
        if one["kind"] == "installed"
    )
    with lived.instance.database.reading() as db:
        act = db.exec_driver_sql("SELECT lower(hex(act_id)) FROM log_entry WHERE seq = ?", (seat["seq"],)).scalar_one()
    wrong = {
        "amends": f"{act[:8]}-{act[8:12]}-{act[12:16]}-{act[16:20]}-{act[20:]}",
        "person": "ida",
        "why": "it was Ida",
    }
    lived.world.do("amend_person", "20 11:00", by="maren", **wrong)
    assert said in anselm.get("/audits/A-2/certificate").words
    assert api.get("/audits/A-2/certificate").get_json()["seated_pairs_checked"] == counts
    paper = read(anselm.get("/audits/A-2/certificate.pdf").response.get_data())[0]
    assert said in " ".join(paper)
    assert lived.api("oda").get("/bays/" + lived.code("burdock B")).get_json()["checked"]["state"] == "awaited"


def test_the_pack_of_a_mission_says_who_looked_and_proves_that_it_was_entered(untouched: Doors):
    pdf = untouched.visitor("piet").get("/missions/M-1/pack.pdf").response.get_data()
    words = " ".join(" ".join(page.extract_text().split()) for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)
    assert "Checked by another person, there with it: Yusuf, 10 May 2026, 09:30 UTC. Entry" in words
    statements = json.loads(attached(pdf, FILE))["statements"]
    (told,) = [one for one in statements if "how it sat" in one["told"]]
    assert told["told"] == "Bay A, p1: how it sat: checked by another person, there with it"
    assert "Yusuf" not in json.dumps(statements)
