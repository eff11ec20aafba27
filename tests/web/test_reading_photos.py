"""Photos of labels: every symbol as a scanner would send it, and no file from outside that hurts or stays unexplained."""

import io
import struct
import zlib

import pytest
from PIL import Image

from registry import photos
from registry.domain.labels import read_label
from registry.errors import Refused
from registry.photos import MOST_BYTES, MOST_PIXELS, read_photo
from tests.drawing import bench, blurred, maker_text, our_symbol, saved, symbol, turned, url

TWELVE = [maker_text("AR-3100-C", f"S-{number:04d}") for number in range(12)]


def texts(data: bytes) -> list[str]:
    return [one.text for one in read_photo(data)]


def refusal(data: bytes, **told: object) -> tuple[str, str, str]:
    with pytest.raises(Refused) as caught:
        read_photo(data, **told)  # type: ignore[arg-type]
    (reason,) = caught.value.reasons
    assert reason.field == "photo"
    return reason.code, reason.message, reason.next or ""


# what is read


@pytest.mark.parametrize(
    ("kind", "text", "prefix"),
    [
        ("DataMatrix", maker_text("AR-3100-C", "S-20418"), "]d1"),
        ("QRCode", maker_text("AR-3100-C", "S-20418"), "]Q1"),
        ("QRCode", "HTTPS://PAIRBOOK.EXAMPLE/I/K0000000", "]Q1"),
        ("Code128", "S0012345", "]C0"),
        ("Code39", "S0012345", "]A0"),
        ("PDF417", maker_text("AR-3100-C", "S-20418"), "]L2"),
    ],
)
def test_a_symbol_is_read_byte_for_byte_behind_its_prefix(kind: str, text: str, prefix: str):
    """RS, GS and EOT stay what they are; a decoder’s text for display would show pictures in their place."""
    assert texts(saved(symbol(text, kind), "PNG")) == [prefix + text]


@pytest.mark.parametrize(("kind", "prefix"), [("DataMatrix", "]d2"), ("QRCode", "]Q3"), ("Code128", "]C1")])
def test_gs1_symbols_say_so_and_so_the_parser_reads_their_elements(kind: str, prefix: str):
    (text,) = texts(saved(symbol("(01)04012345123456(21)ab12(10)L7", kind, gs1=True), "PNG"))
    assert text == f"{prefix}010401234512345621ab12\x1d10L7"
    label = read_label(text)
    assert (label.ok, label.syntax, [tuple(e) for e in label.elements]) == (
        True, "gs1-elements", [("01", "04012345123456"), ("21", "ab12"), ("10", "L7")],
    )  # fmt: skip


def test_what_comes_out_is_read_by_the_parser_as_from_a_scanner():
    (text,) = texts(saved(symbol(TWELVE[3])))
    label = read_label(text)
    assert (label.ok, label.symbology, label.identity and label.identity.serial) == (True, "]d1", "S-0003")


@pytest.mark.parametrize("degrees", [0, 9, 90, 180, 217])
def test_twelve_labels_on_a_bench_are_read_in_one_photo_turned_and_blurred(degrees: int):
    photo = saved(blurred(turned(bench([symbol(text) for text in TWELVE]), degrees), 1.2), quality=80)
    found = read_photo(photo)
    assert sorted(one.text for one in found) == sorted(f"]d1{text}" for text in TWELVE)


def test_symbols_come_from_top_to_bottom_with_their_corners():
    found = read_photo(saved(bench([symbol(text) for text in TWELVE], columns=1)))
    assert [one.text for one in found] == [f"]d1{text}" for text in TWELVE]
    for place, one in enumerate(found):
        assert all(place * 340 <= y < (place + 1) * 340 and 0 <= x < 340 for x, y in one.corners)


def test_a_symbol_that_is_there_twice_comes_once():
    assert texts(saved(bench([symbol(TWELVE[0]), symbol(TWELVE[0]), symbol(TWELVE[1])]))) == [
        f"]d1{text}" for text in TWELVE[:2]
    ]


def test_more_symbols_than_a_tray_holds_are_cut_off():
    many = [symbol(f"N{number:03d}", scale=3) for number in range(photos.MOST_SYMBOLS + 8)]
    assert len(read_photo(saved(bench(many, columns=8, cell=90)))) == photos.MOST_SYMBOLS


def test_a_camera_that_was_held_upright_is_turned_back():
    """EXIF orientation 6: the picture is to be turned a quarter to the right."""
    exif = Image.Exif()
    exif[0x0112] = 6
    upright = bench([symbol(TWELVE[0]), symbol(TWELVE[1])], columns=1)
    (first, second) = read_photo(saved(upright.rotate(90, expand=True), exif=exif))
    assert (first.text, second.text) == (f"]d1{TWELVE[0]}", f"]d1{TWELVE[1]}")
    assert max(x for x, _y in second.corners) < 340 < max(y for _x, y in second.corners)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("mode", ["L", "RGB"])
def test_what_phones_save_is_read(kind: str, mode: str):
    assert texts(saved(symbol(TWELVE[0]).convert(mode), kind)) == [f"]d1{TWELVE[0]}"]


def test_ink_on_a_clear_ground_is_ink_on_paper():
    ink = symbol(TWELVE[0])
    clear = Image.merge("LA", (Image.new("L", ink.size, 0), ink.point(lambda shade: 255 - shade)))
    assert texts(saved(clear, "PNG")) == [f"]d1{TWELVE[0]}"]


def test_sixteen_bits_of_grey_are_not_cut_off():
    """Dark is 12,000 and light 40,000: cut off at 255 both would be white."""
    deep = symbol(TWELVE[0]).convert("I").point(lambda shade: shade * 110 + 12_000).convert("I;16")
    assert texts(saved(deep, "PNG")) == [f"]d1{TWELVE[0]}"]


def test_a_large_photo_is_drawn_down_and_still_read():
    paper = Image.new("L", (6000, 4000), 220)
    paper.paste(symbol(TWELVE[0], scale=12), (2000, 1500))
    assert texts(saved(paper)) == [f"]d1{TWELVE[0]}"]


def test_our_own_label_and_its_copy_are_told_apart():
    code = "K0000000"
    from registry.domain.codes import draw_code

    code = draw_code("K", lambda most: most // 3)
    found = texts(saved(bench([our_symbol(code), our_symbol(code, copy=2)], columns=2)))
    assert found == [f"]Q1{url(code)}", f"]Q1{url(code, 2)}"]


# what is refused, each with a sentence

SVG = b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><script>alert(1)</script></svg>'


def moving(kind: str) -> bytes:
    frames = [symbol(text) for text in TWELVE[:3]]
    return saved(frames[0], kind, save_all=True, append_images=frames[1:])


@pytest.mark.parametrize(
    "data",
    [SVG, b"not a picture", b"%PDF-1.7\n", b"GIF89a", b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"\x00" * 5000, moving("GIF")],
    ids=["svg", "text", "pdf", "gif head", "jpeg head", "png head", "zeros", "moving gif"],
)  # fmt: skip
def test_what_is_no_picture_is_told_so(data: bytes):
    code, message, do = refusal(data)
    assert code == "not_a_photo"
    assert message in (
        "This file is no picture that can be read here.",
        "The picture is damaged or was cut short: it cannot be unpacked.",
    )
    assert do


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_a_picture_that_moves_is_refused(kind: str):
    assert refusal(moving(kind))[:2] == ("not_a_photo", "This picture moves.")


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("share", [0.2, 0.5, 0.9])
def test_a_file_cut_short_is_told_so(kind: str, share: float):
    whole = saved(bench([symbol(text) for text in TWELVE]), kind)
    code, message, _do = refusal(whole[: int(len(whole) * share)])
    assert (code, message) == ("not_a_photo", "The picture is damaged or was cut short: it cannot be unpacked.")


def test_a_picture_without_a_symbol_says_how_to_take_a_better_one():
    code, message, do = refusal(saved(Image.new("L", (800, 600), 200)))
    assert (code, message) == ("no_symbol", "No symbol was found in this photo.")
    assert do.startswith("Hold the camera closer")


def test_no_file_is_told_so():
    assert refusal(b"")[:2] == ("missing_field", "No file came with it.")


def png_that_says(width: int, height: int, unpacked: int) -> bytes:
    """A PNG header of this size over `unpacked` zero bytes, packed a thousandfold."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0" * unpacked, 9))
        + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(("width", "height"), [(6000, 5000), (8000, 6000), (60_000, 60_000)])
def test_a_picture_that_would_unpack_to_too_many_pixels_is_refused_by_its_header(
    width: int, height: int, monkeypatch: pytest.MonkeyPatch
):
    """30 and 48 megapixels and a bomb; none is unpacked: to load one would fail the test."""

    def never(*_more: object) -> None:
        raise AssertionError("it was unpacked")

    from PIL import PngImagePlugin

    monkeypatch.setattr(PngImagePlugin.PngImageFile, "load", never)
    code, message, do = refusal(png_that_says(width, height, 1_000_000))
    assert (code, message) == ("too_large", "The picture has more than 25 megapixels.")
    assert do.startswith("Set the camera to smaller pictures")


def test_thirty_megapixels_of_a_camera_are_refused():
    assert refusal(saved(Image.new("L", (6400, 4700), 200)))[0] == "too_large"
    assert MOST_PIXELS < 6400 * 4700


def test_a_caller_may_allow_fewer_pixels():
    data = saved(symbol(TWELVE[0]))
    assert refusal(data, most_pixels=1000)[0] == "too_large"


def test_a_file_of_too_many_bytes_is_refused_unread():
    code, message, _do = refusal(b"\xff" * (MOST_BYTES + 1))
    assert (code, message) == ("too_large", "The file is larger than 16 MB, which is the most a photo may have.")


def test_a_header_that_lies_is_a_damaged_picture():
    data = bytearray(saved(symbol(TWELVE[0]), "PNG"))
    data[20:24] = struct.pack(">I", 900)  # the height
    assert refusal(bytes(data))[0] == "not_a_photo"


def test_whatever_byte_is_spoilt_the_answer_is_a_reading_or_a_sentence():
    import random

    dice = random.Random(8)
    for kind in ("JPEG", "PNG", "WEBP"):
        whole = saved(symbol("S0012345", scale=3), kind)
        for _ in range(60):
            spoilt = bytearray(whole)
            for _bit in range(dice.randrange(1, 5)):
                spoilt[dice.randrange(len(spoilt))] ^= 1 << dice.randrange(8)
            try:
                assert read_photo(bytes(spoilt))
            except Refused as refused:
                assert refused.reasons[0].code in ("not_a_photo", "no_symbol", "too_large")


def test_when_too_many_are_read_at_once_the_next_is_told_to_wait(monkeypatch: pytest.MonkeyPatch):
    import threading

    full = threading.BoundedSemaphore(1)
    full.acquire()
    monkeypatch.setattr(photos, "_AT_ONCE", full)
    monkeypatch.setattr(photos, "_PATIENCE_S", 0.01)
    assert refusal(saved(symbol(TWELVE[0])))[0] == "busy"


def test_a_refused_photo_leaves_the_way_free_for_the_next():
    for _ in range(6):
        refusal(SVG)
    assert texts(saved(symbol(TWELVE[0])))


def test_a_picture_of_two_views_is_read_by_its_first():
    """Some phones save two views in one file; that is no film."""
    out = io.BytesIO()
    symbol(TWELVE[0]).convert("RGB").save(out, "MPO", save_all=True, append_images=[symbol(TWELVE[1]).convert("RGB")])
    assert texts(out.getvalue()) == [f"]d1{TWELVE[0]}"]
