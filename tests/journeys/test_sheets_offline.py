"""The page that says whose settings a unit holds without a network: opened from a file, it answers as the registry does."""

from pathlib import Path

from playwright.sync_api import Browser

from registry.domain.readbacks import compare
from registry.output.sheets_offline import page_of, script, sheets_told
from tests.domain.readback_cases import CASES, SHEETS, sheet


def test_its_rule_gives_the_answers_of_the_registry(chromium: Browser):
    page = chromium.new_page()
    try:
        page.set_content("<html></html>")
        ask = f"(told) => {{ {script().partition('if (typeof document')[0]} return compare(...told); }}"
        for name, (read, sheets, wanted, verdict) in CASES.items():
            told = page.evaluate(ask, [[list(pair) for pair in read.items()], sheets_told(sheets), wanted])
            known = compare(read, sheets, "A", wanted)
            assert known is not None
            assert told["verdict"] == known.verdict == verdict, name
            assert known.sheet is None or known.sheet.say() in told["told"], name
        few = page.evaluate(ask, [[["Yaw", "0.25"]], sheets_told(SHEETS), "a2"])
        assert few["verdict"] == "too_few"
    finally:
        page.close()


def test_opened_from_a_file_it_answers_while_values_are_typed(chromium: Browser, tmp_path: Path):
    file = tmp_path / "sheets.html"
    file.write_text(
        page_of([*SHEETS, sheet("x", "X", 1, Note="</script><b>bold</b>")], "4 sheets as they stood."), "utf-8"
    )
    context = chromium.new_context(offline=True, viewport={"width": 360, "height": 700})
    try:
        page = context.new_page()
        page.goto(file.as_uri())
        assert page.locator("select#bay option").count() == 3
        page.get_by_label("Time scale").fill("UTC")
        page.get_by_label("Yaw (deg)").fill("0.31")
        assert page.locator("#answer").get_attribute("data-verdict") == "too_few"
        page.get_by_label("Output delay").fill("12")
        assert (
            page.locator("#answer").inner_text() == "Another bay’s sheet. This is Teasel, bay B, version 1 (1b1b 1b1b)."
        )
        page.get_by_label("Yaw (deg)").fill("0.25")
        assert page.locator("#answer").get_attribute("data-verdict") == "cannot_tell"
        assert page.evaluate("document.documentElement.scrollWidth") == 360
    finally:
        context.close()
