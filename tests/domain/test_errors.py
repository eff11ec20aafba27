"""Reasons and refusals: every code is known, and the status of a refusal is what its sender mends first."""

import pytest

from registry.errors import CODES, Offer, Reason, Refused, refuse_if


def reason(code: str) -> Reason:
    return Reason(code, "So it is.")


def test_a_code_nobody_knows_is_a_mistake_of_ours():
    with pytest.raises(LookupError, match="is not a reason code"):
        reason("because")


@pytest.mark.parametrize(("codes", "status"), [
    (["mixed_pair"], 409),
    (["mixed_pair", "not_allowed"], 403),
    (["mixed_pair", "not_allowed", "not_signed_in"], 401),
    (["mixed_pair", "not_allowed", "not_signed_in", "unknown_label"], 422),
    (["busy", "on_hold"], 503),
    (["not_json", "wrong_form"], 400),
])  # fmt: skip
def test_shape_comes_first_then_who_then_the_rest(codes: list[str], status: int):
    assert Refused(*map(reason, codes)).status == status
    assert Refused(*map(reason, reversed(codes))).status == status


def test_every_status_of_a_code_has_its_place_in_the_order():
    for code in CODES:
        assert Refused(reason(code)).status == CODES[code].status


def test_a_refusal_without_a_reason_is_a_mistake_of_ours():
    with pytest.raises(ValueError, match="needs a reason"):
        Refused()


def test_nothing_is_refused_without_a_reason_and_all_are_told_at_once():
    refuse_if([])
    with pytest.raises(Refused) as caught:
        refuse_if(iter([reason("on_hold"), reason("retired")]))
    assert [found.code for found in caught.value.reasons] == ["on_hold", "retired"]


def test_what_never_gives_way_is_never_overridable():
    """Mixed halves, a taken bay and overlaps of history: whoever asks."""
    never = {
        "mixed_pair",
        "same_kind",
        "former_pair",
        "half_alone",
        "bay_taken",
        "pair_installed",
        "overlaps_history",
        "pair_ended",
        "needs_second_person",
        "unknown_label",
        "ambiguous_label",
    }
    assert not any(CODES[code].overridable for code in never)


def test_a_reason_in_json_says_its_field_even_when_it_has_none():
    told = Reason("on_hold", "So it is.", offer=Offer("release_hold", "Release it")).as_json()
    assert told == {
        "code": "on_hold",
        "message": "So it is.",
        "field": None,
        "offer": {"act": "release_hold", "label": "Release it", "fields": {}},
    }
