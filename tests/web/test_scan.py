"""The scan line and the tray: texts pile up in the address, the verdict stands above, near matches are never picked."""

import pytest

from tests.web.doors import Doors, Page, Visitor
from tests.web.html import Form
from tests.web.test_account import sign_in


def scan(visitor: Visitor, page: Page, text: str) -> Page:
    """Type on the scan line of this page and press Enter."""
    form = Form(page.root.one("main").one("form", cls="scan"))
    return visitor.send(page, form, text=text)


def on_tray(doors: Doors, *texts: str) -> Page:
    return doors.visitor("ida").get("/", query_string={"on": list(texts)})


def band(page: Page) -> tuple[str, str]:
    """(weight, heading) of the verdict; there is never more than one."""
    found = page.root.all("section", cls="verdict")
    assert len(found) == 1
    weights = set(found[0].classes) - {"verdict"}
    return (weights.pop() if weights else "", found[0].one("h1").words)


def articles(page: Page) -> list[str]:
    return [node.one("h3").words for node in page.root.all("article")]


@pytest.fixture
def codes(untouched: Doors):
    return untouched.code


def test_the_first_page_asks_for_anything_and_says_how_to_begin(untouched: Doors):
    page = untouched.visitor("ida").get("/")
    assert page.heading == "Scan anything."
    assert "The tray is empty." in page.words
    assert page.root.one("input", id="scan").has(autofocus="") is True


def test_what_is_scanned_piles_up_in_the_address_and_says_at_once_what_it_is(untouched: Doors, codes):
    visitor = untouched.visitor("ida")
    one = scan(visitor, visitor.get("/"), codes("p1 s").lower())
    assert articles(one) == [f"Sensor half {codes('p1 s')[:4]} {codes('p1 s')[4:]}"]
    assert (
        f"Its partner is electronics half {codes('p1 e')[:4]} {codes('p1 e')[4:]}, in Teasel, bay A, since 10 May 2026."
        in one.words
    )
    two = scan(visitor, one, f"{codes('p1 e')[:4]}-{codes('p1 e')[4:]}")
    assert band(two) == ("", "Whole. p1.")
    assert two.path.count("on=") == 1
    three = scan(visitor, two, "burdock")
    assert [node.attrs["value"] for node in three.root.all("input", name="on")] == [
        codes("p1 s"),
        codes("p1 e"),
        codes("burdock"),
    ]
    cleared = visitor.get(three.links("plain")["Clear the tray"])
    assert "The tray is empty." in cleared.words


def test_scanning_a_thing_twice_puts_it_down_once(untouched: Doors, codes):
    page = on_tray(untouched, codes("p1 s"), codes("p1 s"))
    assert len(articles(page)) == 1
    assert len(page.root.all("input", name="on")) == 1


VERDICTS = [
    (("p1 s", "p1 e"), ("", "Whole. p1.")),
    (("p1 e", "p1 s"), ("", "Whole. p1.")),
    (("p1 s", "p2 e"), ("stops", "Mixed. Do not join.")),
    (("p2 e", "p1 s"), ("stops", "Mixed. Do not join.")),
    (("p1 s", "lone e"), ("stops", "Mixed. Do not join.")),
    (("p1 s", "p2 s"), ("stops", "Two sensor halves.")),
    (("p1 e", "p2 e"), ("stops", "Two electronics halves.")),
    (("gone s", "gone e"), ("stops", "Were a pair once.")),
    (("lone s", "lone e"), ("unsure", "No statement joins these two.")),
    (("p3 s", "p3 e"), ("stops", "On hold. Do not install.")),
    (("p1 s", "p1 e", "p5 s", "p5 e"), ("", "2 pairs are whole.")),
    (("p1 s", "p1 e", "p5 s"), ("stops", "1 pair is whole.")),
    (("p1 s", "p5 s", "lone e"), ("stops", "0 pairs are whole.")),
]


@pytest.mark.parametrize(("names", "verdict"), VERDICTS, ids=[" + ".join(names) for names, _ in VERDICTS])
def test_the_verdict_on_what_lies_on_the_tray(
    names: tuple[str, ...], verdict: tuple[str, str], untouched: Doors, codes
):
    assert band(on_tray(untouched, *(codes(name) for name in names))) == verdict


def test_mixed_names_both_right_partners_and_where_they_are(untouched: Doors, codes):
    page = on_tray(untouched, codes("p1 s"), codes("p2 e"))
    spoken = {name: f"{codes(name)[:4]} {codes(name)[4:]}" for name in ("p1 e", "p2 s")}
    assert f"Its partner is electronics half {spoken['p1 e']}, in Teasel, bay A, since 10 May 2026." in page.words
    assert f"Its partner is sensor half {spoken['p2 s']}, in Burdock, bay B, since 12 May 2026." in page.words
    assert not [words for words in page.links() if words.startswith("Go /")]


def test_a_half_that_receiving_has_not_let_in_says_so_on_the_tray(untouched: Doors, codes):
    page = on_tray(untouched, codes("p6 s"), codes("p6 e"))
    assert band(page) == ("", "Whole. p6.")
    assert "Not to be installed: it is not inspected: it stands sealed in carton 1 of DN-7." in page.words
    assert "Not to be installed: it is not inspected: carton 2 of DN-7 is open." in page.words
    assert "Not to be installed" not in on_tray(untouched, codes("odd e"), codes("p5 s")).words


def test_a_pair_and_a_bay_offer_the_go_no_go(untouched: Doors, codes):
    page = on_tray(untouched, codes("p5 s"), codes("p5 e"), codes("burdock A"))
    assert (
        page.links("act")["Go / no-go for Burdock, bay A"]
        == f"/bays/{codes('burdock A')}/swap?sensor_in={codes('p5 s')}&electronics_in={codes('p5 e')}"
    )


def test_two_halves_of_two_pairs_and_a_bay_offer_to_record_them_and_no_install(untouched: Doors, codes):
    page = on_tray(untouched, codes("p5 s"), codes("p1 e"), codes("burdock A"))
    assert page.links("act")["Record that they are in Burdock, bay A"].startswith("/act/record_sighting?")
    assert not [href for href in page.links().values() if "/swap" in href]


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("{burdock A}", "Bay"),
        ("{teasel}", "Vehicle"),
        ("teasel", "Vehicle"),
        ("{bench}", "Station"),
        ("{shed}", "Site"),
        ("{ida}", "Person"),
    ],
)
def test_everything_with_a_code_is_known_on_the_line(text: str, kind: str, untouched: Doors):
    from tests.web.test_pages import spelt

    page = untouched.visitor("ida").get("/", query_string={"text": spelt(untouched, text)})
    assert page.root.one("article").one("p").words.startswith(kind)


def test_the_name_of_a_pair_puts_both_halves_down(untouched: Doors):
    page = untouched.visitor("ida").get("/", query_string={"text": " p1 "})
    assert band(page) == ("", "Whole. p1.")


# not known, nearly known, known twice


def test_something_unknown_stays_on_the_tray_and_may_be_received(untouched: Doors):
    page = untouched.visitor("oda").get("/", query_string={"text": "QQ-17"})
    assert band(page) == ("unsure", "Nothing in the registry bears this label.")
    assert page.root.one("input", name="on").attrs["value"] == "QQ-17"
    assert page.links("act")["Receive this half"] == "/act/receive_half?label=QQ-17"


@pytest.mark.parametrize("typed", ["S-pl", "s-p1", "5-p1", "S-P1"])
def test_near_matches_are_listed_and_never_picked(typed: str, untouched: Doors, codes):
    page = untouched.visitor("ida").get("/", query_string={"text": typed})
    assert band(page)[0] == "unsure"
    assert "Near it, and not taken for it:" in page.words
    near = [node.words for node in page.root.one("article").all("mark")]
    assert "S-p1" in near
    assert page.root.one("input", name="on").attrs["value"] == typed
    assert not page.root.all("article", cls="stack")[1:]


def test_a_code_that_was_misread_is_never_mended(untouched: Doors, codes):
    code = codes("p1 s")
    wrong = code[:-1] + ("0" if code[-1] != "0" else "1")
    page = untouched.visitor("ida").get("/", query_string={"text": wrong})
    assert band(page) == (
        "unsure",
        f"{wrong[:4]} {wrong[4:]} fails its check character: one letter was misread. Scan again.",
    )


@pytest.mark.parametrize("letter", "ILOU")
def test_letters_that_no_code_has_are_told(letter: str, untouched: Doors, codes):
    page = untouched.visitor("ida").get("/", query_string={"text": codes("p1 s")[:7] + letter})
    assert f"{letter} is never in one of our codes" in band(page)[1]


def test_a_serial_that_two_makers_share_is_decided_by_a_person(doors: Doors):
    told = {"kind": "sensor", "site": "shed", "serial": "4711"}
    doors.world.do(
        "add_unit_type",
        "2 09:00",
        by="oda",
        name="rush",
        maker="Velloway",
        type_name="Rush",
        sensor_part="V-1",
        electronics_part="V-2",
        accepts=["letter"],
    )
    doors.world.do(
        "receive_half", "3 09:00", by="oda", name="one", unit_type="reed", maker="Ardlune", part="RS-100", **told
    )
    doors.world.do(
        "receive_half", "3 09:00", by="oda", name="two", unit_type="rush", maker="Velloway", part="V-1", **told
    )
    page = doors.visitor("ida").get("/", query_string={"text": "4711"})
    assert band(page) == ("unsure", "2 halves bear this serial.")
    offered = {href for words, href in page.links().items() if words.startswith("Sensor half")}
    assert offered == {f"/?text={doors.code('one')}", f"/?text={doors.code('two')}"}
    for fact in ("Ardlune Reed, part RS-100", "Velloway Rush, part V-1"):
        assert fact in page.words


def test_a_foreign_address_is_never_opened_or_taken_for_ours(untouched: Doors, codes):
    page = untouched.visitor("ida").get("/", query_string={"text": f"https://elsewhere.example/I/{codes('p1 s')}"})
    assert band(page)[0] == "unsure"
    assert "elsewhere.example" not in "".join(page.links().values())


@pytest.mark.parametrize("copy", ["", "/2"])
def test_our_own_address_is_read_in_either_case(copy: str, untouched: Doors, codes):
    for text in (
        f"HTTPS://PAIRBOOK.EXAMPLE/I/{codes('p1 s')}{copy}",
        f"https://pairbook.example/i/{codes('p1 s')}{copy}",
    ):
        page = untouched.visitor("ida").get("/", query_string={"text": text})
        assert articles(page)[0].startswith("Sensor half")


def test_a_maker_s_label_is_read_with_its_separators_spelt_as_a_scanner_types_them(doors: Doors):
    """Format 06: maker, part and serial between separators, as keys or spelt out."""
    label = "[)>\x1e06\x1d17V1A2B3\x1d1PRS-100\x1dS77-A\x1e\x04"
    spelt = label.replace("\x1e", "{RS}").replace("\x1d", "{GS}").replace("\x04", "{EOT}")
    doors.world.do(
        "receive_half", "3 09:00", by="oda", name="scanned", kind="sensor", unit_type="reed", label=label, site="shed"
    )
    for text in (label, spelt, label + "\r"):
        page = doors.visitor("ida").get("/", query_string={"text": text})
        assert articles(page) == [f"Sensor half {doors.code('scanned')[:4]} {doors.code('scanned')[4:]}"]
        assert page.root.one("input", name="on").attrs["value"] == doors.code("scanned")


def test_a_label_that_lost_its_separators_is_not_guessed_at(untouched: Doors):
    page = untouched.visitor("ida").get("/", query_string={"text": "[)>0617V1A2B31PRS-100S77-A"})
    assert band(page)[0] == "unsure"
    assert not page.links("act")


# limits


def test_forty_things_are_kept_and_the_rest_is_left(untouched: Doors):
    page = on_tray(untouched, *(f"unknown {number}" for number in range(60)))
    assert len(page.root.all("input", name="on")) == 40


@pytest.mark.parametrize(
    "text",
    [
        "x" * 100_000,
        "\x07\x08",
        "\u202ereversed",
        " ",
        "\t\n",
        "'; DROP TABLE half; --",
        "%",
        "\\",
        "\ufeff",
        "🙂" * 500,
    ],
    ids=range(10),
)
def test_whatever_is_typed_gives_a_page(text: str, untouched: Doors):
    page = untouched.visitor("ida").get("/", query_string={"text": text})
    assert (page.status, page.faults) == (200, [])
    assert all(len(node.attrs["value"]) <= 1000 for node in page.root.all("input", name="on"))


# labels opened by a phone's own camera


@pytest.mark.parametrize("path", ["/I/{}", "/i/{}"])
def test_the_address_on_a_label_puts_the_thing_on_the_tray(path: str, untouched: Doors, codes):
    visitor = untouched.visitor("ida")
    answer = visitor.client.get(path.format(codes("p1 s")), follow_redirects=True)
    page = Page(answer, path)
    assert answer.request.full_path == f"/?text={codes('p1 s')}"
    assert articles(page)[0].startswith("Sensor half")


@pytest.mark.parametrize("path", ["/I/{}/3", "/i/{}/3"])
def test_the_address_on_a_copy_puts_the_thing_on_the_tray_as_a_copy(path: str, untouched: Doors, codes):
    visitor = untouched.visitor("ida")
    page = Page(visitor.client.get(path.format(codes("p1 s")), follow_redirects=True), path)
    assert articles(page)[0].startswith("Sensor half")
    assert "Copy 3 of its label. It says which half is meant, not where the half is." in page.words
    assert page.root.one("input", name="on").attrs["value"] == f"HTTPS://PAIRBOOK.EXAMPLE/I/{codes('p1 s')}/3"


@pytest.mark.parametrize("tail", ["0", "100", "x", "²", "-1"])
def test_a_number_no_copy_has_is_not_taken_for_one(tail: str, untouched: Doors, codes):
    page = Page(untouched.visitor("ida").client.get(f"/i/{codes('p1 s')}/{tail}", follow_redirects=True), "/i")
    assert (page.status, band(page)[0]) == (200, "unsure")
    assert articles(page)[0].startswith("“")


def test_a_copy_stays_a_copy_when_the_tray_hands_it_on(untouched: Doors, codes):
    copy = f"HTTPS://PAIRBOOK.EXAMPLE/I/{codes('p5 s')}/2"
    page = on_tray(untouched, copy, codes("p5 e"), codes("burdock A"))
    assert f"/I/{codes('p5 s')}/2" in page.links("act")["Go / no-go for Burdock, bay A"]
    both = on_tray(untouched, copy, codes("p5 s"), codes("p5 e"), codes("burdock A"))
    assert "/2" not in both.links("act")["Go / no-go for Burdock, bay A"]
    assert "Copy 2" not in both.words


def test_the_sighting_the_tray_offers_for_a_copy_is_refused(lived: Doors):
    codes, before = lived.code, lived.size()
    copy = f"HTTPS://PAIRBOOK.EXAMPLE/I/{codes('p5 s')}/2"
    visitor = lived.visitor("ida")
    page = visitor.get("/", query_string={"on": [copy, codes("p1 e"), codes("burdock A")]})
    act = visitor.get(page.links("act")["Record that they are in Burdock, bay A"])
    refused = visitor.send(act, act.form("/act/record_sighting"))
    assert refused.status == 422
    assert (
        "This is copy 2 of the label" in refused.told()[0] and "Scan the label on the half itself." in refused.told()[0]
    )
    assert lived.size() == before


def test_a_label_scanned_by_somebody_who_is_not_signed_in_waits_for_the_sign_in(untouched: Doors, codes):

    stranger = untouched.stranger()
    answer = stranger.client.get(f"/I/{codes('p1 s')}", follow_redirects=True)
    assert answer.request.path == "/sign-in"
    onward = sign_in(stranger, next_=answer.request.args["next"]).response.headers["Location"]
    assert stranger.client.get(onward, follow_redirects=True).request.full_path == f"/?text={codes('p1 s')}"


# what waits


def test_what_waits_for_a_hand_stands_beneath_oldest_first(untouched: Doors):
    page = untouched.visitor("rosa").get("/")
    waits = [node.words for node in page.root.all("section")[-1].all("span", cls="what")]
    assert waits[0].startswith("Sensor half") and waits[0].endswith("a hold needs an answer")
    assert waits[1] == "Pair p2: a hold needs an answer"
    assert page.links("go")["Release it"] == f"/act/release_hold?hold={untouched.world.ids['order hold']}"


def test_the_page_of_what_waits_lists_all_of_it_with_the_act_that_answers(untouched: Doors):
    page = untouched.visitor("rosa").get("/waiting")
    assert page.heading == "7 things wait for a hand."
    assert page.words.count("Since") == 7


def test_an_id_in_a_scan_field_is_answered(doors: Doors):
    """The door takes ids, the tray does not: the page must not stumble over the difference."""
    scans = {"sensor_in": doors.world.ids["p1 s"], "electronics_in": doors.world.ids["p1 e"]}
    page = doors.visitor("ida").get(f"/bays/{doors.code('teasel A')}/swap", query_string=scans)
    assert page.status == 200
    assert page.heading


def test_a_scan_that_is_not_known_does_not_hide_that_two_halves_are_mixed(untouched: Doors):
    for texts in (("p1 s", "p2 e", "QQ-17"), ("p1 s", "QQ-17", "p2 e")):
        assert band(on_tray(untouched, *(untouched.code(name) if " " in name else name for name in texts))) == (
            "stops",
            "Mixed. Do not join.",
        )


@pytest.mark.parametrize("names", [("p1 s",), ("teasel A",), ("bench",), ("ida",), ("teasel",)])
def test_the_tray_has_a_heading_whatever_lies_on_it(names: tuple[str, ...], untouched: Doors):
    assert on_tray(untouched, *map(untouched.code, names)).heading
