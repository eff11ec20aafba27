"""The photo form of the scan line, without script: many symbols land on the tray at once, and a file that gives none is told."""

import pytest
from PIL import Image

from tests.drawing import bench, blurred, maker_text, our_symbol, saved, symbol, turned
from tests.web.doors import Doors, Page
from tests.web.test_scan import articles, band

TWELVE = ("p1 s", "p2 e", "p3 s", "p1 e", "p2 s", "p3 e", "p5 s", "lone s", "lone e", "gone s", "p5 e", "odd e")

BLANK = saved(symbol("S1").point(lambda _shade: 200))


def photo_of(doors: Doors, *names: str) -> bytes:
    symbols = [our_symbol(doors.code(name)) for name in names]
    return saved(blurred(turned(bench(symbols), 8), 0.8), quality=85)


def send(doors: Doors, data: bytes | None, name: str = "photo.jpg", page: Page | None = None, who: str = "ida") -> Page:
    """The form of this page, sent as a browser does, with a file chosen."""
    visitor = doors.visitor(who)
    page = page or visitor.get("/")
    form = page.form("/photo")
    assert (form.method, form.node.attrs["enctype"]) == ("post", "multipart/form-data")
    body = multipart(dict(form.values()), data, name)
    return visitor.post(form.action or "", body, content_type="multipart/form-data; boundary=edge")


def multipart(fields: dict[str, str], data: bytes | None, name: str = "photo.jpg") -> bytes:
    """What a browser sends for a form with a file."""
    parts = [f'Content-Disposition: form-data; name="{key}"\r\n\r\n{value}'.encode() for key, value in fields.items()]
    if data is not None:
        head = f'Content-Disposition: form-data; name="photo"; filename="{name}"\r\nContent-Type: image/jpeg\r\n\r\n'
        parts.append(head.encode() + data)
    return b"".join(b"--edge\r\n" + part + b"\r\n" for part in parts) + b"--edge--\r\n"


def test_the_form_asks_for_the_camera_of_a_phone_and_has_a_button(untouched: Doors):
    form = untouched.visitor("ida").get("/").form("/photo").node
    told = form.one("input", type="file")
    assert (told.attrs["accept"], told.attrs["capture"], told.attrs["name"]) == ("image/*", "environment", "photo")
    assert form.one("button").words == "Read the photo"


def test_a_bench_of_twelve_labels_is_sorted_from_one_photo(untouched: Doors):
    """Four pairs whole, three halves whose partner is not on the bench or that are in no pair, one of a pair that ended."""
    page = untouched.visitor("ida").follow(send(untouched, photo_of(untouched, *TWELVE)))
    assert band(page) == ("stops", "4 pairs are whole.")
    assert len(articles(page)) == 12
    assert "4 halves have no partner here." in page.words
    kept = [node.attrs["value"] for node in page.root.all("input", name="on")]
    assert sorted(kept) == sorted(untouched.code(name) for name in TWELVE)


def test_a_photo_of_many_bytes_is_taken_in_whole(untouched: Doors):
    """Larger than what is held in memory and than any other body may be: it travels through a file of the server."""
    grain = Image.effect_noise((2400, 1800), 60)
    grain.paste(our_symbol(untouched.code("p1 s")), (1000, 800))
    data = saved(grain, quality=97)
    assert len(data) > 2 * 1024 * 1024
    page = untouched.visitor("ida").follow(send(untouched, data))
    assert len(articles(page)) == 1


def test_two_halves_in_one_photo_give_their_verdict_at_once(untouched: Doors):
    visitor = untouched.visitor("ida")
    assert band(visitor.follow(send(untouched, photo_of(untouched, "p1 s", "p1 e"))))[1] == "Whole. p1."
    assert band(visitor.follow(send(untouched, photo_of(untouched, "p1 s", "p2 e"))))[1] == "Mixed. Do not join."


def test_what_lies_on_the_tray_stays_there_when_a_photo_comes(untouched: Doors):
    visitor = untouched.visitor("ida")
    first = visitor.get("/", query_string={"on": untouched.code("p1 s")})
    page = visitor.follow(send(untouched, photo_of(untouched, "p1 e"), page=first))
    assert band(page) == ("", "Whole. p1.")


def test_a_maker_s_data_matrix_lands_with_its_fields_and_may_be_received(untouched: Doors):
    photo = saved(symbol(maker_text("AR-3100-C", "S-77001")))
    page = untouched.visitor("oda").follow(send(untouched, photo, who="oda"))
    assert band(page) == ("unsure", "Nothing in the registry bears this label.")
    assert "1P AR-3100-C" in page.words and "S S-77001" in page.words
    form = untouched.visitor("oda").get(page.links("act")["Receive this half"]).form("/act/receive_half")
    assert form.value("label") == f"]d1{maker_text('AR-3100-C', 'S-77001')}"


def test_a_half_received_from_a_photo_is_known_by_the_next_photo(doors: Doors):
    photo, visitor = saved(symbol(maker_text("RS-100", "S-77001"))), doors.visitor("oda")
    page = visitor.get(visitor.follow(send(doors, photo, who="oda")).links("act")["Receive this half"])
    ids = doors.world.ids
    told = {"kind": "sensor", "unit_type": ids["reed"], "site": ids["shed"]}
    entered = visitor.send(page, page.form("/act/receive_half"), **told)
    assert entered.status == 303, entered.told()
    again = visitor.follow(send(doors, photo, who="oda"))
    assert articles(again)[0].startswith("Sensor half")


def test_a_long_tray_is_shown_at_once_and_not_by_an_address_no_browser_would_open(untouched: Doors):
    long = [symbol(f"N{number:02d}" + "x" * 400, "QRCode", 3) for number in range(20)]
    page = send(untouched, saved(bench(long, columns=5, cell=340), "PNG"))
    assert (page.status, len(articles(page))) == (200, 20)


REFUSED = {
    "no file": (None, "x.jpg", "No file came with it.", 422),
    "empty": (b"", "x.jpg", "No file came with it.", 422),
    "text": (b"hello", "photo.jpg", "This file is no picture that can be read here.", 422),
    "svg": (b'<svg xmlns="http://www.w3.org/2000/svg"/>', "x.svg", "This file is no picture that can be read here.", 422),
    "cut": (saved(bench([symbol("S1")] * 4))[:900], "x.jpg", "The picture is damaged or was cut short: it cannot be unpacked.", 422),
    "blank": (BLANK, "x.jpg", "No symbol was found in this photo.", 422),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_a_file_that_gives_nothing_is_told_on_top_and_beside_the_field(name: str, untouched: Doors):
    data, filename, says, status = REFUSED[name]
    page = send(untouched, data, filename)
    assert (page.status, page.faults) == (status, [])
    assert band(page) == ("unsure", says)
    (beside,) = page.beside("photo")
    assert beside.startswith(says) and len(beside) > len(says) + 20
    assert page.root.one("input", id="photo").attrs["aria-describedby"] == "photo-l photo-t1"


def test_too_many_pixels_is_a_page_with_what_to_do(untouched: Doors):
    from tests.web.test_reading_photos import png_that_says

    page = send(untouched, png_that_says(6000, 5000, 1000))
    assert (page.status, page.heading) == (413, "The picture has more than 25 megapixels.")
    assert "Set the camera to smaller pictures" in page.words


def test_a_file_of_too_many_bytes_is_a_page_with_what_to_do(untouched: Doors):
    page = send(untouched, b"\xff\xd8" + b"x" * (17 * 1024 * 1024))
    assert page.status == 413
    assert page.heading == "The file is larger than 16 MB, which is the most a photo may have."
    assert "Set the camera to smaller pictures" in page.words


def test_a_photo_that_gives_nothing_leaves_the_tray_and_its_verdict_as_they_were(untouched: Doors):
    visitor = untouched.visitor("ida")
    mixed = visitor.get("/", query_string={"on": [untouched.code("p1 s"), untouched.code("p2 e")]})
    page = send(untouched, b"hello", page=mixed)
    assert band(page) == ("stops", "Mixed. Do not join.")
    assert len(articles(page)) == 2
    assert page.root.one("p", id="photo-t1").has(role="alert")


def test_only_where_pictures_are_taken_may_a_body_be_so_large(untouched: Doors):
    visitor = untouched.visitor("ida")
    body = multipart({"csrf_token": visitor.token()}, b"x" * (5 * 1024 * 1024))
    for path in ("/act/note_fault", "/frame", "/light"):
        answer = visitor.client.post(path, data=body, content_type="multipart/form-data; boundary=edge")
        assert answer.status_code == 413, path


def test_a_stranger_s_picture_is_not_even_taken_in(untouched: Doors):
    stranger = untouched.stranger()
    body = multipart({"csrf_token": stranger.token()}, b"x" * (5 * 1024 * 1024))
    answer = stranger.client.post("/photo", data=body, content_type="multipart/form-data; boundary=edge")
    assert answer.status_code == 413


# the frames of the camera


def frame(doors: Doors, data: bytes, *on: str, **headers: str):
    visitor = doors.visitor("ida")
    told = {"X-CSRFToken": visitor.token(), "Content-Type": "image/jpeg"} | headers
    return visitor.client.post("/frame", query_string={"on": list(on)}, data=data, headers=told)


def test_a_frame_that_shows_something_new_brings_the_tray_anew(untouched: Doors):
    s, e = untouched.code("p1 s"), untouched.code("p1 e")
    told = frame(untouched, photo_of(untouched, "p1 e"), s).json
    assert {name: told[name] for name in ("symbols", "on", "tone")} == {"symbols": 1, "on": [s, e], "tone": "whole"}
    from tests.web.html import read_html

    root, faults = read_html(told["shown"])
    assert faults == []
    assert root.one("h1").words == "Whole. p1."
    used = {node.attrs["href"].removeprefix("#") for node in root.all("use")}
    assert used <= {node.attrs["id"] for node in root.all("symbol")}


def test_a_frame_that_shows_nothing_new_is_a_short_answer(untouched: Doors):
    s = untouched.code("p1 s")
    assert frame(untouched, photo_of(untouched, "p1 s"), s).json == {"symbols": 1}
    assert frame(untouched, BLANK, s).json == {"symbols": 0}


@pytest.mark.parametrize(
    ("names", "tone"),
    [
        (("p1 s",), "read"), (("p1 s", "p1 e"), "whole"), (("p1 s", "p2 e"), "stops"), (("p1 s", "p2 s"), "stops"),
        (("gone s", "gone e"), "stops"), (("p3 s", "p3 e"), "stops"), (("p1 s", "p1 e", "p5 s", "p5 e"), "whole"),
        (("p1 s", "p1 e", "p5 s"), "read"),
    ],
)  # fmt: skip
def test_what_is_sounded_follows_the_verdict(names: tuple[str, ...], tone: str, untouched: Doors):
    assert frame(untouched, photo_of(untouched, *names)).json["tone"] == tone
    page = untouched.visitor("ida").get("/", query_string={"on": [untouched.code(name) for name in names]})
    assert page.root.one("div", id="verdict").attrs["data-tone"] == tone


def test_a_frame_is_small_and_a_picture(untouched: Doors):
    from tests.web.doors import codes_of

    assert codes_of(frame(untouched, b"hello")) == ["not_a_photo"]
    assert codes_of(frame(untouched, saved(bench([symbol("S1")] * 64, columns=8)))) == ["too_large"]


def test_a_frame_needs_the_form_token_and_our_own_page(untouched: Doors):
    data = photo_of(untouched, "p1 s")
    assert frame(untouched, data, **{"X-CSRFToken": "x"}).status_code == 400
    assert frame(untouched, data, Origin="https://elsewhere.example").status_code == 403


# what the browser is allowed


def test_the_camera_is_allowed_to_our_own_pages_alone(untouched: Doors):
    told = untouched.visitor("ida").client.get("/").headers["Permissions-Policy"]
    assert told == "camera=(self), microphone=(), geolocation=()"


def test_camera_and_sound_wait_for_script(untouched: Doors):
    """Without script they are hidden, and the photo form does it all."""
    page = untouched.visitor("ida").get("/")
    assert "hidden" in page.root.one("div", id="camera").attrs
    assert [node.attrs["src"] for node in page.root.all("script")] == [
        "/static/scan.js", "/static/tones.js", "/static/camera.js",
    ]  # fmt: skip
