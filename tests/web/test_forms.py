"""Forms made from the acts: choices of today, rows of a list, what an address fills in, and what is left out."""

import pytest

from tests.web.doors import PIN, Doors


def test_few_things_are_chosen_and_many_are_scanned(untouched: Doors):
    page = untouched.visitor("oda").get("/act/receive_half")
    form = page.form("/act/receive_half")
    for name in ("unit_type", "site", "kind"):
        assert form.node.one("select", name=name).all("option")
    for name in ("label", "serial"):
        assert form.node.one("input", name=name)
    words = [option.words for option in form.node.one("select", name="unit_type").all("option")]
    assert words == ["—", "Ardlune Reed", "Ardlune Rush", "Ardlune Sedge"]


def test_somebody_who_left_is_not_offered(untouched: Doors):
    form = untouched.visitor("maren").get("/act/give_role").form("/act/give_role")
    words = [option.words for option in form.node.one("select", name="person").all("option")]
    assert "Ida" in words
    assert "Jon" not in words


def test_open_things_are_offered_with_their_words(untouched: Doors):
    form = untouched.visitor("rosa").get("/act/release_hold").form("/act/release_hold")
    words = [option.words for option in form.node.one("select", name="hold").all("option")]
    assert len(words) == 3
    assert words[1].startswith("Sensor half") and "a wet patch" in words[1]


def test_a_default_is_chosen_and_a_needed_choice_has_none(untouched: Doors):
    hold = untouched.visitor("ida").get("/act/place_hold").form("/act/place_hold")
    assert hold.value("cause") == "placed"
    remove = untouched.visitor("ida").get("/act/remove_pair").form("/act/remove_pair")
    assert remove.value("condition") == "sound"
    leave = untouched.visitor("ida").get("/act/leave_station").form("/act/leave_station")
    assert leave.value("why") == "left"


def test_a_scanned_list_is_one_a_line_and_blank_lines_do_not_count(doors: Doors):
    told = f"  {doors.code('p1 s')}\r\n\r\n{doors.code('p1 e')} \r\n"
    done = doors.visitor("ida").act("move_halves", halves=told, site=doors.world.ids["vessel"])
    assert done.status == 303
    assert len([row for row in doors.rows("half_place") if row.site_id == doors.world.ids["vessel"]]) == 2


def test_rows_of_a_list_that_are_left_blank_do_not_count(doors: Doors):
    told = {
        "maker": "Ardlune",
        "type_name": "Fescue",
        "sensor_part": "FS-1",
        "electronics_part": "FE-1",
        "accepts": ["letter", "calibration_sheet"],
    }
    rows = {
        "class_limits__0__quantity": "gyro_bias",
        "class_limits__0__value": "0.01",
        "class_limits__0__statistic": "rms",
        "class_limits__2__value": "0.2",
    }
    done = doors.visitor("oda").act("add_unit_type", **told, **rows)
    assert done.status == 303
    assert [row.value for row in doors.rows("class_limit")] == ["0.01", "0.2"] or sorted(
        row.value for row in doors.rows("class_limit")
    ) == ["0.01", "0.2"]
    assert sorted(
        row.grade
        for row in doors.rows("accepted_statement")
        if row.unit_type_id not in (doors.world.ids["reed"], doors.world.ids["sedge"])
    ) == ["calibration_sheet", "letter"]


def test_what_is_ticked_is_kept_through_a_refusal(untouched: Doors):
    answer = untouched.visitor("oda").act(
        "add_unit_type", maker="Ardlune", type_name="Reed", sensor_part="F", electronics_part="E", accepts=["letter"]
    )
    assert answer.status == 409
    ticked = [node.attrs["value"] for node in answer.root.all("input", name="accepts") if "checked" in node.attrs]
    assert ticked == ["letter"]


def test_an_address_fills_in_the_fields_it_names_and_no_others(untouched: Doors):
    page = untouched.visitor("ida").get(
        "/act/place_hold?half=K1&reason=Fell&cause=dropped&pin=1234&csrf_token=x&nonsense=1&id=x&seen=9"
    )
    form = page.form("/act/place_hold")
    assert (form.value("half"), form.value("reason"), form.value("cause")) == ("K1", "Fell", "dropped")
    assert form.value("id") not in ("", "x")
    assert form.value("seen") == str(untouched.size())
    assert form.value("csrf_token") != "x"
    assert "nonsense" not in form.names()


def test_a_pin_is_never_filled_in_nor_sent_back(untouched: Doors):
    page = untouched.visitor("ida").get("/act/close_housing?pin=2846")
    assert page.form("/act/close_housing").value("pin") == ""
    answer = untouched.visitor("ida").act("close_housing", housing="nothing", pin=PIN)
    assert (answer.status, answer.form("/act/close_housing").value("pin")) == (422, "")


def test_each_form_has_an_id_of_its_own(untouched: Doors):
    ids = {untouched.visitor("ida").get("/act/note_fault").form("/act/note_fault").value("id") for _ in range(5)}
    assert len(ids) == 5


def test_a_form_sent_twice_is_one_entry_also_when_time_went_by(doors: Doors):
    """The instant is left empty: the second sending must mean the first one's, not a new now."""
    ida, size = doors.visitor("ida"), doors.size()
    page = ida.get("/act/note_fault")
    form = page.form("/act/note_fault")
    told = {"half": doors.code("p1 s"), "words": "hums"}
    assert ida.send(page, form, **told).status == 303
    doors.world.later(minutes=3)
    again = ida.send(page, form, **told)
    assert (again.status, doors.size()) == (303, size + 1)
    assert ida.follow(again).flashes[-1].endswith("It was there already.")
    other = ida.send(page, form, **(told | {"words": "hums louder"}))
    assert other.status == 409
    assert other.told() == [
        "The id "
        + form.value("id")
        + " already stands for another act, or for this one with other fields. Look in the log whether it is there. If this is a new act, send it again with a new id (a page has given it one)."
    ]


def test_a_page_that_shows_less_than_was_done_since_is_stale(doors: Doors):
    oda = doors.visitor("oda")
    page = oda.get("/act/accept_type")
    form = page.form("/act/accept_type")
    told = {"bay": doors.code("teasel A"), "unit_type": doors.world.ids["sedge"]}
    doors.world.do("accept_type", "20 11:00", by="oda", **told)
    answer = oda.send(page, form, **told)
    assert answer.status == 409
    assert any("was changed by entry" in told for told in answer.told())


def test_an_instant_may_be_typed_with_its_offset(doors: Doors):
    done = doors.visitor("ida").act(
        "note_fault", half=doors.code("p1 s"), words="hums", happened_at="2026-05-19T10:30:00+02:00"
    )
    assert done.status == 303
    row = next(row for row in doors.rows("log_entry") if row.seq == doors.size())
    assert (row.happened_at, row.happened_offset_min) == ("2026-05-19T08:30:00.000000Z", 120)


@pytest.mark.parametrize("field", ["strap_mohm", "air_c", "happened_at"])
def test_every_refused_field_points_at_what_is_told_about_it(field: str, untouched: Doors):
    answer = untouched.visitor("oda").act("sign_esd", station=untouched.world.ids["bench"], **{field: "nonsense"})
    entry = answer.root.one("input", name=field)
    assert entry.attrs["aria-invalid"] == "true"
    assert f"{entry.attrs['id']}-t1" in entry.attrs["aria-describedby"].split()


def test_a_second_person_signs_with_their_own_pin(doors: Doors):
    doors.world.install("p1", "teasel A", "20 09:00")
    told = {"housing": doors.world.ids["teasel forward"], "second": doors.world.ids["yusuf"]}
    ida = doors.visitor("ida")
    assert ida.act("close_housing", **told).status == 403
    assert ida.act("close_housing", **told, second_pin="0000").beside("second_pin")
    assert ida.act("close_housing", **told, second_pin=PIN).status == 303
    entry = next(row for row in doors.rows("log_entry") if row.seq == doors.size())
    assert entry.second_id == doors.world.ids["yusuf"]


def test_nobody_is_their_own_second_person(doors: Doors):
    doors.world.install("p1", "teasel A", "20 09:00")
    answer = doors.visitor("ida").act(
        "close_housing", housing=doors.world.ids["teasel forward"], second=doors.world.ids["ida"], second_pin=PIN
    )
    assert answer.status == 403
    assert answer.beside("second")[0].startswith("The second person is another one than who did it or signs it.")


def test_how_not_to_be_hurt_stands_at_the_act(untouched: Doors):
    page = untouched.visitor("ida").get("/act/open_housing")
    cautions = [node.words for node in page.root.all("p", cls="caution")]
    assert cautions[0].startswith("Vent first.")
    assert "people trained and authorised for it" in page.words


def test_a_choice_that_is_not_offered_any_more_is_kept(untouched: Doors):
    ida = untouched.visitor("ida")
    answer = ida.act("leave_station", esd_signoff=untouched.world.ids["sign-off"], happened_at="2029-01-01T00:00")
    assert answer.form("/act/leave_station").value("esd_signoff") == untouched.world.ids["sign-off"]


def test_a_fault_in_the_second_row_stands_beside_the_second_row(untouched: Doors):
    answer = untouched.visitor("oda").act(
        "amend_times", changes__1__act="x", changes__1__at="2026-05-10T09:00", why="read again"
    )
    assert answer.beside("changes-1-act")
    assert not answer.beside("changes-0-act")


def test_scanned_fields_offer_what_there_is_to_choose_from(untouched: Doors):
    page = untouched.visitor("ida").get("/act/record_sighting")
    listed = page.root.one("input", name="bay").attrs.get("list")
    words = [option.attrs["value"] for option in page.root.one("datalist", id=listed).all("option")]
    assert "Teasel, bay A" in words


@pytest.mark.parametrize(
    ("act", "told"),
    [("place_hold", {"reason": "x"}), ("record_sighting", {"bay": "teasel A"}), ("record_knock", {"words": "x"})],
)
def test_a_fault_of_the_whole_act_is_a_sentence_of_its_own(act: str, told: dict[str, str], untouched: Doors):
    answer = untouched.visitor("ida").act(act, **told)
    assert answer.told()
    assert [sentence for sentence in answer.told() if sentence.startswith(":")] == []


def test_what_is_missing_in_a_row_is_told_by_its_own_name(untouched: Doors):
    answer = untouched.visitor("oda").act(
        "amend_times", changes__0__act=untouched.world.ids["install 1"], why="read again"
    )
    assert answer.beside("changes-0-at") == ["“As it really was” is missing. Fill it in."]


def test_a_time_that_cannot_be_is_told_once_on_top_and_once_beside_it(untouched: Doors):
    page = untouched.visitor("ida").get("/fleet?at=yesterday")
    assert (page.heading.count("Give "), page.beside("at")[0].count("Give "), page.words.count("Give ")) == (1, 1, 2)
