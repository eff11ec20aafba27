"""Reading labels: what is read, what is refused and in which words, and that nothing is ever guessed."""

import string
import subprocess
import sys
from pathlib import Path
from urllib.parse import quote

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from registry.domain.codes import code_url, draw_code
from registry.domain.labels import (
    Candidate,
    Element,
    complete,
    differences,
    fold_key,
    gs1,
    identity_key,
    near_matches,
    read_label,
    same_unit,
    say,
    say_warning,
)
from registry.domain.labels.dates import read_date
from registry.domain.labels.sayings import SAYINGS, WARNINGS
from registry.domain.labels.wedge import FAMILIES
from registry.errors import Reason

RS, GS, EOT = "\x1e", "\x1d", "\x04"
HOSTS = ("pairs.example.org",)
# The library of identifiers takes a moment to load; it is loaded before Hypothesis times its first example.
gs1.identifier_at("01")


def envelope(*elements, form="06"):
    return f"[)>{RS}{form}{GS}{GS.join(elements)}{RS}{EOT}"


def read(*elements, form="06"):
    return read_label(envelope(*elements, form=form))


def key(*elements, form="06"):
    return identity_key(read(*elements, form=form).identity)


# ---- what is refused

REFUSED = [
    ("", "empty"),
    (" \t\u202f ", "empty"),
    ("]d1", "empty"),
    ("7" * 7090, "too_long"),
    (f"17V98897{GS}1PABC", "no_header"),
    (f"SN1{EOT}", "no_header"),
    (f"[>){RS}06{GS}SA1{RS}{EOT}", "header_order"),
    (f"[)>06{GS}SA1{RS}{EOT}", "header_order"),
    (f"[)>{GS}06{RS}SA1{RS}{EOT}", "header_order"),
    ("[)>{RS}0617V98897{GS}SA1{RS}{EOT}", "header_order"),
    (f"SN1 [)>{RS}", "header_order"),
    (f"[)>{RS}07{GS}any text at all", "format_not_supported"),
    (f"[)>{RS}06{GS}SA1{RS}07{GS}text{RS}{EOT}", "format_not_supported"),
    ("[)>", "controls_lost"),
    ("[)>_06_17V98897", "controls_lost"),
    (f"[)>{RS}06{{GS}}SA1{RS}{EOT}", "mixed_separators"),
    (f"[)>{{RS}}06{{GS}}17V98897{GS}SA1{{RS}}{{EOT}}", "mixed_separators"),
    ("[)>{RS}06{GS}17V98897<GS>SA1{RS}{EOT}", "mixed_separators"),
    (f"[)>{RS}06{GS}SA1{{RS}}{{EOT}}", "mixed_separators"),
    ("]C101095060001343522112<GS>10LOT7", "spelled_separators"),
    ("]C101095060001343522112%1d10LOT7", "spelled_separators"),
    (f"[)>{RS}", "end_not_seen"),
    (f"[)>{RS}06", "end_not_seen"),
    (f"[)>{RS}06{GS}17V98897{GS}SA101", "end_not_seen"),
    (f"[)>{RS}06{GS}SA1{RS}05{GS}1313", "end_not_seen"),
    (f"[)>{RS}06{GS}SA1{EOT}{RS}", "trailer_order"),
    (f"[)>{RS}06{GS}SA1{RS}{RS}{EOT}", "trailer_order"),
    (f"[)>{RS}06{GS}SA1{RS}{EOT}{EOT}", "trailer_order"),
    (envelope("SA1") + "X", "data_after_end"),
    (f"[)>{RS}06{GS}SA1{RS}X", "data_after_end"),
    (envelope("SA1") + "\r\n]d1" + envelope("SA2"), "two_labels"),
    (f"[)>{RS}06{GS}SA1{RS}[)>{RS}06{GS}SA2{RS}", "two_labels"),
    ("SN1" + envelope("SA2"), "two_labels"),
    ("SN1\r\nSN2\r\n", "two_labels"),
    ("]d1SN1]d1SN2", "two_labels"),
    (envelope(""), "empty_element"),
    (envelope("", form="05"), "empty_element"),
    (envelope("SA1", "", ""), "empty_element"),
    (envelope("SA1", "", "", form="12"), "unknown_field"),
    (f"]d201095060001343522110{GS}{GS}21A", "empty_element"),
    (envelope("MFR ", "SER 1", form="12"), "empty_value"),
    (f"]d2010950600013435221{GS}10A", "empty_value"),
    (envelope("-A1"), "unknown_field"),
    (envelope("M1 0CVA5", form="12"), "unknown_field"),
    ("]d2SN00123", "unknown_field"),
    ("(01)09506000134352(98765)A", "value_too_long"),
    ("(01)09506000134352(1234)A", "unknown_field"),
    (envelope("SA1", "SA2"), "conflicting_values"),
    (f"]d20109506000134352{GS}21A{GS}21B", "conflicting_values"),
    (envelope("18S0CVA5A", "25SD0CVA5B"), "conflicting_values"),
    (envelope("sa1"), "qualifier_lower_case"),
    (envelope("ser 1", form="12"), "qualifier_lower_case"),
    ("ü=:06SA1", "keyboard_layout"),
    ("Å=:06SA1", "keyboard_layout"),
    ("HTTPSÖ--PAIRS.EXAMPLE.ORG-I-K7Q2M9XD", "keyboard_layout"),
    ("HTTPSM!!PAIRS;EXAMPLE;ORG!I!K7Q2M9XD", "keyboard_layout"),
    (envelope("1PX", "Q1"), "no_serial"),
    (envelope("MFR 0CVA5", "PNO 1", form="12"), "no_serial"),
    ("]E04006381333931", "no_serial"),
    ("]C100106141412345678908", "no_serial"),
    (envelope("S1"), "identity_incomplete"),
    (envelope("SER 1", form="12"), "identity_incomplete"),
    (envelope("18S0CVA5"), "identity_incomplete"),
    ("]C180100614141ABC", "identity_incomplete"),
    ("]C10109506000134353", "check_digit"),
    ("https://example.com/01/9506000134353/21/A", "check_digit"),
    (envelope("25S" + "D0CVA5" + "7" * 73), "value_too_long"),
    ("]C1010950600013435221" + "A" * 21, "value_too_long"),
    (envelope("37SUN1PN+1+2"), "field_form"),
    (envelope("37SUN1PN+"), "field_form"),
    (envelope("42S7AUN123"), "field_form"),
    (envelope("42S99UN123"), "field_form"),
    (envelope("42S00UN123"), "field_form"),
    (f"]C1010950600{GS}21A", "field_form"),
    (f"]C180100614141ABC{GS}801101", "field_form"),
    ("(01)9506000134352(21)A", "field_form"),
    ("]C101095060001343521126130021A", "bad_date"),
    ("]C101095060001343521126003121A", "bad_date"),
    (f"]C1010950600013435270032602311200{GS}21A", "bad_date"),
    ("]C1010950600013435221A#1", "charset"),
    ("https://example.com/01/09506000134352/21/A%2", "charset"),
    ("https://example.com/01/09506000134352/21/A%C3%84", "charset"),
    ("https://example.com/01/09506000134352/21/A/10/B", "qualifier_order"),
    ("https://example.com/01/09506000134352/21", "qualifier_order"),
    ("https://example.com/01/09506000134352/21/A/22/B/21/C", "qualifier_order"),
    ("https://example.com/2024/01/15/21", "url_not_ours"),
    ("https://example.com/8004/abc", "url_not_ours"),
    ("https://[::1/", "url_not_ours"),
    ("www.example.com", "url_not_ours"),
    ("ftp://example.com/01/09506000134352/21/A", "url_not_ours"),
    ("HTTPS://PAIRS.EXAMPLE.ORG/I/K7Q2M9XE", "code_misread"),
    ("HTTPS://PAIRS.EXAMPLE.ORG/I/K7Q2M9XO/2", "code_misread"),
    (envelope("SÄ1"), "not_ascii"),
    ("]C1010950600013435221Ä", "not_ascii"),
    ("https://example.com/ä", "not_ascii"),
    ("SN\u200b001", "not_ascii"),
    ("SN\ud800", "not_ascii"),
    (envelope("SA\x001"), "control_in_value"),
    ("SN\x7f001", "control_in_value"),
    ("SN001\t\r", "control_in_value"),
]


@pytest.mark.parametrize(("text", "error"), REFUSED)
def test_a_label_that_cannot_be_read_is_refused_with_its_reason(text, error):
    label = read_label(text, hosts=HOSTS)
    assert (label.ok, label.error) == (False, error)
    assert label.message and label.identity is None and label.code is None


def test_every_reason_is_met_by_a_refusal_of_the_table():
    pairwise = {"same_unit_twice"}
    assert {error for _, error in REFUSED} | pairwise == SAYINGS.keys()


def test_a_refusal_says_which_field_and_what_would_fit():
    label = read("0109506000134353", "21A", form="05")
    assert (label.qualifier, label.expected) == ("01", "2")
    assert label.message == "The check digit of 01 is wrong: 2 is expected."
    assert label.next == "Scan again; do not correct it by hand."


def test_a_refusal_still_shows_the_fields_that_were_read():
    label = read("1P12-A", "S34")
    assert (label.error, label.missing) == ("identity_incomplete", "enterprise")
    assert label.message == "The label does not say the maker."
    assert label.elements == (Element("1P", "12-A"), Element("S", "34"))
    assert label.needs_person


@pytest.mark.parametrize(
    ("elements", "missing"),
    [(("S1",), "the maker and the part number"), (("17V0CVA5", "S1"), "the part number"), (("1TL", "S1"), "the maker")],
)
def test_what_is_missing_is_said_in_words(elements, missing):
    assert read(*elements).message == f"The label does not say {missing}."


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("https://shop.example/p", "foreign_address"),
        (envelope("S1"), "incomplete_label"),
        (envelope("1PX"), "incomplete_label"),
        (envelope("S1", "S2"), "unreadable_label"),
    ],
)
def test_a_refused_label_gives_the_reason_an_act_is_refused_with(text, code):
    label = read_label(text)
    assert label.reason("sensor") == Reason(code, label.message, field="sensor", next=label.next)


def test_a_label_that_was_read_gives_no_reason():
    assert read("25SD0CVA51").reason("sensor") is None


FACTS = {"format": "07", "qualifier": "01", "expected": "5", "missing": "01", "sentence": "A.", "spelling": "<GS>"}


@pytest.mark.parametrize("error", SAYINGS)
def test_every_sentence_is_whole_and_in_the_wording_of_the_house(error):
    sentences = " ".join(say(error, **FACTS)).strip()
    assert sentences.endswith(".")
    words = {word.strip(".,;:").lower() for word in sentences.split()}
    assert not words & {"error", "invalid", "please", "oops", "sorry"}


@pytest.mark.parametrize("warning", WARNINGS)
def test_every_warning_is_a_sentence(warning):
    assert say_warning(f"{warning}:O/0").endswith(".") and "{" not in say_warning(warning)


# ---- warnings

WARNED = [
    (f"[)>{RS}06{GS}25SD0CVA51{RS}", {"eot_missing"}),
    (f"[)>{RS}06{GS}25SD0CVA51{EOT}", {"format_trailer_missing"}),
    (envelope("25SD0CVA51", ""), {"needless_separator"}),
    (f"[)>{RS}05{GS}80040614141A{GS}{RS}{EOT}", {"needless_separator"}),
    (f"]d2{GS}80040614141A", {"leading_separator"}),
    (envelope("25SD0CVA51", "25SD0CVA51"), {"repeated_field"}),
    ("]C10109506000134352211210LOT7", {"possible_lost_separator"}),
    ("(8004) 0614141A", {"typed_from_text"}),
    ("https://example.com/01/12345670/21/A", {"gtin_padded"}),
    (envelope("17V0CVA5", "1PX", "1TL", "S1"), {"lot_not_in_identity"}),
    (envelope("17V0CVA5", "12V123456789", "1PX", "S1"), {"several_makers"}),
    (envelope("17VCVA5", "1PX", "S1"), {"cage_length"}),
    (envelope("18SOCVA51"), {"cage_letter"}),
    (envelope("MFR OCVA5", "SER 1", form="12"), {"cage_letter"}),
    (envelope("12V12345678", "1PX", "S1"), {"duns_form"}),
    (envelope("25SD0CVA51", "10D2654"), {"bad_week"}),
    (envelope("25SD0CVA51", "11D202600"), {"bad_week"}),
    (envelope("25SD0CVA51", "16D20260231"), {"bad_date"}),
    (envelope("25SD0CVA51", "17D31022026"), {"bad_date"}),
    (envelope("25SD0CVA51", "6D2026023"), {"bad_date"}),
    (envelope("25SD0CVA51", "D260231"), {"bad_date"}),
    (envelope("25SD0CVA51", "4LNOR"), {"bad_country"}),
    (envelope("25SD0CVA51", "Qone"), {"bad_quantity"}),
    (envelope("25SD0CVA5" + "7" * 45), {"uii_over_50"}),
    (envelope("MFR0CVA5", "SER1", form="DD"), {"legacy_format_dd", "tei_without_space"}),
    (envelope("25SD0CVA51 "), {"outer_space"}),
    ("SN1 ", {"outer_space"}),
    ("SN\u20111", {"unicode_hyphen"}),
    ("SN-\u00c4", {"not_ascii"}),
    ("7" * 79, {"over_78"}),
]


@pytest.mark.parametrize(("text", "warnings"), WARNED)
def test_a_label_that_reads_in_spite_of_a_blemish_warns_of_it(text, warnings):
    label = read_label(text)
    assert label.ok and set(label.warnings) == warnings


def test_every_warning_is_met_by_the_table_or_by_a_comparison():
    compared = {"differs_only_in_case", "case", "leading_zeros", "confusable", "unicode_hyphen"}
    assert set().union(*(warnings for _, warnings in WARNED)) | compared == WARNINGS.keys()


@pytest.mark.parametrize("serial", ["SN2199", "1", "12345"])
def test_a_serial_that_only_looks_a_little_like_fields_does_not_warn(serial):
    assert read_label("]C1010950600013435221" + serial).warnings == ()


# ---- identity


def test_construct_one_is_one_identity_however_the_label_spells_it():
    keys = {
        key("25SD0CVA5674A36458"),
        key("18S0CVA5674A36458"),
        key("42S09D0CVA5674A36458"),
        key("MFR 0CVA5", "SER 674A36458", form="12"),
        key("CAG 0CVA5", "SER 674A36458", form="DD"),
    }
    assert keys == {("uii-1", "", "", "D0CVA5674A36458")}


def test_construct_two_is_one_identity_whether_the_agency_is_said_or_meant():
    assert key("17V0CVA5", "1PX", "S1") == key("18VD0CVA5", "1PX", "S1") == ("uii-2", "D0CVA5", "X", "1")
    assert key("12V123456789", "1PX", "S1") == key("18VUN123456789", "1PX", "S1")


def test_joined_texts_that_are_equal_do_not_make_two_items_one():
    one, other = read("17V1ABC5", "1P12", "S34"), read("17V1ABC5", "1P123", "S4")
    assert one.identity.uii == other.identity.uii == "D1ABC51234"
    assert identity_key(one.identity) != identity_key(other.identity)
    assert not same_unit(one, other)


def test_a_part_and_a_lot_of_one_name_are_not_one_identity():
    assert key("17V0CVA5", "1PX", "S1") != key("17V0CVA5", "1TX", "S1")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (envelope("37SUN123456789PN77-A+000123"), ("uii-2-undivided", "", "UN123456789PN77-A", "000123")),
        ("]d2010950600013435221a", ("sgtin", "", "09506000134352", "a")),
        ("]d280040614141A", ("giai", "", "", "0614141A")),
        (f"]d280100614141A{GS}801112", ("cpid", "", "0614141A", "12")),
        (envelope("17V0CVA5", "1TL", "S1"), ("uii-2-lot", "D0CVA5", "L", "1")),
    ],
)
def test_the_key_of_an_identity_is_four_texts(text, expected):
    assert identity_key(read_label(text).identity) == expected


def test_a_product_alone_names_no_unit():
    label = read_label("]d20109506000134352")
    assert (label.ok, label.identity.scheme, label.needs_person) == (True, "gtin-class", True)
    assert identity_key(label.identity) is None


def test_the_first_rule_that_fits_gives_the_identity():
    label = read("17V0CVA5", "1PX", "S1", "25SD0CVA51")
    assert label.identity.scheme == "uii-1"
    both = f"[)>{RS}06{GS}17V0CVA5{GS}1PX{GS}S1{RS}05{GS}0109506000134352{RS}{EOT}"
    assert read_label(both).identity.scheme == "uii-2"


def test_the_revision_the_current_part_and_the_customers_part_are_attributes():
    label = read("17V0CVA5", "1PX", "S1", "2PB", "30PY", "P77", "4LNO", "16D20131108", "10D2608", "Q1", "95ZZ")
    assert label.identity.uii == "D0CVA5X1"
    assert label.attributes == {
        "revision": "B",
        "current_part": "Y",
        "customer_part": "77",
        "country": "NO",
        "production_date": "2013-11-08",
        "week": "2608",
        "quantity": "1",
    }
    assert label.elements[-1] == Element("95Z", "Z")


def test_an_attribute_that_does_not_have_its_form_is_kept_as_text():
    assert read("25SD0CVA51", "16D20260231").attributes == {"production_date": "20260231"}


def test_text_fields_without_the_space_are_shown_and_give_no_identity():
    label = read("CAG0CVA5", "SER1", form="DD")
    assert (label.ok, label.identity, label.needs_person) == (True, None, True)
    assert label.candidates == (Candidate("field", "0CVA5", "CAG"), Candidate("field", "1", "SER"))


@pytest.mark.parametrize("value", ["00034", "a1", "A 1", "12-A"])
def test_case_zeros_hyphens_and_inner_spaces_are_kept(value):
    assert key("17V0CVA5", "1PX", "S" + value).serial == value


# ---- plain text, typed text and scanners


def test_a_bare_serial_asks_a_person():
    label = read_label("S0012345")
    assert label.candidates == (Candidate("plain", "S0012345"), Candidate("field", "0012345", "S"))
    assert label.needs_person and label.identity is None and label.code is None


@pytest.mark.parametrize(
    ("text", "fields"),
    [
        ("1P4L0014", ["1P"]),
        ("4L0014", []),
        ("4LNO", ["4L"]),
        ("D1234", []),
        ("910001", []),
        ("10D2608", ["10D"]),
        ("99Z1", []),
    ],
)
def test_a_text_is_offered_as_a_field_only_when_it_has_its_form(text, fields):
    assert [c.qualifier for c in read_label(text).candidates if c.kind == "field"] == fields


def test_a_typed_code_of_ours_is_one_candidate_beside_the_serial_it_may_be():
    assert read_label("k7q2 m9xd").candidates == (Candidate("plain", "k7q2 m9xd"), Candidate("code", "K7Q2M9XD"))
    assert [c.kind for c in read_label("K7Q2M9XE").candidates] == ["plain"]


def test_typed_text_is_trimmed_at_both_ends_and_scanned_text_is_not():
    assert read_label(" SN 1 \n", typed=True).candidates[0].value == "SN 1"
    assert read_label(" SN 1 \n").candidates[0].value == " SN 1 "
    assert read_label(f" [)>{RS}06{GS}25SD0CVA51{RS}", typed=True).warnings == ("eot_missing",)


@pytest.mark.parametrize("end", ["", "\r", "\n", "\r\n", "\t"])
def test_one_enter_or_tab_of_the_scanner_is_taken_off(end):
    assert read_label("SN1" + end).candidates[0].value == "SN1"
    assert read_label(envelope("25SD0CVA51") + end).ok


def test_brackets_after_a_prefix_are_text_in_the_symbol():
    assert read_label("]d1(01)09506000134352(21)A").syntax == "plain"
    assert read_label("(12)345").error == "field_form" and read_label("(1)345").syntax == "plain"


def test_spaces_beside_the_brackets_are_layout():
    spaced = read_label("(01) 09506000134352 (21) AB-0012")
    assert spaced.elements == (Element("01", "09506000134352"), Element("21", "AB-0012"))


def test_a_scanner_whose_spelling_is_named_may_spell_out_the_separators_of_gs1():
    label = read_label("]C101095060001343522112<GS>10LOT7", family="angle")
    assert label.elements == (Element("01", "09506000134352"), Element("21", "12"), Element("10", "LOT7"))
    assert label.warnings == ()


def test_a_header_in_raw_characters_leaves_other_spellings_alone():
    assert key("17V0CVA5", "1PX{GS}Y", "S1").part == "X{GS}Y"


def test_caps_lock_on_spelled_separators_is_told_from_a_broken_opening():
    assert read_label("[)>{rs}06{gs}17v98897{gs}sa1{rs}{eot}").error == "qualifier_lower_case"


def test_the_text_is_kept_as_it_came():
    text = "]d1" + envelope("25SD0CVA51") + "\r\n"
    assert read_label(text).text == text


@pytest.mark.parametrize("text", ["]", "]d", "]dN001", "]dD01", "]k1SN1", "]\u06611", "]d\u0661SN1"])
def test_a_bracket_without_a_known_letter_and_modifier_is_no_prefix(text):
    label = read_label(text)
    assert (label.symbology, label.candidates[0]) == (None, Candidate("plain", text))


# ---- our own labels and web links


def test_our_own_label_is_read_in_either_case():
    for text in ("HTTPS://PAIRS.EXAMPLE.ORG/I/K7Q2M9XD", "]Q1https://pairs.example.org/i/k7q2m9xd\r\n"):
        label = read_label(text, hosts=HOSTS)
        assert (label.ok, label.syntax, label.code, label.copy) == (True, "own-url", "K7Q2M9XD", 0)


def test_a_numbered_copy_names_the_half_and_says_that_it_is_a_copy():
    original, copy = (read_label(code_url(HOSTS[0], "K7Q2M9XD", n), hosts=HOSTS) for n in (0, 2))
    assert (copy.code, copy.copy) == ("K7Q2M9XD", 2)
    assert same_unit(original, copy)


def test_our_own_path_on_another_host_is_a_foreign_address():
    assert read_label("HTTPS://EXAMPLE.NET/I/K7Q2M9XD", hosts=HOSTS).error == "url_not_ours"
    assert read_label("HTTPS://PAIRS.EXAMPLE.ORG/I/K7Q2M9XD").error == "url_not_ours"


def test_a_web_link_keeps_an_encoded_slash_inside_its_value():
    label = read_label("https://example.com/a/01/09506000134352/21/A%2F1/")
    assert label.elements == (Element("01", "09506000134352"), Element("21", "A/1"))


def test_the_extension_of_a_product_may_stand_alone_in_a_web_link():
    assert read_label("https://example.com/01/09506000134352/235/A").ok


def test_what_a_site_adds_to_a_web_link_is_left_alone():
    label = read_label("https://example.com/01/09506000134352/21/A?linkType=x;17=261231&x=%zz#top")
    assert label.elements[2:] == (Element("17", "261231"),)
    assert label.attributes == {"expiry_date": "2026-12-31"}


# ---- what a person adds


def test_a_person_completes_a_bare_serial_with_maker_and_part():
    identity = complete(read_label("SN1"), maker=" Quenholt ", part="12-A", serial="SN1")
    assert identity_key(identity) == ("maker-part-serial", "Quenholt", "12-A", "SN1")
    assert identity.added == ("maker", "part", "serial")


def test_a_person_adds_only_what_the_label_does_not_say():
    identity = complete(read("1P12-A", "S34"), maker="Quenholt")
    assert identity_key(identity) == ("maker-part-serial", "Quenholt", "12-A", "34")
    assert identity.added == ("maker",)


def test_a_part_added_to_a_label_with_maker_and_serial_gives_the_labels_own_construct():
    identity = complete(read("17V0CVA5", "S34"), part="12-A")
    assert identity_key(identity) == key("17V0CVA5", "1P12-A", "S34")
    assert (identity.uii, identity.added) == ("D0CVA512-A34", ("part",))


@pytest.mark.parametrize(
    ("text", "added", "sentence"),
    [
        (
            "SN1",
            {"part": "P", "serial": "SN1"},
            "The label does not say the maker. Enter it as the plate shows it.",
        ),
        (
            "SN1",
            {"maker": "M", "serial": "SN1"},
            "The label does not say the part number. Enter it as the plate shows it.",
        ),
        (
            "SN1",
            {"maker": "M", "part": "P"},
            "The label does not say the serial number. Enter it as the plate shows it.",
        ),
        (
            "SN1",
            {"maker": "M", "part": "P", "serial": "SN2"},
            "This serial number does not stand on the label. Choose one of those shown.",
        ),
        (
            envelope("1PX", "S1"),
            {"maker": "M", "part": "Y"},
            "The label itself says the part number: X. Enter that, or report the label.",
        ),
        (
            "SN1",
            {"maker": "M\x00", "part": "P", "serial": "SN1"},
            "The maker holds a character that cannot be seen. Type it by hand.",
        ),
        (
            "SN1",
            {"maker": "M" * 80, "part": "P", "serial": "SN1"},
            "Maker, part and serial have more than 78 characters together. Shorten the maker.",
        ),
    ],
)
def test_what_a_person_adds_is_refused_in_a_sentence_when_it_does_not_fit(text, added, sentence):
    with pytest.raises(ValueError) as refusal:
        complete(read_label(text), **added)
    assert str(refusal.value) == sentence


def test_equal_bare_serials_do_not_prove_that_two_scans_are_one_unit():
    assert not same_unit(read_label("SN1"), read_label("SN1"))
    assert same_unit(read("18S0CVA51"), read("25SD0CVA51"))
    assert not same_unit(read("18S0CVA51"), read_label("HTTPS://PAIRS.EXAMPLE.ORG/I/K7Q2M9XD", hosts=HOSTS))


# ---- near matches


@pytest.mark.parametrize(
    ("one", "other", "warnings"),
    [
        ("sn001a", "SN001A", ["differs_only_in_case"]),
        ("SN0O1", "SN001", ["confusable:O/0"]),
        ("A1I", "AI1", ["confusable:1/I/l"]),
        ("Al", "A1", ["confusable:1/I/l"]),
        ("S1", "51", ["confusable:S/5"]),
        ("b8", "88", ["confusable:B/8"]),
        ("Z2", "22", ["confusable:Z/2"]),
        ("so", "50", ["confusable:O/0", "confusable:S/5"]),
        ("ax0", "AXO", ["confusable:O/0", "case"]),
        ("12\u201034", "12-34", ["unicode_hyphen"]),
        ("000123", "123", ["leading_zeros"]),
        ("S0012", "S12", ["leading_zeros"]),
        ("AB-0012", "AB-12", ["leading_zeros"]),
        ("SN0012O", "sn120", ["confusable:O/0", "case", "leading_zeros"]),
        ("E-31840", "E-31804", []),
        ("100", "1", []),
        ("1001", "101", []),
        ("0", "00", ["leading_zeros"]),
        ("SN1", "SN1", []),
        ("AB", "BA", []),
    ],
)
def test_near_matches_are_named_for_what_was_overlooked(one, other, warnings):
    assert differences(one, other) == warnings
    assert near_matches(one, [other]) == ([other] if warnings else [])


def test_near_matches_are_listed_in_order_once_each_and_never_the_text_itself():
    assert near_matches("SN001", ["X", "SN0O1", "SN001", "sn001", "SN0O1", "SN1", "SN01X"]) == ["SN0O1", "sn001", "SN1"]


@given(st.text("0O1IlLS5B8Z2xX-\u2010", max_size=8), st.text("0O1IlLS5B8Z2xX-\u2010", max_size=8))
def test_near_matches_share_their_key_and_are_near_both_ways(one, other):
    assert near_matches(one, [other]) == ([other] if differences(one, other) else [])
    assert bool(differences(one, other)) == bool(differences(other, one))
    if differences(one, other):
        assert fold_key(one) == fold_key(other)


@given(st.text(st.characters()), st.text(st.characters()))
def test_near_matching_takes_any_text(one, other):
    assert isinstance(near_matches(one, [other]), list) and isinstance(fold_key(one), str)


# ---- dates and check digits


@pytest.mark.parametrize(
    ("text", "form", "day"),
    [
        ("770101", "YYMMDD", "1977-01-01"),
        ("760101", "YYMMDD", "2076-01-01"),
        ("240229", "YYMMDD", "2024-02-29"),
        ("230229", "YYMMDD", None),
        ("260200", "YYMM00", "2026-02-28"),
        ("260200", "YYMMDD", None),
        ("31012026", "DDMMYYYY", "2026-01-31"),
        ("00000101", "YYYYMMDD", None),
        ("2601", "YYMMDD", None),
        ("\u0662\u0660\u0662\u0661\u0660\u0661", "YYMMDD", None),
    ],
)
def test_a_date_is_read_only_when_it_exists(text, form, day):
    found = read_date(text, form)
    assert (found and found.isoformat()) == day


digits = st.text(string.digits, min_size=13, max_size=13)


@given(digits, st.text(string.digits + string.ascii_letters + "-/", min_size=1, max_size=20))
def test_every_product_number_with_its_own_check_digit_is_read(body, serial):
    gtin = body + gs1.check_digit(body)
    assert identity_key(read_label(f"]d201{gtin}21{serial}").identity) == ("sgtin", "", gtin, serial)


@given(digits, st.integers(0, 13), st.integers(1, 9))
def test_every_wrong_digit_of_a_product_number_is_refused(body, place, shift):
    gtin = body + gs1.check_digit(body)
    wrong = gtin[:place] + str((int(gtin[place]) + shift) % 10) + gtin[place + 1 :]
    assert read_label(f"]d201{wrong}21A").error == "check_digit"


# ---- whatever is sent

_TOKENS = [
    *(spelled for family in FAMILIES.values() for spelled in (family.rs, family.gs, family.eot)),
    *("[)>", RS, GS, EOT, "05", "06", "12", "DD", "]d1", "]d2", "]C1", "]Q3", "]E0", "\r\n", "\t", " "),
    *("17V", "1P", "S", "18S", "25S", "37S", "42S", "MFR ", "SER ", "01", "21", "10", "11", "8004", "8010", "8011"),
    *("09506000134352", "0CVA5", "260231", "https://", "pairs.example.org", "/i/", "/01/", "K7Q2M9XD", "(01)", "(21)"),
    *("{RS}", "{GS}", "{EOT}", "<GS>", "^]", "^^", "%1D", "%", "+", "Ä", "\ud800", "\u2010", "\x00"),
]
_scans = st.one_of(
    st.text(st.characters(exclude_categories=())),
    st.lists(st.sampled_from(_TOKENS) | st.text(max_size=4), max_size=14).map("".join),
    st.lists(st.sampled_from(_TOKENS), max_size=8).map(lambda parts: envelope(*parts)),
    st.lists(st.sampled_from(_TOKENS), max_size=8).map(lambda parts: "]d2" + "".join(parts)),
    st.lists(st.sampled_from(_TOKENS), max_size=6).map(lambda parts: "https://x/01/09506000134352/" + "/".join(parts)),
)


def test_the_library_of_gs1_is_loaded_only_for_labels_that_need_it():
    script = (
        "import sys; from registry.domain.labels import read_label\n"
        f"assert read_label({envelope('17V0CVA5', '1PX', 'S1')!r}).ok and read_label('SN1').ok\n"
        "assert 'biip' not in sys.modules"
    )
    root = Path(__file__).parents[2]
    done = subprocess.run([sys.executable, "-c", script], cwd=root, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


@settings(max_examples=600)
@given(_scans, st.booleans(), st.sampled_from([None, *FAMILIES]))
@example("https://[", False, None)
@example("[)>\x1e06\x1d42S\u0663\u0663AB\x1e\x04", False, None)
def test_no_text_makes_the_reader_fail(text, typed, family):
    label = read_label(text, hosts=HOSTS, typed=typed, family=family)
    assert label.text == text
    assert label.ok == (label.error is None) == (label.message == "")
    assert all(say_warning(warning) for warning in label.warnings)
    names_a_unit = label.code is not None or identity_key(label.identity) is not None
    if label.ok:
        assert label.needs_person != names_a_unit
    else:
        assert not names_a_unit
        assert isinstance(label.reason(), Reason)


@settings(max_examples=600)
@given(_scans)
def test_nothing_is_read_that_does_not_stand_in_the_text(text):
    label = read_label(text)
    values = [candidate.value for candidate in label.candidates if candidate.kind != "code"]
    if label.family in ("", "raw") and label.syntax != "gs1-digital-link":
        assert all(element.value in text and element.qualifier in text for element in label.elements)
        assert all(value in text for value in values)
    if label.identity:
        read_values = {element.value for element in label.elements}
        told = label.identity
        for part in (told.issuer, told.part, told.lot, told.serial, told.gtin, told.giai, told.cpid):
            assert any(part in value for value in read_values)
        joined = told.scheme not in ("gtin-class", "uii-2-undivided")
        assert not joined or any(told.uii.endswith(value) for value in read_values)


plain_values = st.text(string.ascii_letters + string.digits + "-/. #", min_size=1, max_size=12)


@given(st.sampled_from(list(FAMILIES)), st.lists(plain_values, min_size=1, max_size=4))
def test_every_spelling_of_the_separators_gives_the_same_label(family, values):
    # The html spelling is written as a pattern in its family, so it is spelled here as scanners send it.
    spelled = {
        "html": ("&#30;", "&#29;", "&#4;"),
        "caret": ("^^", "^]", "^D"),
        "caret-6": ("^6", "^]", "^D"),
        "raw": (RS, GS, EOT),
        "control-pictures": ("\u241e", "\u241d", "\u2404"),
        "braces": ("{RS}", "{GS}", "{EOT}"),
        "angle": ("<RS>", "<GS>", "<EOT>"),
        "square": ("[RS]", "[GS]", "[EOT]"),
        "backslash-x": ("\\x1e", "\\x1d", "\\x04"),
        "backslash-u": ("\\u001E", "\\u001D", "\\u0004"),
        "tilde-d": ("~d030", "~d029", "~d004"),
        "hex-angle": ("<0x1e>", "<0x1d>", "<0x04>"),
        "percent": ("%1E", "%1D", "%04"),
        "cp437-glyphs": ("\u25b2", "\u2194", "\u2666"),
    }[family]
    raw = envelope("17V0CVA5", "1PX", "S1", *(f"{number}Z{value}" for number, value in enumerate(values)))
    sent = raw.replace(RS, spelled[0]).replace(GS, spelled[1]).replace(EOT, spelled[2])
    seen, expected = read_label(sent), read_label(raw)
    assert seen.family == family and expected.ok
    assert (seen.elements, seen.identity, seen.warnings) == (expected.elements, expected.identity, expected.warnings)


@given(st.text(string.ascii_letters + string.digits + "!\"%&'()*+,-./:;<=>?_", min_size=1, max_size=20))
def test_every_serial_that_gs1_allows_survives_a_web_link(serial):
    label = read_label(f"https://example.com/01/09506000134352/21/{quote(serial, safe='')}")
    assert label.identity.serial == serial


@given(st.sampled_from("AKZ"), st.lists(st.integers(0, 31), min_size=6, max_size=6), st.integers(0, 99))
def test_every_label_we_print_is_read_as_ours(origin, drawn, copy):
    code = draw_code(origin, lambda below: drawn.pop())
    label = read_label("]Q1" + code_url(HOSTS[0], code, copy) + "\r", hosts=HOSTS)
    assert (label.code, label.copy, label.needs_person) == (code, copy, False)
