"""ESD sign-offs: one's own readings at a station; the verdict is worked out, and told with the limits in force."""

import pytest

from tests.web.doors import PIN, Doors, Page, new_id

GOOD = {"strap_mohm": "7.2", "surface_mohm": "40", "field_kv_m": "0.4", "meters": "BT-04\nRM-1\nFM-2"}


def take(doors: Doors, who: str = "oda", station: str = "bench", pin: str = PIN, **readings: str | None) -> Page:
    visitor = doors.visitor(who)
    page = visitor.get("/esd", query_string={"station": doors.code(station)})
    return visitor.send(page, page.form("/esd", method="post"), pin=pin, **readings)


def test_one_chooses_where_one_is(doors: Doors):
    page = doors.visitor("oda").get("/esd")
    assert page.heading == "ESD sign-off"
    ways = [node.attrs["href"] for node in page.root.one("main").all("a") if node.words == "Take the readings"]
    assert ways == [f"/esd?station={doors.code('kit')}", f"/esd?station={doors.code('bench')}"]


@pytest.mark.parametrize(
    ("readings", "heading", "figure"),
    [
        (GOOD, "Pass.", "3 of 3"),
        (GOOD | {"strap_mohm": "35"}, "Fail. Leave the bag closed.", "2 of 3"),
        (GOOD | {"strap_mohm": "34.999"}, "Pass.", "3 of 3"),
        (GOOD | {"strap_mohm": "0.74"}, "Fail. Leave the bag closed.", "2 of 3"),
        (GOOD | {"surface_mohm": "1000"}, "Fail. Leave the bag closed.", "2 of 3"),
        (GOOD | {"field_kv_m": "5"}, "Fail. Leave the bag closed.", "2 of 3"),
        (GOOD | {"strap_mohm": None, "strap_open": "y"}, "Fail. Leave the bag closed.", "2 of 3"),
        (GOOD | {"field_kv_m": None}, "Incomplete. Leave the bag closed.", "2 of 3"),
        (GOOD | {"meters": "BT-04"}, "Incomplete. Leave the bag closed.", "3 of 3"),
        (GOOD | {"meters": ""}, "Incomplete. Leave the bag closed.", "3 of 3"),
    ],
)
def test_the_verdict_follows_from_the_readings(
    readings: dict[str, str | None], heading: str, figure: str, doors: Doors
):
    done = take(doors, **readings)
    page = doors.visitor("oda").follow(done)
    assert page.heading == heading
    assert page.root.one("p", cls="figure").words.startswith(figure)
    rows = [item.words for item in page.root.one("ol", cls="findings").all("li")]
    assert all("Limit in force:" in row and "under" in row for row in rows)
    assert all("ANSI/ESD S20.20-2021" in row for row in rows)


def test_a_kit_asks_for_other_readings_and_for_a_clear_deck(doors: Doors):
    page = doors.visitor("oda").get("/esd", query_string={"station": doors.code("kit")})
    names = page.form("/esd", method="post").names()
    assert {"strap_mohm", "bond_mohm", "insulators_cleared", "gloves_on"} <= set(names)
    assert "surface_mohm" not in names
    told = {"strap_mohm": "7", "bond_mohm": "12", "meters": "RM-1", "gloves_on": "y"}
    assert (
        doors.visitor("oda").follow(take(doors, station="kit", **told)).heading == "Incomplete. Leave the bag closed."
    )
    assert doors.visitor("oda").follow(take(doors, station="kit", insulators_cleared="y", **told)).heading == "Pass."


def test_nobody_signs_for_another(doors: Doors):
    assert take(doors, **GOOD).status == 303
    signed = next(row for row in doors.rows("esd_signoff") if row.person_id == doors.world.ids["oda"])
    doors.world.later(minutes=10)
    assert "for Oda only" in doors.visitor("ida").get(f"/esd/{signed.id}").words
    assert "Leave the station" not in doors.visitor("ida").get(f"/esd/{signed.id}").links()
    answer = doors.visitor("ida").act("leave_station", esd_signoff=signed.id)
    assert (answer.status, answer.told()) == (
        403,
        ["That sign-off is another person’s; only they end it. Choose your own."],
    )


def test_leaving_the_station_ends_it(doors: Doors):
    oda = doors.visitor("oda")
    oda.follow(take(doors, **GOOD))
    doors.world.later(hours=1)
    chosen = oda.get("/esd")
    assert chosen.heading == "Your sign-off holds."
    page = oda.get(chosen.links("act")["Leave the station"])
    done = oda.send(page, page.form("/act/leave_station"))
    assert oda.follow(done).heading == "Pass. It is over."
    assert oda.get("/esd").heading == "No sign-off of yours holds now."


def test_it_is_over_after_twelve_hours(doors: Doors):
    oda = doors.visitor("oda")
    take(doors, **GOOD)
    doors.world.later(hours=12)
    assert oda.get("/esd").heading == "No sign-off of yours holds now."


@pytest.mark.parametrize(
    ("readings", "field", "sentence"),
    [
        (
            {"strap_mohm": "7,2"},
            "strap_mohm",
            "Wrist strap: '7,2' is not a figure. Write digits with a point, like 7.2.",
        ),
        (
            {"strap_mohm": "much"},
            "strap_mohm",
            "Wrist strap: 'much' is not a figure. Write digits with a point, like 7.2.",
        ),
        ({"strap_mohm": "-1"}, "strap_mohm", "Wrist strap: -1 is too low; the least that makes sense is 0."),
        (
            {"surface_mohm": "1e9"},
            "surface_mohm",
            "Bench surface to ground: '1e9' is not a figure. Write digits with a point, like 7.2.",
        ),
        (
            {"strap_mohm": "7", "strap_open": "y"},
            "strap_mohm",
            "A reading and an open circuit cannot both be. Clear the figure or the tick.",
        ),
    ],
)
def test_a_reading_that_cannot_be_is_told_beneath_it_and_everything_is_kept(
    readings: dict[str, str], field: str, sentence: str, untouched: Doors
):
    answer = take(untouched, **(GOOD | readings))
    assert answer.status == 422
    assert answer.beside(field) == [sentence]
    form = answer.form("/esd", method="post")
    for name, value in (GOOD | readings).items():
        assert form.value(name).split() == value.split()


def test_a_wrong_pin_keeps_the_readings(untouched: Doors):
    answer = take(untouched, pin="0000", **GOOD)
    assert answer.status == 401
    assert answer.form("/esd", method="post").value("strap_mohm") == "7.2"


def test_signing_the_same_readings_twice_is_one_entry(doors: Doors):
    oda = doors.visitor("oda")
    page = oda.get("/esd", query_string={"station": doors.code("bench")})
    form, size = page.form("/esd", method="post"), doors.size()
    for _ in range(3):
        assert oda.send(page, form, pin=PIN, **GOOD).status == 303
    assert doors.size() == size + 1


def test_a_station_that_is_not_there_is_told_with_those_that_are(untouched: Doors):
    page = untouched.visitor("oda").get("/esd?station=nowhere")
    assert page.status == 422
    assert (
        page.heading
        == "No station is called “nowhere”. Known: Halcyon Tern Kit 1, North shed Bench 2, North shed Bench 3."
    )


def test_a_sign_off_that_is_not_there_is_not_found(untouched: Doors):
    for path in ("/esd/nothing", f"/esd/{untouched.world.ids['p1']}"):
        assert untouched.visitor("oda").get(path).status == 404


def test_how_not_to_be_hurt_stands_at_the_readings(untouched: Doors):
    page = untouched.visitor("oda").get("/esd", query_string={"station": untouched.code("bench")})
    assert page.root.all("p", cls="caution")[0].words.startswith("Never strap on to live parts.")


def test_a_station_that_was_lost_from_the_form_is_told(untouched: Doors):
    oda = untouched.visitor("oda")
    answer = oda.post("/esd", {"csrf_token": oda.token(), "id": new_id(), "strap_mohm": "7", "pin": PIN})
    assert answer.status == 422


def test_the_meters_of_the_last_sign_off_there_are_filled_in(doors: Doors):
    take(doors, **GOOD)
    page = doors.visitor("ida").get("/esd", query_string={"station": doors.code("bench")})
    assert page.form("/esd", method="post").value("meters").split() == ["BT-04", "FM-2", "RM-1"]


def test_a_kit_is_shown_with_what_to_do_at_an_open_hull(untouched: Doors):
    for path in (f"/esd?station={untouched.code('kit')}", f"/stations/{untouched.code('kit')}"):
        page = untouched.visitor("ida").get(path)
        assert "clip person, mat, frame and unit to one common point" in page.words
        assert "Checked, good to 1 June 2026." in page.words


def test_a_station_page_says_whether_its_check_still_speaks(doors: Doors):
    oda = doors.visitor("oda")
    assert oda.get(f"/stations/{doors.code('bench')}").heading == "Bench 2: needs a check."
    checked = oda.act(
        "check_station",
        station=doors.world.ids["bench"],
        surface_mohm="1200",
        field_kv_m="0.4",
        looks_sound="y",
        meters="RM-1\nFM-2",
        pin=PIN,
    )
    page = oda.follow(checked)
    assert page.heading == "Bench 2: not to be used."
    assert "Bench surface to ground: 1200 MΩ" in page.words
    doors.world.later(minutes=5)
    assert oda.follow(take(doors, **GOOD)).heading == "Fail. Leave the bag closed."
    doors.world.later(minutes=5)
    again = oda.act(
        "check_station",
        station=doors.world.ids["bench"],
        surface_mohm="120",
        field_kv_m="0.4",
        looks_sound="y",
        meters="RM-1\nFM-2",
        pin=PIN,
    )
    assert oda.follow(again).heading == "Bench 2: checked."
    doors.world.later(minutes=5)
    assert oda.follow(take(doors, **GOOD | {"surface_mohm": None})).heading == "Pass."


def test_insulators_are_told_on_the_sign_off(untouched: Doors):
    page = untouched.visitor("ida").get(f"/esd/{untouched.world.ids['sign-off']}")
    assert "paper cup 300 V, kept 40 cm off" in page.words
