"""Photos at the command line: what is in them, and a bench of halves sorted from them."""

import json
from pathlib import Path

from tests.drawing import bench, blurred, our_symbol, saved, turned
from tests.web.doors import Doors


def photo(doors: Doors, folder: Path, name: str, *names: str) -> str:
    path = folder / name
    path.write_bytes(saved(blurred(turned(bench([our_symbol(doors.code(one)) for one in names]), 15), 0.8)))
    return str(path)


def test_scan_tells_every_symbol_of_every_photo(untouched: Doors, tmp_path: Path):
    first = photo(untouched, tmp_path, "a.jpg", "p1 s", "teasel A")
    second = photo(untouched, tmp_path, "b.jpg", "p1 e")
    result = untouched.cli("scan", "p2", "--photo", first, "--photo", second)
    assert result.exit_code == 0, result.stderr
    for name in ("p1 s", "p1 e", "teasel A"):
        code = untouched.code(name)
        assert f"{code[:4]}\u202f{code[4:]}" in result.stdout
    assert len(result.stdout.splitlines()) == 4


def test_scan_tells_a_copy_as_no_evidence(untouched: Doors, tmp_path: Path):
    path = tmp_path / "copy.png"
    path.write_bytes(saved(our_symbol(untouched.code("p1 s"), copy=2), "PNG"))
    assert "copy 2 of its label: no evidence of where it is" in untouched.cli("scan", "--photo", str(path)).stdout


def test_sort_pairs_a_bench_from_photos(untouched: Doors, tmp_path: Path):
    first = photo(untouched, tmp_path, "a.jpg", "p1 s", "p2 s", "p1 e")
    second = photo(untouched, tmp_path, "b.jpg", "p2 e")
    result = untouched.cli("sort", "--photo", first, "--photo", second)
    assert (result.exit_code, result.stdout.count("Whole: ")) == (0, 2)
    alone = untouched.cli("sort", "--photo", first, "--json")
    assert alone.exit_code == 1
    assert [one["half"] for one in json.loads(alone.stdout)["apart"]] == [untouched.code("p2 s")]


def test_sort_does_not_wait_for_the_input_when_photos_are_given(untouched: Doors, tmp_path: Path):
    first = photo(untouched, tmp_path, "a.jpg", "p1 s", "p1 e")
    result = untouched.cli("sort", "--photo", first, stdin=f"{untouched.code('p2 s')}\n")
    assert (result.exit_code, "Alone" in result.stdout) == (0, False)


def test_every_photo_that_gives_nothing_is_named_with_what_to_do(untouched: Doors, tmp_path: Path):
    good = photo(untouched, tmp_path, "good.jpg", "p1 s")
    text, cut = tmp_path / "notes.txt", tmp_path / "cut.jpg"
    text.write_text("hello")
    cut.write_bytes(Path(good).read_bytes()[:400])
    result = untouched.cli("scan", "--photo", str(text), "--photo", good, "--photo", str(cut))
    assert (result.exit_code, result.stdout) == (1, "")
    assert f"{text}: This file is no picture that can be read here." in result.stderr
    assert f"{cut}: The picture is damaged or was cut short: it cannot be unpacked." in result.stderr
    assert "good.jpg" not in result.stderr


def test_a_file_that_is_not_there_is_a_fault_of_the_call(untouched: Doors, tmp_path: Path):
    for command in ("scan", "sort"):
        assert untouched.cli(command, "--photo", str(tmp_path / "none.jpg")).exit_code == 2


def test_scan_without_anything_is_a_fault_of_the_call(untouched: Doors):
    assert untouched.cli("scan").exit_code == 2
