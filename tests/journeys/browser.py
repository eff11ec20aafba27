"""A real Chromium, found where Debian puts it. Where there is none the tests say so; in CI they fail."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from tests.bounds import IN_CI

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--no-first-run",
]


def found() -> str:
    """The path of a browser, or a clear word that there is none."""
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path:
        return path
    told = "No chromium is on this machine: the journeys through a real browser were not made. Install Debian's package `chromium`."
    if IN_CI:
        pytest.fail(told)
    pytest.skip(told)


@contextmanager
def running() -> Iterator[Browser]:
    path = found()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=ARGUMENTS)
        yield browser
        browser.close()


#: With the program's script every day; without it, the same by plain forms, in the long runs.
SCRIPT = [
    pytest.param(True, id="with script"),
    pytest.param(False, id="without script", marks=pytest.mark.long),
]


class Phone:
    """One person's browser at one width, with or without script. Anything the page complains about fails the test."""

    def __init__(self, browser: Browser, url: str, width: int = 360, *, script: bool = True):
        self.context = browser.new_context(
            base_url=url, viewport={"width": width, "height": 780}, java_script_enabled=script, reduced_motion="reduce"
        )
        self.context.set_default_timeout(10_000)
        self.page: Page = self.context.new_page()
        self.complaints: list[str] = []
        self.page.on(
            "console",
            lambda message: self.complaints.append(message.text) if message.type in ("error", "warning") else None,
        )
        self.page.on("pageerror", lambda problem: self.complaints.append(str(problem)))
        self.page.on(
            "requestfailed",
            lambda request: (
                self.complaints.append(f"{request.url}: {request.failure}")
                if request.failure != "net::ERR_ABORTED"
                else None
            ),
        )

    def go(self, path: str) -> None:
        answer = self.page.goto(path)
        assert answer is not None and answer.status < 500, path

    def sign_in(self, name: str, password: str) -> None:
        self.go("/sign-in")
        self.page.get_by_label("Badge or name").fill(name)
        self.page.get_by_label("Password").fill(password)
        self.page.get_by_role("button", name="Sign in").click()
        assert self.heading() == "Scan anything."

    def heading(self) -> str:
        return self.page.locator("h1").first.inner_text().replace("\u202f", " ").replace("\n", " ").strip()

    def words(self) -> str:
        return " ".join(self.page.locator("main").inner_text().replace("\u202f", " ").split())

    def press(self, name: str) -> None:
        """A link or a button, by what is written on it."""
        target = self.page.get_by_role("link", name=name, exact=True).or_(
            self.page.get_by_role("button", name=name, exact=True)
        )
        target.first.click()
        self.page.wait_for_load_state()

    def scan(self, text: str) -> None:
        """As a hand scanner types it: characters, control characters as keys held with Ctrl, Enter at the end."""
        keys = {"\x1d": "Control+]", "\x1e": "Control+6", "\x04": "Control+d"}
        part = ""
        for character in text:
            if character in keys:
                self.page.keyboard.type(part)
                self.page.keyboard.press(keys[character])
                part = ""
            else:
                part += character
        self.page.keyboard.type(part)
        with self.page.expect_navigation():
            self.page.keyboard.press("Enter")

    def scan_both(self, first: str, second: str) -> None:
        """Two labels one after the other, into the two fields of a step; Enter after the first goes on to the second."""
        fields = self.page.locator("main form input.scanned")
        fields.nth(0).fill(first)
        fields.nth(1).fill(second)
        self.page.locator("main form button").first.click()
        self.page.wait_for_load_state()

    def close(self) -> None:
        self.context.close()
        assert not self.complaints, self.complaints
