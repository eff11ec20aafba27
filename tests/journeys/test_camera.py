"""Photo and camera on the scan line in a real browser: with and without script, allowed and refused, heard and silent."""

import io
import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Browser

from registry.output.symbols import qr_png
from registry.queries.log import outfit_shown
from tests.drawing import saved
from tests.journeys.browser import ARGUMENTS, Phone, found
from tests.journeys.server import Sea

WIDTH, HEIGHT = 640, 480
#: Notes what would be heard and felt, in place of hearing and feeling it.
EARS = """
window.heard = []; window.felt = [];
class Voice { constructor() { this.frequency = {}; } connect(next) { return next; } start() { window.heard.push(this.frequency.value); } stop() {} }
class Gain { constructor() { this.gain = { setValueAtTime() {}, exponentialRampToValueAtTime() {} }; } connect(next) { return next; } }
window.AudioContext = class { constructor() { this.state = 'running'; this.currentTime = 0; } createOscillator() { return new Voice(); } createGain() { return new Gain(); } };
navigator.vibrate = (pattern) => { window.felt.push(pattern); return true; };
"""


def picture(sea: Sea, *codes: str, size: tuple[int, int] = (WIDTH, HEIGHT)) -> Image.Image:
    """Our labels as a camera sees them, side by side on a mat."""
    with sea.database.reading() as db:
        host = outfit_shown(db).label_host  # type: ignore[union-attr]
    mat = Image.new("L", size, 210)
    for place, code in enumerate(codes):
        one = Image.open(io.BytesIO(qr_png(host, code, dots=5))).convert("L")
        mat.paste(one, (40 + place * 300, 120))
    return mat


def film(frame: Image.Image, path: Path) -> Path:
    """A film of one still, as raw frames (Y4M): what the browser’s stand-in for a camera shows."""
    head = f"YUV4MPEG2 W{frame.width} H{frame.height} F10:1 Ip A1:1 C420jpeg\n"
    grey = bytes([128]) * (frame.width * frame.height // 2)
    path.write_bytes(head.encode() + (b"FRAME\n" + frame.tobytes() + grey) * 4)
    return path


@pytest.fixture(scope="module")
def filming(sea: Sea, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What lies before the camera: both halves of a pair in Teasel."""
    bay = sea.vehicle("Teasel").bay("B")
    return film(picture(sea, bay.sensor_code, bay.electronics_code), tmp_path_factory.mktemp("film") / "bench.y4m")


class Seer(Phone):
    """A browser with ears noted down, and the ways of its frames."""

    def __init__(self, browser: Browser, url: str, width: int = 360, *, script: bool = True, before: str = ""):
        super().__init__(browser, url, width, script=script)
        self.context.add_init_script(EARS + before)
        self.open_frames, self.most_open, self.frames = 0, 0, 0
        self.page.on("request", self._asked)
        self.page.on("requestfinished", self._answered)
        self.page.on("requestfailed", self._answered)

    def _asked(self, request: Any) -> None:
        if "/frame" in request.url:
            self.frames += 1
            self.open_frames += 1
            self.most_open = max(self.most_open, self.open_frames)

    def _answered(self, request: Any) -> None:
        self.open_frames -= "/frame" in request.url

    def noted(self, what: str) -> Any:
        return json.loads(self.page.evaluate(f"JSON.stringify(window.{what})"))


@pytest.fixture
def camera(chromium: Browser, sea: Sea, filming: Path) -> Iterator[Callable[..., Seer]]:
    """A browser whose camera shows the film; `ask=True` leaves the question for the camera unanswered, which is a no."""
    opened: list[tuple[Seer, Browser]] = []

    def given(*, ask: bool = False, before: str = "", width: int = 360) -> Seer:
        more = ["--use-fake-device-for-media-stream", f"--use-file-for-fake-video-capture={filming}"]
        browser = chromium.browser_type.launch(
            executable_path=found(), args=[*ARGUMENTS, *more, *([] if ask else ["--use-fake-ui-for-media-stream"])]
        )
        one = Seer(browser, sea.url, width, before=before)
        opened.append((one, browser))
        one.sign_in("Oda Fenn", "invented harbour lamp")
        return one

    yield given
    for one, browser in opened:
        one.close()
        browser.close()


WHOLE_TONES, STOP_TONES = [660, 990], [196, 196, 147]


def test_the_camera_sees_a_pair_and_the_page_says_so_and_keeps_it(camera: Callable[..., Seer], sea: Sea):
    bay, lead = sea.vehicle("Teasel").bay("B"), camera()
    lead.press("Use the camera")
    lead.page.get_by_role("heading", name=f"Whole. {bay.pair}.").wait_for()
    assert lead.page.locator("h1").count() == 1
    assert lead.page.locator("#lying article").count() == 2
    assert lead.noted("heard")[-2:] == WHOLE_TONES
    assert lead.noted("felt")[-1] == [60]
    assert (lead.most_open, lead.frames >= 1) == (1, True)
    assert {bay.sensor_code, bay.electronics_code} == set(
        lead.page.evaluate("new URLSearchParams(location.search).getAll('on')")
    )
    drawn = lead.page.evaluate(
        "[...document.querySelectorAll('main use')].filter((one) => !document.querySelector(one.getAttribute('href'))).length"
    )
    assert drawn == 0
    lead.press("Stop the camera")
    assert not lead.page.locator("video").is_visible()
    lead.page.reload()
    assert lead.heading() == f"Whole. {bay.pair}."


def test_mixed_halves_scanned_one_by_one_sound_otherwise_than_a_whole_pair(camera: Callable[..., Seer], sea: Sea):
    other, lead = sea.spares("Sedge")[0], camera()
    bay = sea.vehicle("Teasel").bay("B")
    lead.page.locator("#scan").fill(sea.codes(other)[0])
    lead.press("Look")
    lead.page.locator("#scan").fill(bay.electronics_code)
    lead.press("Look")
    assert lead.heading() == "Mixed. Do not join."
    assert lead.noted("heard") == STOP_TONES
    assert not set(WHOLE_TONES) & set(STOP_TONES)


def test_at_the_seat_mixed_halves_sound_and_shake_otherwise_than_a_whole_pair(camera: Callable[..., Seer], sea: Sea):
    lead, (one, other) = camera(), sea.spares("Reed")[:2]
    lead.go(f"/bays/{sea.vehicle('Teasel').bay('B').code}/swap/seat")
    lead.page.get_by_label("Sound").wait_for()
    for second, tones, shakes in ((other, STOP_TONES, [320, 120, 320, 120, 320]), (one, WHOLE_TONES, [60])):
        lead.scan_both(sea.codes(one)[0], sea.codes(second)[1])
        assert (lead.heading(), lead.noted("heard")) == (
            "Mixed. Do not join." if second == other else f"Whole. {one} is seated.",
            tones,
        )
        lead.page.locator("h2").first.click()  # a browser shakes once the page itself was touched
        lead.page.evaluate(
            "document.dispatchEvent(new CustomEvent('tray', { detail: document.getElementById('verdict').dataset.tone }))"
        )
        assert lead.noted("felt")[-1] == shakes


def test_sound_can_be_turned_off_and_stays_off_and_the_words_stay(camera: Callable[..., Seer], sea: Sea):
    bay, lead = sea.vehicle("Teasel").bay("B"), camera()
    lead.page.get_by_label("Sound").uncheck()
    lead.go("/")
    assert not lead.page.get_by_label("Sound").is_checked()
    lead.press("Use the camera")
    lead.page.get_by_role("heading", name=f"Whole. {bay.pair}.").wait_for()
    assert (lead.noted("heard"), lead.noted("felt")[-1]) == ([], [60])


def test_a_camera_that_is_refused_says_how_to_allow_it_and_what_to_do_instead(camera: Callable[..., Seer]):
    lead = camera(ask=True)
    lead.press("Use the camera")
    told = lead.page.locator("#camera-told")
    told.get_by_text("The camera was not allowed.").wait_for()
    assert told.inner_text().endswith("Take a photo of the labels instead, or type the code.")
    assert lead.page.locator("#photo").is_visible()
    assert lead.frames == 0


def test_over_plain_http_the_page_says_why_there_is_no_camera(camera: Callable[..., Seer]):
    lead = camera(before="Object.defineProperty(window, 'isSecureContext', { value: false });")
    lead.press("Use the camera")
    assert lead.page.locator("#camera-told").inner_text() == (
        "A browser shows the camera only to pages opened over HTTPS or on the same machine. "
        "Take a photo of the labels instead, or type the code."
    )


@pytest.mark.parametrize(
    ("width", "script"),
    [
        (360, True),
        *(pytest.param(*other, marks=pytest.mark.long) for other in ((360, False), (1280, True), (1280, False))),
    ],
)
def test_a_photo_of_two_halves_gives_the_verdict(
    script: bool, width: int, phone: Callable[..., Phone], sea: Sea, tmp_path: Path
):
    bay, other = sea.vehicle("Teasel").bay("B"), sea.spares("Sedge")[0]
    lead = phone("Oda Fenn", width, script=script)
    assert lead.page.locator("#camera").is_visible() is script
    for codes, says in (
        ((bay.sensor_code, bay.electronics_code), f"Whole. {bay.pair}."),
        ((bay.sensor_code, sea.codes(other)[1]), "Mixed. Do not join."),
    ):
        path = tmp_path / "photo.jpg"
        path.write_bytes(saved(picture(sea, *codes)))
        lead.go("/")
        lead.page.get_by_label("A photo of labels").set_input_files(path)
        lead.press("Read the photo")
        assert lead.heading() == says


def test_a_photo_too_large_to_send_is_told_so_and_not_just_cut_off(phone: Callable[..., Phone], tmp_path: Path):
    lead, path = phone("Oda Fenn", 360), tmp_path / "photo.jpg"
    path.write_bytes(b"\xff\xd8" + b"x" * (17 * 1024 * 1024))
    lead.page.get_by_label("A photo of labels").set_input_files(path)
    lead.press("Read the photo")
    assert lead.heading() == "The file is larger than 16 MB, which is the most a photo may have."
    lead.complaints.clear()  # the browser tells of every status above 400
