"""The words of the house: one noun a concept, everywhere, and none that blames or begs."""

import re
from functools import cache

import pytest

from registry.acts.act import ACTS
from registry.domain.people import ROLES
from registry.paths import TEMPLATES
from tests.craft.prose import Said, of_code, of_templates


@cache
def templates_say() -> list[Said]:
    return list(of_templates())


@cache
def code_says() -> list[Said]:
    """Read when first asked: whoever only collects these tests does not wait for it."""
    return list(of_code())


#: Word -> what is said instead.
NEVER = {
    r"assets?": "pair, half, vehicle",
    r"check(ed|s|ing)? (in|out)": "install, remove",
    r"users?": "person, you",
    r"please": "nothing",
    r"invalid": "say what is so",
    r"errors?": "say what is so",
    r"oops": "nothing",
    r"success(ful|fully)?": "say what is so",
    r"failed to": "say what is so",
    r"are you sure": "nothing",
    r"click": "press, open",
    r"log ?in|log ?out|login|logout": "sign in, hand over",
    r"dashboard|widget|ticket|inventory": "a word of our own",
    r"check-?list": "steps",
    r"serial no\.?|s/n": "serial",
    r"IMU|INS\b": "unit",
}
#: "item" is a word of HTML and of Python, never one of ours.
NEVER_VISIBLE = NEVER | {r"items?": "half, pair, thing", r"submit": "verb and object", r"confirm": "verb and object"}


def found(words: dict[str, str], said: list[Said]) -> list[tuple[str, str, str]]:
    return [
        (one.where, match[0], one.text.strip()[:90])
        for word in words
        for one in said
        for match in re.finditer(
            rf"\b({word})\b", _without_addresses(one.text), flags=re.IGNORECASE if word != r"IMU|INS\b" else 0
        )
    ]


def _without_addresses(text: str) -> str:
    return re.sub(r"\b[a-z]+://\S+", "", text)


def test_there_is_something_to_read():
    assert len(templates_say()) > 60
    assert len(code_says()) > 500


def test_no_template_shows_a_word_that_is_not_ours():
    assert found(NEVER_VISIBLE, templates_say()) == []


def test_no_sentence_of_the_program_holds_one():
    assert found(NEVER, code_says()) == []


@pytest.mark.parametrize(
    "text", ["Please check in the asset.", "An error: invalid item, user!", "Successfully submitted. Are you sure?"]
)
def test_this_watch_sees_them(text: str):
    assert found(NEVER_VISIBLE, [Said("here", text)])


def test_acts_are_labelled_with_verb_and_object():
    for name, cls in ACTS.items():
        assert len(cls.says.split()) >= 2, name
        assert cls.says[0].isupper() and not cls.says.endswith("."), name
        assert cls.says not in ("OK", "Submit", "Confirm"), name


def test_every_act_says_in_one_sentence_what_it_is():
    for name, cls in ACTS.items():
        first = (cls.__doc__ or "").strip().split("\n\n")[0]
        assert first.endswith("."), name
        assert len(first) > 30, name


def test_every_field_of_every_act_has_a_label_in_words():
    for name, cls in ACTS.items():
        for field, info in cls.model_fields.items():
            assert info.title and info.title[0].isupper() and not info.title.endswith("."), (name, field)
            assert info.description is None or info.description.strip() == info.description, (name, field)


def test_buttons_are_verbs_with_their_object():
    """What a button does is read off it, without the page around it."""
    text = "".join(path.read_text(encoding="utf-8") for path in TEMPLATES.rglob("*.html"))
    labels = re.findall(r"<button[^>]*>([^<{]+)</button>", text)
    assert labels
    assert not {label.strip().lower() for label in labels} & {
        "ok",
        "submit",
        "confirm",
        "yes",
        "no",
        "cancel",
        "save",
        "go",
        "send",
        "apply",
    }


def test_roles_have_one_name_each():
    assert len(set(ROLES.values())) == len(ROLES)
    assert all(name == name.lower() for name in ROLES.values())


def test_nothing_is_shouted_and_no_blank_is_left_double():
    sentences = [one for one in code_says() if one.text[:1].isupper() and len(one.text) > 40]
    assert len(sentences) > 300
    assert [one for one in sentences if "!" in one.text] == []
    assert [one for one in sentences if re.search(r"(?<=\S)  (?=\S)", one.text)] == []


def test_apostrophes_are_all_of_one_kind():
    """The pages and most sentences have the typographic one."""
    assert [one for one in code_says() if re.search(r"[A-Za-z]'[a-z]\b", one.text)] == []


def test_what_a_page_says_of_an_act_names_no_field_by_its_spelling():
    """The first words of an act are the lede of its page."""
    assert [name for name, cls in ACTS.items() if "`" in (cls.__doc__ or "").split("\n\n")[0]] == []
