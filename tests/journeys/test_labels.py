"""Labels printed by the lead in a real browser: ticked, made, saved; and what is saved reads."""

from collections.abc import Callable
from pathlib import Path

import pypdfium2
import pytest
import zxingcpp

from tests.journeys.browser import Phone
from tests.journeys.server import Sea


@pytest.mark.parametrize(("width", "script"), [(360, True), (1280, False)], ids=["phone", "desk without script"])
def test_the_label_of_a_half_is_made_and_saved(
    width: int, script: bool, phone: Callable[..., Phone], sea: Sea, tmp_path: Path
):
    code, lead = sea.vehicle("Teasel").bay("B").sensor_code, phone("Oda Fenn", width, script=script)
    lead.go(f"/halves/{code}")
    lead.press("Print its label")
    lead.page.get_by_label("Height of a label").select_option(label="18 mm")
    with lead.page.expect_download() as saved:
        lead.page.get_by_role("button", name="Make the PDF").click()
    assert saved.value.suggested_filename == "labels.pdf"
    saved.value.save_as(tmp_path / "labels.pdf")
    pdf = pypdfium2.PdfDocument(tmp_path / "labels.pdf")
    page = pdf[0]
    (found,) = zxingcpp.read_barcodes(page.render(scale=300 / 72).to_pil().convert("L"))
    page.close()
    pdf.close()
    assert found.text.endswith(f"/I/{code}")
