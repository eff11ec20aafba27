"""Our own label codes: what they are made of, what their check character finds, and how they are read."""

import random
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.domain import codes
from registry.domain.codes import (
    ALPHABET,
    LENGTH,
    Marked,
    check_character,
    code_in_url,
    code_url,
    draw_code,
    looks_like_code,
    read_code,
    say_code,
)

HOSTS = ("pairs.example.org", "localhost:5000")
GOOD = "K7Q2M9XD"

any_code = st.builds(
    lambda origin, seed: draw_code(origin, random.Random(seed).randrange), st.sampled_from(ALPHABET), st.integers()
)


def _is_code(text):
    try:
        return read_code(text) == text
    except ValueError:
        return False


def test_the_alphabet_has_32_letters_and_none_of_those_that_are_misread():
    assert len(set(ALPHABET)) == len(ALPHABET) == 32
    assert not set(ALPHABET) & set("ILOU")


@given(any_code)
def test_a_drawn_code_reads_back_as_itself(code):
    assert len(code) == LENGTH and read_code(code) == code


@given(st.sampled_from(ALPHABET), st.integers())
def test_a_drawn_code_starts_with_its_origin(origin, seed):
    assert draw_code(origin, random.Random(seed).randrange)[0] == origin


def test_a_draw_asks_for_six_numbers_below_32():
    asked = []
    code = draw_code("A", lambda below: asked.append(below) or len(asked))
    assert asked == [32] * 6 and code[:7] == "A123456"


@pytest.mark.parametrize("origin", ["", "AB", "O", "a", "-"])
def test_an_origin_outside_the_alphabet_is_refused(origin):
    with pytest.raises(ValueError, match="is not an origin"):
        draw_code(origin, lambda below: 0)


def test_every_wrong_character_is_found_wherever_it_stands():
    for code in (GOOD, "7F3K9Q2M", draw_code("0", lambda below: 0), draw_code("Z", lambda below: 31)):
        for place in range(LENGTH):
            for wrong in set(ALPHABET) - {code[place]}:
                assert not _is_code(code[:place] + wrong + code[place + 1 :])


def _codes_with(first, second):
    """For every two different characters a good code that holds them at these two places."""
    free = next(place for place in range(LENGTH) if place not in (first, second))
    for one, other in combinations(ALPHABET, 2):
        characters = ["0"] * LENGTH
        characters[first], characters[second] = one, other
        filled = ("".join([*characters[:free], last, *characters[free + 1 :]]) for last in ALPHABET)
        yield next(code for code in filled if codes._weighted_sum(code) == codes._SUM)


@pytest.mark.parametrize("places", list(combinations(range(LENGTH), 2)), ids=str)
def test_every_swap_of_two_characters_is_found_wherever_they_stand(places):
    first, second = places
    for code in _codes_with(first, second):
        swapped = list(code)
        swapped[first], swapped[second] = code[second], code[first]
        assert _is_code(code) and not _is_code("".join(swapped))


def test_without_the_weights_a_swap_would_go_unseen(monkeypatch):
    monkeypatch.setattr(codes, "_times_x", lambda value: value)
    body = "A1B2C3D"
    assert _is_code(body + check_character(body)) and _is_code("1AB2C3D" + check_character(body))


def test_a_row_of_zeros_that_broken_readers_send_is_no_code():
    assert not _is_code("0" * LENGTH)


@pytest.mark.parametrize(
    "typed",
    ["K7Q2M9XD", "k7q2m9xd", "K7Q2 M9XD", "K7Q2\u202fM9XD", "K7Q2-M9XD", "  k7q2 - m9xd\n", "K7Q2\u2011M9XD"],
)
def test_a_typed_code_may_be_small_and_grouped(typed):
    assert looks_like_code(typed)
    assert read_code(typed) == GOOD


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("K7Q2M9XO", "O is never in one of our codes; is it a zero? Scan again."),
        ("K7Q2 m9xi", "I is never in one of our codes; is it a one? Scan again."),
        ("L7Q2M9XD", "L is never in one of our codes; is it a one? Scan again."),
        ("K7Q2M9XU", "U is never in one of our codes; is it a V? Scan again."),
        ("K7Q2M9XE", "K7Q2\u202fM9XE fails its check character: one letter was misread. Scan again."),
        ("K7Q2M9X", "Our codes have 8 characters; this text has 7. Scan again."),
        ("K7Q2M9XDD", "Our codes have 8 characters; this text has 9. Scan again."),
        ("K7 Q2M9XD", "Our codes have 8 characters; this text has 9. Scan again."),
        ("K7Q2M9X?", "? is never in one of our codes, which hold capitals and digits. Scan again."),
        (
            "K7Q2M9X\x00",
            "A control character is never in one of our codes, which hold capitals and digits. Scan again.",
        ),
        ("", "Nothing was read. Scan again."),
        (" \u202f ", "Nothing was read. Scan again."),
    ],
)
def test_a_misread_code_is_refused_with_a_sentence_and_never_corrected(typed, sentence):
    with pytest.raises(ValueError) as refusal:
        read_code(typed)
    assert str(refusal.value) == sentence


@pytest.mark.parametrize("letter", "\u017f\u0131\u00df\uff2b\u212a")
def test_a_foreign_letter_whose_capital_looks_like_ours_is_refused(letter):
    with pytest.raises(ValueError, match="is never in one of our codes"):
        read_code(letter + GOOD[1:])


@pytest.mark.parametrize("text", ["", "K7Q2M9X", "K7Q2_M9XD", "K7 Q2 M9 XD", "K7Q2M9XDD", "\u0661" * 8])
def test_a_text_of_another_form_does_not_look_like_a_code(text):
    assert not looks_like_code(text)


def test_a_misread_code_still_looks_like_one_so_that_the_operator_is_told_why():
    assert looks_like_code("K7Q2M9XE") and looks_like_code("K7Q2M9XO")


@given(st.text(st.characters()))
def test_any_text_is_read_or_refused_in_a_sentence(text):
    try:
        assert read_code(text) == "".join(c for c in text if c.isascii() and c.isalnum()).upper()
    except ValueError as refusal:
        assert str(refusal).endswith("Scan again.")


def test_a_code_is_said_in_two_groups_of_four():
    assert say_code(GOOD) == "K7Q2\u202fM9XD"


def test_our_address_keeps_to_the_characters_of_alphanumeric_mode():
    assert code_url("pairs.example.org", "k7q2 m9xd") == "HTTPS://PAIRS.EXAMPLE.ORG/I/K7Q2M9XD"
    assert code_url("localhost:5000", GOOD, 2) == "HTTPS://LOCALHOST:5000/I/K7Q2M9XD/2"


@pytest.mark.parametrize("host", ["", "pairs.example.org/x", "p\u00e6rs.example", "user@example.org", "-", "a b"])
def test_a_host_that_cannot_be_printed_is_refused(host):
    with pytest.raises(ValueError, match="cannot stand on a label"):
        code_url(host, GOOD)


@pytest.mark.parametrize("copy", [-1, 100])
def test_a_copy_number_outside_its_range_is_refused(copy):
    with pytest.raises(ValueError, match="Copies are numbered from 1 to 99"):
        code_url("example.org", GOOD, copy)


@given(any_code, st.integers(0, 99), st.sampled_from(HOSTS), st.booleans())
def test_our_address_reads_back_in_either_case_with_its_copy_number(code, copy, host, lowered):
    text = code_url(host, code, copy)
    assert code_in_url(text.lower() if lowered else text, HOSTS) == Marked(code, copy)


@pytest.mark.parametrize(
    "text",
    [
        "https://pairs.example.org:443/i/K7Q2M9XD",
        "http://pairs.example.org/I/K7Q2M9XD",
        "http://pairs.example.org:80/i/k7q2m9xd",
    ],
)
def test_the_standard_port_and_a_plain_scheme_are_still_our_address(text):
    assert code_in_url(text, HOSTS) == Marked(GOOD, 0)


@pytest.mark.parametrize(
    "text",
    [
        "HTTPS://EXAMPLE.NET/I/K7Q2M9XD",
        "HTTPS://PAIRS.EXAMPLE.ORG.EXAMPLE.NET/I/K7Q2M9XD",
        "https://pairs.example.org@example.net/i/k7q2m9xd",
        "https://pairs.example.org:444/i/k7q2m9xd",
        "https://pairs.example.org/bays/K7Q2M9XD",
        "https://pairs.example.org/i/K7Q2M9XD/2/3",
        "https://pairs.example.org/i/K7Q2M9XD/0",
        "https://pairs.example.org/i/K7Q2M9XD/02",
        "https://pairs.example.org/i/K7Q2M9XD/100",
        "https://pairs.example.org/i/K7Q2M9XD?x=1",
        "https://pairs.example.org/i/",
        "ftp://pairs.example.org/i/K7Q2M9XD",
        "K7Q2M9XD",
        "",
    ],
)
def test_any_other_address_is_not_ours(text):
    assert code_in_url(text, HOSTS) is None


def test_without_hosts_no_address_is_ours():
    assert code_in_url("HTTPS://PAIRS.EXAMPLE.ORG/I/K7Q2M9XD", ()) is None


def test_a_former_host_keeps_old_labels_reading():
    assert code_in_url("HTTPS://OLD.EXAMPLE.ORG/I/K7Q2M9XD", (*HOSTS, "Old.Example.org")) == Marked(GOOD)


def test_a_misread_code_in_our_own_address_is_refused_like_a_typed_one():
    with pytest.raises(ValueError, match="fails its check character"):
        code_in_url("HTTPS://PAIRS.EXAMPLE.ORG/I/K7Q2M9XE", HOSTS)
