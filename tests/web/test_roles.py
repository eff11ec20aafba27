"""Every act by every role over JSON: outside its `may` it is refused as `not_allowed`, inside never for that.

Pages and the command line hand the same act to the same judge: there each act meets one role outside its `may`, another
role with each act.
"""

import pytest

from registry.acts.act import ACTS, Deed
from registry.domain.people import ROLES
from tests.cast import ROLES as HELD
from tests.web.doors import PIN, Doors, codes_of
from tests.web.spelling import EXAMPLES, as_form, as_words, example

#: Role -> somebody who holds it and no other.
HOLDER = {roles[0]: who for who, roles in HELD.items() if who != "yusuf"}


def outside(act: str) -> list[str]:
    return [HOLDER[role] for role in ROLES if role not in ACTS[act].may]


def one_outside(act: str) -> list[str]:
    """Nobody, where everybody may."""
    found = outside(act)
    return found and [found[list(EXAMPLES).index(act) % len(found)]]


def test_the_cast_holds_every_role_once_each():
    assert set(HOLDER) == set(ROLES)
    assert all(len(roles) == 1 for roles in HELD.values())


def test_every_act_of_the_catalogue_stands_in_this_matrix():
    assert set(EXAMPLES) | {"found_outfit"} == set(ACTS)
    assert sum(len(outside(act)) for act in EXAMPLES) > 150
    assert {who for act in EXAMPLES for who in one_outside(act)} == set(HOLDER.values())


@pytest.mark.parametrize("act", EXAMPLES)
def test_a_page_refuses_the_act_outside_its_roles(act: str, untouched: Doors):
    for who in one_outside(act):
        answer = untouched.visitor(who).act_unasked(act, **as_form(example(untouched.world, act)))
        assert answer.status == 403, (who, answer.told())
        assert any(told.startswith("Only ") and "may" in told for told in answer.told()), who


@pytest.mark.parametrize("act", EXAMPLES)
def test_json_refuses_the_act_and_its_go_no_go_to_every_other_role(act: str, untouched: Doors):
    for who in outside(act):
        api = untouched.api(who)
        refused, asked = api.act(example(untouched.world, act)), api.check(example(untouched.world, act))
        assert refused.status_code == 403, who
        assert "not_allowed" in codes_of(refused), who
        assert asked.status_code == 200, who
        assert asked.json["go"] is False
        assert "not_allowed" in [reason["code"] for reason in asked.json["reasons"]], who


@pytest.mark.parametrize("act", EXAMPLES)
def test_the_command_line_refuses_the_act_and_its_go_no_go_outside_its_roles(act: str, untouched: Doors):
    words = as_words(example(untouched.world, act))
    for who in one_outside(act):
        for command in ("act", "check"):
            result = untouched.cli(command, *words, who=who)
            assert (result.exit_code, result.stdout) == (1, ""), who
            assert "not_allowed" in result.stderr, who


@pytest.mark.parametrize("act", EXAMPLES)
def test_whoever_may_do_it_is_never_refused_for_their_role(act: str, untouched: Doors):
    for role in ACTS[act].may:
        asked = untouched.api(HOLDER[role]).check(example(untouched.world, act))
        assert "not_allowed" not in [reason["code"] for reason in asked.json["reasons"]], role


@pytest.mark.parametrize("act", [name for name in EXAMPLES if not issubclass(ACTS[name], Deed)])
def test_an_act_of_the_office_has_no_way_round_the_role(act: str, untouched: Doors):
    sent = example(untouched.world, act) | {"already_done": True, "why_out_of_order": "nobody else was there"}
    for who in outside(act):
        assert codes_of(untouched.api(who).act(sent)) == ["unknown_field", "unknown_field"]


def test_only_a_keeper_gives_somebody_else_a_secret(untouched: Doors):
    told = {"person": untouched.world.ids["ida"], "kind": "pin", "secret": "9174"}
    for role, who in HOLDER.items():
        visitor = untouched.visitor(who)
        answer = visitor.post("/people/secret", told | {"csrf_token": visitor.token()})
        assert answer.status == (303 if role == "keeper" else 403), role


def test_the_people_page_shows_the_form_for_secrets_to_a_keeper_alone(untouched: Doors):
    shown = {
        role
        for role, who in HOLDER.items()
        if untouched.visitor(who).get("/people").root.all("form", action="/people/secret")
    }
    assert shown == {"keeper"}


def test_nobody_ends_a_token_of_somebody_else(untouched: Doors):
    untouched.token_of("oda")
    token = next(row for row in untouched.rows("token") if row.person_id == untouched.world.ids["oda"])
    visitor = untouched.visitor("ida")
    visitor.post(f"/me/tokens/{token.id}/end", {"csrf_token": visitor.token()})
    assert untouched.api("oda").get("/fleet").status_code == 200


def test_an_empty_pin_is_told_together_with_every_fault_of_form(untouched: Doors):
    told = as_form(example(untouched.world, "close_housing"))
    answer = untouched.visitor("ida").act("close_housing", **{**told, "housing": ""}, pin="")
    assert (answer.status, len(answer.told())) == (422, 2)
    assert answer.beside("housing") == ["“Housing” is missing. Fill it in."]
    assert "Your PIN is missing. Type it: it signs this in your name." in answer.words


def test_a_wrong_pin_stops_an_act_before_the_door(untouched: Doors):
    visitor = untouched.visitor("ida")
    answer = visitor.act("close_housing", **as_form(example(untouched.world, "close_housing")), pin="9999")
    assert (answer.status, answer.told()) == (401, ["That is not your PIN. Type it again. What you entered is kept."])
    assert answer.form("/act/close_housing").value("housing") == untouched.world.ids["teasel forward"]
    assert PIN not in answer.text
