"""People, sites and stations through their pages."""

from tests.web.doors import Doors


def test_a_new_person_gets_a_name_a_role_and_a_first_password(doors: Doors):
    maren = doors.visitor("maren")
    done = maren.act("add_person", private__name="Lise", private__badge="HSS-9", role="technician")
    people = maren.follow(done)
    assert people.heading == "People"
    row = next(item for item in people.root.one("ul", cls="rows").all("li") if item.words.startswith("Lise"))
    assert "Technician." in row.words
    lise = doors.rows("person_private")[-1].person_id
    lise = next(row.person_id for row in doors.rows("person_private") if row.name == "Lise")
    maren.send(people, people.form("/people/secret"), person=lise, kind="password", secret="harbour lamp three")
    stranger = doors.stranger()
    page = stranger.get("/sign-in")
    assert stranger.send(page, page.form(method="post"), name="HSS-9", password="harbour lamp three").status == 303


def test_the_name_never_enters_the_log(doors: Doors):
    doors.visitor("maren").act("add_person", private__name="Lise Unheard", role="technician")
    assert not any(b"Lise" in bytes(row.entry) for row in doors.rows("log_entry"))


def test_two_people_of_one_name_are_told_apart(untouched: Doors):
    answer = untouched.visitor("maren").act("add_person", private__name="Ida")
    assert answer.status == 409
    assert answer.beside("private-name") == ["Ida is in the registry already. Add what tells the two apart."]


def test_roles_and_training_are_shown_as_they_stand(untouched: Doors):
    page = untouched.visitor("anselm").get("/people")
    rows = {item.one("span", cls="what").words: item.words for item in page.root.one("ul", cls="rows").all("li")}
    assert "Fleet manager." in rows["Piet"]
    assert "ESD handling: good to 1 June 2026." in rows["Ida"]
    assert "Left 17 May 2026." in rows["Jon"]


def test_a_keeper_gives_and_ends_roles_from_the_page(doors: Doors):
    maren = doors.visitor("maren")
    page = maren.get("/people")
    way = next(
        node.attrs["href"]
        for node in page.root.all("a")
        if node.words == "Give a role" and doors.world.ids["piet"] in node.attrs["href"]
    )
    form_page = maren.get(way)
    done = maren.send(form_page, form_page.form("/act/give_role"), role="workshop_lead")
    assert "Fleet manager, workshop lead." in maren.follow(done).words
    again = maren.act("give_role", person=doors.world.ids["piet"], role="workshop_lead")
    assert again.beside("role") == ["That person is workshop lead since 20 May 2026. There is nothing to do."]


def test_nobody_ends_their_own_account(untouched: Doors):
    answer = untouched.visitor("maren").act("record_departure", person=untouched.world.ids["maren"])
    assert answer.status == 403
    assert answer.beside("person")[0].startswith("Nobody ends their own account.")


def test_sites_are_shown_with_their_stations(untouched: Doors):
    page = untouched.visitor("oda").get("/sites")
    shed = next(node for node in page.root.all("section", cls="part") if node.one("h2").words.startswith("North shed"))
    assert "Bench 2" in shed.words
    assert f"/esd?station={untouched.code('bench')}" in [node.attrs["href"] for node in shed.all("a")]


def test_a_station_is_added_where_it_stands(doors: Doors):
    done = doors.visitor("oda").act("add_station", site=doors.world.ids["vessel"], station="Kit 7", kind="field_kit")
    assert doors.visitor("oda").follow(done).heading == "Kit 7: needs a check."
