"""Every act of the catalogue has a page made from it: labels, hints and choices are the act's own, and it can be sent."""

import hashlib
import json
from typing import Any

import pytest
from pydantic.fields import FieldInfo

from registry.acts.act import ACTS, Deed
from registry.domain.people import name_roles
from tests.samples import CONTENTS
from tests.web.doors import Doors, Page
from tests.web.html import Node
from tests.web.spelling import EXAMPLES, as_form, example

#: Filled in by the door itself when they are left out: nobody types the id of a sign-off of their own.
LOOKED_UP = {
    ("open_bag", "esd_signoff"),
    ("install_pair", "esd_signoff"),
    ("remove_pair", "esd_signoff"),
    ("swap_pairs", "esd_signoff"),
}
HIDDEN = {"id", "seen"}


def body(doors: Doors) -> dict:
    with doors.world.database.reading() as db:
        raw = db.exec_driver_sql("SELECT entry FROM log_entry ORDER BY seq DESC LIMIT 1").scalar_one()
    return json.loads(bytes(raw))


@pytest.mark.parametrize("act", EXAMPLES)
def test_an_act_sent_from_its_page_is_in_the_log_as_if_a_program_had_sent_it(act: str, lived: Doors):
    told, size = EXAMPLES[act], lived.size()
    sent = example(lived.world, act)
    visitor = lived.visitor(told.by)
    answer = visitor.act(act, **as_form(sent))
    assert (answer.status, answer.told()) == (303, [])
    assert lived.size() == size + 1
    written = body(lived)
    assert (written["act"], written["via"], written["by"]) == (act, "page", lived.world.ids[told.by])
    assert written["happened_at"] == sent["happened_at"].replace("Z", ".000000Z")
    for name, value in sent.items():
        if name in ACTS[act].people:
            assert written["ids"][name] == lived.world.ids.get(value, value) and name not in written["body"]
        elif name in ACTS[act].model_fields and name not in ("id", "happened_at"):
            assert _as_kept(written["body"][name]) == value, name
    landed = visitor.follow(answer)
    assert landed.status == 200
    assert any(
        strip.startswith(f"In the log as entry {size + 1:,}: {ACTS[act].says.lower()}") for strip in landed.strips
    )


def _as_kept(value: object) -> object:
    """Instants stand in the entry with all their digits, rows with what was left empty."""
    if isinstance(value, list) and value and isinstance(value[0], dict):
        return [
            {
                name: inner.replace(".000000Z", "Z") if isinstance(inner, str) else inner
                for name, inner in row.items()
                if inner is not None
            }
            for row in value
        ]
    return value.replace(".000000Z", "Z") if isinstance(value, str) else value


@pytest.mark.parametrize("act", EXAMPLES)
def test_the_form_shows_every_field_of_the_act_with_its_own_words(act: str, untouched: Doors):
    page = untouched.visitor("maren").get(f"/act/{act}")
    assert (page.status, page.heading, page.title.split(" · ")[0]) == (200, ACTS[act].says, ACTS[act].says)
    form = page.form(f"/act/{act}")
    names = {name.split("-")[0] for name in form.names()}
    missing = {name for name in ACTS[act].model_fields if name not in names and (act, name) not in LOOKED_UP}
    assert missing == set()
    assert ("pin" in names) is ACTS[act].pin
    for name, info in ACTS[act].model_fields.items():
        if name not in HIDDEN and (act, name) not in LOOKED_UP:
            assert_shown(page, name, info)


def assert_shown(page: Page, name: str, info: FieldInfo) -> None:
    label = page.root.all("label", **{"for": name}) or _legend(page, name) or _tick(page, name)
    assert [node.words for node in label] == [info.title], name
    described = [node.words for node in page.root.walk() if "limit" in node.classes]
    if info.description and name != "happened_at":
        assert " ".join(info.description.split()) in described, name


def _legend(page: Page, name: str) -> list[Node]:
    """The legend of a list of rows or of ticks."""
    sets = [
        node
        for node in page.root.all("fieldset")
        if any(inner.attrs.get("name", "").split("-")[0] == name for inner in node.walk())
    ]
    return [node.all("legend")[0] for node in sets]


def _tick(page: Page, name: str) -> list[Node]:
    return [node for node in page.root.all("label", cls="tick") if any(inner.has(name=name) for inner in node.walk())]


@pytest.mark.parametrize(
    "act", [name for name, told in EXAMPLES.items() if told.stranger and not issubclass(ACTS[name], Deed)]
)
def test_the_page_says_who_may_do_it_to_those_who_may_not(act: str, untouched: Doors):
    allowed, other = (untouched.visitor(who).get(f"/act/{act}") for who in (EXAMPLES[act].by, EXAMPLES[act].stranger))
    told = f"Only {name_roles(ACTS[act].may)} may do this. You may look at the form; it will be refused."
    assert told in other.strips
    assert told not in allowed.strips


@pytest.mark.parametrize("act", EXAMPLES)
def test_a_form_that_is_refused_comes_back_as_it_was_typed(act: str, untouched: Doors):
    visitor = untouched.visitor(EXAMPLES[act].by)
    page = visitor.get(f"/act/{act}")
    typed = as_form(example(untouched.world, act)) | {"happened_at": "2029-01-01T00:00"}
    form = page.form(f"/act/{act}")
    typed |= {"pin": "2846"} if "pin" in form.names() else {}
    answer = visitor.send(page, form, **typed)
    assert answer.status == 409
    assert answer.told()[0].startswith("1 January 2029, 00:00 UTC is 9")
    assert answer.beside("happened_at")
    secret = {"pin", "second_pin", "csrf_token"}
    sent = [_with_its_hash(*pair) for pair in form.filled(**typed) if pair[0] not in secret]
    kept = [pair for pair in answer.form(f"/act/{act}").values() if pair[0] not in secret]
    assert sorted(_same_ends(kept)) == sorted(_same_ends(sent))


def _with_its_hash(name: str, value: Any) -> tuple[str, str]:
    """A file that was sent stays with the form by its hash: nobody takes a photo twice."""
    if not isinstance(value, tuple):
        return name, value
    return f"{name}-kept", f"{hashlib.sha256(CONTENTS[value[1]]).hexdigest()} {value[1]}"


def _same_ends(pairs: list[tuple[str, str]]) -> list[tuple[str, str]]:
    return [(name, value.replace("\r\n", "\n")) for name, value in pairs]


def test_the_act_that_founds_a_registry_has_no_page(untouched: Doors):
    assert untouched.visitor("maren").get("/act/found_outfit").status == 404
    assert untouched.visitor("maren").get("/act/do_magic").status == 404


def test_the_index_lists_every_act_once_with_who_may_do_it(untouched: Doors):
    page = untouched.visitor("anselm").get("/acts")
    listed = [node.words for node in page.root.one("main").all("span", cls="what")]
    assert sorted(listed) == sorted(cls.says for name, cls in ACTS.items() if name != "found_outfit")
    assert "Only a workshop lead." in page.words
