"""The fleet manager at six in the evening, and the auditor two years later: who carried what, and is it as it was written?"""

from collections.abc import Callable

import pytest

from tests.journeys.browser import SCRIPT, Phone
from tests.journeys.server import Sea


@pytest.mark.parametrize("script", SCRIPT)
def test_the_manager_asks_who_carried_what_last_spring(script: bool, phone: Callable[..., Phone], sea: Sea):
    then = sea.days_ago(150)
    at = then.strftime("%Y-%m-%dT%H:%M:%S.%fZ")
    manager = phone("Tomas Oyelaran", 1280, script=script)
    manager.go("/fleet")
    now = manager.words()
    manager.page.get_by_label("Day and time").fill(then.strftime("%Y-%m-%dT%H:%M"))
    manager.press("Turn")
    assert f"As it stood on {then.day} {then:%B} {then.year}, {then:%H:%M} UTC" in manager.words()
    assert manager.words() != now
    carried = {bay.pair for name in ("Teasel", "Yarrow", "Burdock") for bay in sea.vehicle(name, at).bays if bay.pair}
    assert carried
    for pair in carried:
        assert pair in manager.words()
    assert manager.page.locator("main .act").count() == 0
    pair = sorted(carried)[0]
    manager.press(pair)
    assert manager.page.url.count("at=") == 1
    assert manager.page.locator("svg.line.across").is_visible()
    assert not manager.page.locator("svg.line.down").is_visible()
    assert f"{pair} installed in" in manager.words()
    manager.press("Back to now")
    assert "As it stood on" not in manager.words()


def test_the_life_line_turns_upright_on_a_phone(phone: Callable[..., Phone], sea: Sea):
    manager = phone("Tomas Oyelaran", 360)
    manager.go(f"/pairs/{sea.vehicle('Teasel').bay('B').pair}")
    assert manager.page.locator("svg.line.down").is_visible()
    assert not manager.page.locator("svg.line.across").is_visible()


def test_the_auditor_follows_a_line_of_history_to_its_entry_and_proof(phone: Callable[..., Phone], sea: Sea):
    auditor = phone("Anselm Quay", 1280)
    auditor.go(f"/pairs/{sea.vehicle('Teasel').bay('B').pair}")
    auditor.page.locator("ol.dated a").first.click()
    assert "Proof" in auditor.words()
    steps = auditor.page.locator(".proof").inner_text()
    assert f"\n{sea.size()}\n" in steps
    auditor.go("/log")
    with auditor.page.expect_download() as kept:
        auditor.page.get_by_role("link", name="Signed checkpoint").click()
    assert kept.value.suggested_filename == f"pairbook-checkpoint-{sea.size()}.txt"


def test_the_light_is_chosen_on_one_page_and_holds_on_the_next(phone: Callable[..., Phone], sea: Sea):
    manager = phone("Tomas Oyelaran", 360)
    manager.go("/fleet")
    day = manager.page.evaluate("getComputedStyle(document.body).backgroundColor")
    manager.press("deck red")
    assert "nothing that stops" in manager.heading()
    red = manager.page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert red != day
    manager.go("/pairs")
    assert manager.page.evaluate("document.documentElement.dataset.light") == "red"
