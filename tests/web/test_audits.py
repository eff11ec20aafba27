"""Audits on a phone: scan a bay, then what sits in it; what is expected is shown afterwards; the certificate."""

from registry.domain.codes import say_code
from tests.printed import read
from tests.web.doors import PIN, Doors, problem_of


def test_the_list_says_how_far_each_audit_is(untouched: Doors):
    page = untouched.visitor("anselm").get("/audits")
    assert page.heading == "3 audits are running."
    assert "Opened 15 May 2026, 10:10 UTC by Anselm. 2 of 2 answered." in page.words


def test_nothing_expected_is_told_of_a_bay_before_it_was_read(untouched: Doors):
    page = untouched.visitor("anselm").get("/audits/A-1")
    assert page.heading == "4 lines wait for an answer."
    assert "0 of 4 lines answered" in page.words
    assert "p1" not in page.words
    for name in ("p1 s", "p1 e", "p2 s", "p2 e"):
        assert untouched.code(name) not in page.text.replace("\u202f", "")
    told = untouched.api("anselm").get("/audits/A-1").get_json()
    assert told["lines"] == []
    assert {one["code"] for one in told["left"]} == {
        untouched.code(name) for name in ("teasel A", "teasel B", "burdock A", "burdock B")
    }
    assert not {"pair", "expected", "sensor_code"} & set(told["left"][0])


def test_a_bay_and_its_halves_are_scanned_and_sighted(lived: Doors):
    anselm = lived.visitor("anselm")
    bay, sensor, electronics = (lived.code(name) for name in ("teasel A", "p1 s", "p1 e"))
    page = anselm.get(f"/audits/A-1?on={bay}&on={sensor}&text={electronics}")
    assert "Sight Teasel, bay A" in page.words
    done = anselm.send(page, page.form(action=f"/audits/{lived.world.ids['A-1']}/sight"))
    page = anselm.follow(done)
    assert page.heading == "3 lines wait for an answer."
    assert "Teasel, bay A: sighted, as recorded" in page.words
    assert any("As recorded." in flash for flash in page.flashes)
    told = anselm.get(f"/bays/{bay}").words
    assert "Audit A-1: sighted, as recorded." in told and "As recorded." not in told


def test_the_fitter_is_told_before_and_refused_after(lived: Doors):
    ida = lived.visitor("ida")
    assert "You fitted what is in it: somebody else scans this bay." in ida.get("/audits/A-1").words
    bay, sensor, electronics = (lived.code(name) for name in ("teasel A", "p1 s", "p1 e"))
    page = ida.get(f"/audits/A-1?on={bay}&on={sensor}&on={electronics}")
    refused = ida.send(page, page.form(action=f"/audits/{lived.world.ids['A-1']}/sight"))
    assert refused.status == 403
    assert "who fitted it does not sight it in an audit" in refused.words


def test_a_bay_that_holds_something_else_is_told_with_the_act_that_settles_it(lived: Doors):
    anselm = lived.visitor("anselm")
    page = anselm.get(f"/audits/A-1?on={lived.code('teasel A')}&on={lived.code('p1 s')}&text=E-19988")
    page = anselm.follow(anselm.send(page, page.form(action=f"/audits/{lived.world.ids['A-1']}/sight")))
    assert page.heading == "3 discrepancies are open."
    assert "A half labelled “E-19988” sits in Teasel, bay A; the registry does not know it." in page.words
    assert "Settle it" not in page.links("go")
    assert "Settle it" in lived.visitor("piet").get("/audits/A-1").links("go")


def test_what_is_not_settled_is_told_before_closing_and_on_the_certificate(lived: Doors):
    anselm, id_ = lived.visitor("anselm"), lived.world.ids["A-2"]
    page = anselm.get(f"/audits/A-2?on={lived.code('burdock A')}&text=E-19988")
    page = anselm.follow(anselm.send(page, page.form(action=f"/audits/{id_}/sight")))
    told = "1 discrepancy of it is not settled."
    assert told in page.words
    assert "Settle it: a workshop lead" in page.words
    assert told in anselm.get(f"/act/close_audit?audit={id_}").words
    lived.world.later(minutes=10)
    assert anselm.act("close_audit", audit=id_, pin=PIN).status == 303
    assert told in anselm.get("/audits/A-2/certificate").words
    answer = lived.api("anselm").get("/audits/A-2/certificate").get_json()
    paper = read(anselm.get("/audits/A-2/certificate.pdf").response.get_data())[0][0]
    assert told in paper
    assert (answer["not_settled"], len(answer["discrepancies"])) == (1, 1)


def test_shelves_are_read_without_a_list_and_what_is_missing_is_shown_when_asked(lived: Doors):
    anselm = lived.visitor("anselm")
    page = anselm.get("/audits/A-3")
    assert "Show what is missing" in page.links()
    assert lived.code("p5 s") not in page.text.replace("\u202f", "")
    page = anselm.get(f"/audits/A-3?on={lived.code('p5 s')}&on={lived.code('p5 e')}")
    page = anselm.follow(anselm.send(page, page.form(action=f"/audits/{lived.world.ids['A-3']}/sight")))
    assert page.words.count(": sighted, as recorded") == 2
    assert lived.code("lone s") in anselm.get("/audits/A-3?missing=1").text.replace("\u202f", "")


def test_a_closed_audit_has_a_certificate_and_an_open_one_has_none(lived: Doors):
    anselm = lived.visitor("anselm")
    assert anselm.get("/audits/A-2/certificate").status == 409
    closed = anselm.act("close_audit", audit=lived.world.ids["A-2"], pin=PIN)
    assert anselm.follow(closed).heading == "Closed. Every line is answered."
    size = lived.size()
    page = anselm.get("/audits/A-2/certificate")
    assert page.heading == "Audit A-2"
    assert "1 of 2 lines sighted as recorded." in page.words
    assert "Burdock, bay B" in page.words
    assert "Not opened. sealed for the voyage" in page.words
    told = lived.api("anselm").get("/audits/A-2/certificate").get_json()
    assert (told["log_size"], told["counts"]) == (size, {"sighted": 1, "not_opened": 1})
    assert told["root"] == lived.api("anselm").get("/log/checkpoint").get_json()["root"]
    assert told["root"] in page.words


def test_a_page_turned_by_nonsense_is_the_first(untouched: Doors):
    assert untouched.visitor("anselm").get("/audits/A-1?skip=x").status == 200
    assert untouched.visitor("anselm").get("/audits/nothing").status == 404


def test_two_halves_of_one_kind_in_one_bay_are_asked_about_and_neither_is_dropped(lived: Doors):
    anselm = lived.visitor("anselm")
    bay, one, other = (lived.code(name) for name in ("teasel A", "p1 s", "p2 s"))
    page = anselm.get(f"/audits/A-1?on={bay}&on={one}&text={other}")
    said, besides = (" ".join(say_code(code).split()) for code in (one, other))
    assert f"Both are sensor halves: {said} and {besides}." in page.words
    assert "Which was in Teasel, bay A?" in page.words
    assert "Sight Teasel" not in page.words
    page = anselm.get(page.links("go")[f"The sensor half {said} was in it"])
    form = page.form(action=f"/audits/{lived.world.ids['A-1']}/sight")
    filled = dict(form.filled())
    assert filled["sensor"] == one
    assert filled["words"] == f"Scanned besides: sensor half {say_code(other)}."


def test_a_half_that_was_not_scanned_is_asked_about_on_the_page(lived: Doors):
    anselm = lived.visitor("anselm")
    sight = f"/audits/{lived.world.ids['A-1']}/sight"

    def scanned() -> str:
        return anselm.get(f"/bays/{lived.code('teasel A')}").words.partition("Last scanned")[2][:60]

    before = scanned()
    assert before
    page = anselm.get(f"/audits/A-1?on={lived.code('teasel A')}&text={lived.code('p1 s')}")
    form = page.form(action=sight)
    assert "electronics_unread" in form.names()
    assert "sensor_unread" not in form.names()
    refused = anselm.send(page, form)
    assert refused.status == 422
    assert "No electronics half was scanned: nobody knows from that whether it is there." in refused.words
    done = anselm.follow(anselm.send(page, form, electronics_unread="not_read"))
    assert done.heading == "4 lines wait for an answer."
    assert any("The electronics half was not read" in flash for flash in done.flashes)
    assert scanned() == before  # half a pair proves no pair


def test_two_bays_are_sighted_one_after_the_other(lived: Doors):
    first, second = lived.code("teasel A"), lived.code("teasel B")
    page = lived.visitor("anselm").get(f"/audits/A-1?on={first}&text={second}")
    assert "Two bays were scanned: Teasel, bay A and Teasel, bay B." in page.words
    assert "Sight Teasel" not in page.words


def test_two_halves_for_one_field_are_refused_by_a_sentence_by_json_and_at_the_command_line(lived: Doors):
    two, told = [lived.code("p1 s"), lived.code("p2 s")], "Both are sensor halves: "
    sent = lived.world.sent("sight_bay", "15 12:00", audit="A-1", bay="teasel A") | {"sensor": two}
    answer = lived.api("anselm").act(sent)
    assert told + " and ".join(two) in problem_of(answer)["detail"]
    words = [f"sensor={code}" for code in two]
    refused = lived.cli("act", "sight_bay", "audit=A-1", f"bay={lived.code('teasel A')}", *words, who="anselm")
    assert refused.exit_code
    assert told in refused.output


def test_a_bay_outside_the_audit_is_told_at_the_scan(lived: Doors):
    page = lived.visitor("anselm").get(f"/audits/A-2?text={lived.code('teasel A')}")
    assert "Teasel, bay A is no line of audit A-2." in page.words
    assert "Sight Teasel" not in page.words
    assert f"bay={lived.code('teasel A')}" in page.links("go")["Record what is in it"]


def test_a_closed_hull_is_asked_about_at_the_scan_and_on_the_form_of_a_check(lived: Doors):
    lived.world.do("close_housing", "20 11:00", housing="teasel forward")
    asks = "No opening of the forward housing is on record since 20 May 2026, 11:00 UTC;"
    anselm = lived.visitor("anselm")
    assert asks in anselm.get(f"/audits/A-1?text={lived.code('teasel A')}").words
    assert asks in lived.visitor("yusuf").get(f"/act/check_seating?bay={lived.code('teasel A')}").words
