"""Canonical JSON: the same bytes as the library that is written after RFC 8785 and held to its cases (tests/outside)."""

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from registry.domain.canonical import canonical

NAMES = st.text(max_size=4) | st.sampled_from(["a", "b", "é", "\U0001f600", "\ufb33", "\r"])
VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(NAMES, inner, max_size=4),
    max_leaves=20,
)  # fmt: skip


@given(VALUES)
def test_the_bytes_are_those_of_the_library(value):
    assert canonical(value) == rfc8785.dumps(value)


@pytest.mark.parametrize(
    "text", ["\x00\x1f\x7f\x80", '\b\t\n\f\r"\\/', "\u2028\u2029", "\ud7ff\ue000", "\U0010ffff", "€é"]
)
def test_signs_are_escaped_as_the_standard_says(text):
    """RFC 8785 section 3.2.2.2."""
    for value in (text, {"a": text}, [text]):
        assert canonical(value) == rfc8785.dumps(value)


def test_keys_beyond_ascii_are_ordered_by_their_utf_16_units():
    """RFC 8785 section 3.2.3: U+1F600 is written D83D DE00 and comes before U+FB33."""
    assert canonical({"\ufb33": 1, "\U0001f600": 2}) == '{"\U0001f600":2,"\ufb33":1}'.encode()


@pytest.mark.parametrize("value", ["\ud800", {"a": ["\udfff"]}, 2**53, -(2**53), float("nan"), float("inf"), {1: 2}, {"a": b"b"}])  # fmt: skip
def test_what_cannot_be_written_is_refused_as_the_library_refuses_it(value):
    with pytest.raises((rfc8785.CanonicalizationError, ValueError)):
        rfc8785.dumps(value)
    with pytest.raises((rfc8785.CanonicalizationError, ValueError)):
        canonical(value)
