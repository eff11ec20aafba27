"""Labels: what a reader of symbols reads from them is the address of the thing, in the mode that keeps them small."""

import io

import pytest
import zxingcpp
from PIL import Image, ImageDraw

from tests.web.doors import Doors
from tests.web.html import read_html


def read(image: Image.Image) -> str:
    found = zxingcpp.read_barcodes(image)
    assert len(found) == 1
    assert found[0].format == zxingcpp.BarcodeFormat.QRCode
    return found[0].text


def drawn(svg: str, dots: int = 6) -> Image.Image:
    """The symbol as any drawing program would show it: horizontal runs of modules, `M x y h n v1 h-n z`."""
    root, faults = read_html(svg)
    assert faults == []
    size = int(root.one("svg").attrs["viewbox"].split()[2])
    image = Image.new("L", (size * dots, size * dots), 255)
    draw = ImageDraw.Draw(image)
    for run in root.all("path")[1].attrs["d"].removeprefix("M").split("M"):
        place, _, rest = run.partition("h")
        x, y = map(int, place.split())
        width = int(rest.partition("v")[0])
        draw.rectangle((x * dots, y * dots, (x + width) * dots - 1, (y + 1) * dots - 1), fill=0)
    return image


@pytest.mark.parametrize("name", ["p1 s", "p1 e", "teasel A", "teasel", "bench", "shed", "ida"])
def test_svg_and_png_read_as_the_address_of_the_thing(name: str, untouched: Doors):
    code = untouched.code(name)
    client = untouched.visitor("oda").client
    svg, png = client.get(f"/labels/{code}.svg"), client.get(f"/labels/{code}.png")
    assert (svg.mimetype, png.mimetype) == ("image/svg+xml", "image/png")
    wanted = f"HTTPS://PAIRBOOK.EXAMPLE/I/{code}"
    assert read(drawn(svg.text)) == wanted
    image = Image.open(io.BytesIO(png.data))
    assert read(image) == wanted
    assert image.getbbox() is not None


def test_the_quiet_zone_is_inside_the_picture(untouched: Doors):
    """Four light modules on every side (ISO/IEC 18004), whatever the label is printed next to."""
    picture = drawn(untouched.visitor("oda").client.get(f"/labels/{untouched.code('p1 s')}.svg").text, dots=1)
    dark = picture.point(lambda shade: 255 - shade).getbbox()
    assert dark == (4, 4, picture.width - 4, picture.height - 4)


def test_the_symbol_is_in_alphanumeric_mode_and_so_of_version_three(untouched: Doors):
    """36 characters at level Q: version 3 (29 modules) in alphanumeric mode, version 4 as bytes."""
    picture = drawn(untouched.visitor("oda").client.get(f"/labels/{untouched.code('p1 s')}.svg").text, dots=1)
    assert picture.width - 8 == 29


def test_a_label_scanned_by_a_phone_leads_to_the_thing(untouched: Doors):
    code = untouched.code("p1 s")
    address = read(drawn(untouched.visitor("oda").client.get(f"/labels/{code}.svg").text))
    answer = untouched.visitor("oda").client.get(
        address.removeprefix("HTTPS://PAIRBOOK.EXAMPLE"), follow_redirects=True
    )
    assert answer.request.full_path == f"/?text={code}"


@pytest.mark.parametrize("typed", ["{}", "{lower}", "{grouped}"])
def test_a_code_may_be_written_as_people_write_it(typed: str, untouched: Doors):
    code = untouched.code("p1 s")
    path = typed.format(code, lower=code.lower(), grouped=f"{code[:4]} {code[4:]}")
    assert read(drawn(untouched.visitor("oda").client.get(f"/labels/{path}.svg").text)).endswith(code)


@pytest.mark.parametrize("code", ["K0000000", "nothing", "<script>", "K" * 400, "%00", ".."])
def test_a_code_that_nothing_bears_has_no_label(code: str, untouched: Doors):
    for kind in ("svg", "png"):
        assert untouched.visitor("oda").get(f"/labels/{code}.{kind}").status == 404


def test_there_is_no_label_for_a_pair(untouched: Doors):
    """Pairings are superseded, ink is not."""
    assert untouched.visitor("oda").get("/labels/p1.svg").status == 404
    assert "Label" not in untouched.visitor("oda").get("/pairs/p1").links()


def test_the_address_on_a_label_leads_on_in_one_step(untouched: Doors):
    answer = untouched.visitor("ida").client.get(f"/i/{untouched.code('p1 s')}")
    assert (answer.status_code, answer.headers["Location"]) == (303, f"/?text={untouched.code('p1 s')}")


def test_a_thing_that_was_asked_for_is_ticked_on_top(untouched: Doors):
    code = untouched.code("p3 e")
    page = untouched.visitor("oda").get(f"/labels?codes={code}")
    ticks = page.root.all("input", name="on")
    assert [node.attrs["value"] for node in ticks if "checked" in node.attrs] == [code]
    assert ticks[0].attrs["value"] == code and len({node.attrs["value"] for node in ticks}) == len(ticks)


def test_what_came_along_and_is_no_code_stays_typed(untouched: Doors):
    page = untouched.visitor("oda").get("/labels?codes=nothing")
    assert page.form("/labels", method="post").value("codes").strip() == "nothing"
