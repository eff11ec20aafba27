"""A technician finds a crack: a hold with a photo from the phone, in two taps; a release authority looks at it."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.journeys.browser import SCRIPT, Phone
from tests.journeys.server import Sea
from tests.samples import located, picture


@pytest.mark.parametrize("script", SCRIPT)
def test_a_hold_is_placed_with_a_photo_in_two_taps(script: bool, phone: Callable[..., Phone], sea: Sea, tmp_path: Path):
    name = sea.spares("Quenholt Reed")[0]
    photo = tmp_path / "crack.jpg"
    photo.write_bytes(located(size=(4000, 3000), colour="maroon" if script else "olive"))
    ida = phone("Ida Brekke", 360, script=script)
    ida.go(f"/pairs/{name}")
    ida.press("Hold this pair")
    ida.page.get_by_label("Take a photo").set_input_files(photo)
    ida.page.get_by_label("What you saw").fill("A crack beside the connector.")
    ida.press("Place a hold")
    assert ida.heading() == f"Pair {name} is on hold."
    rosa = phone("Rosa Achter", 1280, script=script)
    rosa.go(f"/pairs/{name}")
    rosa.press("Look at the hold")
    shown = rosa.page.get_by_role("img", name="crack.jpg")
    shown.scroll_into_view_if_needed()
    if script:
        rosa.page.wait_for_function("document.querySelector('.thumb img').naturalWidth === 360")
    with rosa.page.expect_download() as saved:
        rosa.page.get_by_role("link", name="crack.jpg", exact=True).click()
    assert saved.value.suggested_filename == "crack.jpg"
    assert Path(saved.value.path()).read_bytes() == photo.read_bytes()


def test_a_photo_is_not_taken_twice_when_something_is_missing(phone: Callable[..., Phone], sea: Sea, tmp_path: Path):
    photo = tmp_path / "dent.png"
    photo.write_bytes(picture("PNG", colour="navy"))
    ida = phone("Ida Brekke", 360)
    ida.go("/act/attach_file")
    ida.page.get_by_label("Or choose files").set_input_files(photo)
    ida.page.get_by_label("Vehicle").fill("No such vehicle")
    ida.press("Attach a file")
    assert "Refused. Nothing was written." in ida.words()
    ida.complaints.clear()  # the browser tells of the 422
    assert "dent.png" in ida.words() and "here already" in ida.words()
    ida.page.get_by_label("Vehicle").fill("Teasel")
    ida.press("Attach a file")
    assert ida.heading().startswith("Teasel")
    assert "File attached: dent.png." in ida.words()
