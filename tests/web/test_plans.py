"""The plan of a site on its page: what is in force, what the default is, and whose figure it is."""

from tests.web.doors import PIN, Doors


def test_a_site_shows_its_own_figure_with_the_default_and_the_reason(untouched: Doors):
    page = untouched.visitor("ida").get(f"/plan?site={untouched.code('shed')}")
    assert page.heading == "North shed works by this plan"
    assert "An ESD sign-off: 10 h" in page.words
    assert "plan, issue 2 (the site’s plan since 6 May 2026). short shifts Default: 12 h." in page.words
    assert "Back to the default" in page.links()
    everywhere = untouched.visitor("ida").get("/plan")
    assert "An ESD sign-off: 12 h" in everywhere.words and "Back to the default" not in everywhere.links()


def test_a_figure_that_is_less_careful_is_taken_and_said_to_be(doors: Doors):
    oda = doors.visitor("oda")
    told = {
        "figure": "strap_below_mohm",
        "site": doors.world.ids["shed"],
        "value": "50",
        "reason": "old straps",
        "source": "plan, issue 4",
    }
    page = oda.follow(oda.act("set_plan_figure", pin=PIN, **told))
    assert page.heading == "North shed works by this plan"
    flashed = " ".join(node.words for node in page.root.all("p", cls="strip"))
    assert "That is less careful than the default, 35 MΩ (ANSI/ESD S20.20-2021 table 2)." in flashed
    assert "Less careful than the default." in page.words


def test_a_value_that_is_none_is_told_beside_the_field(untouched: Doors):
    told = {"figure": "signoff_holds_h", "value": "7.5", "reason": "x", "source": "y"}
    answer = untouched.visitor("oda").act("set_plan_figure", pin=PIN, **told)
    assert (answer.status, answer.beside("value")) == (
        422,
        ["An ESD sign-off: whole hours only. Look at the unit, and enter it again."],
    )


def test_a_site_that_is_not_there_is_not_found(untouched: Doors):
    assert untouched.visitor("oda").get("/plan?site=nowhere").status == 404
