"""Short recordings in phases: means with their sigmas, from CSV and NPZ alike; what cannot be read is refused."""

from pathlib import Path

import numpy as np
import pytest

from registry.inertial import CannotCompute, felt_poses, read_phases, shown_attitudes
from tests.samples import MOTIONS, POSES

HEAD = "time_s,phase,roll_deg,pitch_deg,heading_deg"


def written(tmp_path: Path, content: bytes | str, name: str = "motions.csv") -> Path:
    path = tmp_path / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def rows(phase: str, count: int = 20, first: float = 0.0, roll: str = "0") -> list[str]:
    return [f"{first + number},{phase},{roll},0,10" for number in range(count)]


def test_means_are_those_of_the_columns_of_each_phase(tmp_path: Path):
    """Against numpy on the same rows."""
    told = [line.split(",") for line in MOTIONS.decode().splitlines()[2:]]
    found = {one.motion: one for one in shown_attitudes(written(tmp_path, MOTIONS))}
    assert list(found) == ["level", "bow_down", "roll_right", "turn"]
    for name, one in found.items():
        values = np.array([[float(cell) for cell in row[2:4]] for row in told if row[1] == name])
        assert (one.roll_deg, one.pitch_deg) == pytest.approx(tuple(values.mean(axis=0)))
    # White noise of 0.06° over 80 rows: sigma of the mean 0.0067°, found from five means within a factor of three.
    assert 0.002 < found["level"].pitch_sigma_deg < 0.02
    assert found["turn"].turned_deg == pytest.approx(0.9 * 72, abs=0.2)  # from the first tenth to the last


def test_a_heading_that_passes_north_and_a_roll_that_passes_180_are_counted_on(tmp_path: Path):
    lines = [f"{n},turn,{179 if n % 2 else -179},0,{(350 + n) % 360}" for n in range(40)]
    (one,) = shown_attitudes(written(tmp_path, "\n".join([HEAD, *lines])))
    assert one.turned_deg == pytest.approx(36, abs=0.1)
    assert abs(one.roll_deg) == pytest.approx(180, abs=0.1)
    assert one.spread_deg == pytest.approx(1, abs=0.1)


def test_units_of_the_headers_are_heeded_and_an_archive_reads_like_a_table(tmp_path: Path):
    plain = felt_poses(written(tmp_path, POSES))
    header, *lines = POSES.decode().splitlines()[1:]
    cells = [line.split(",") for line in lines]
    names = [name.replace("deg_s", "deg_h").replace("m_s2", "mg") for name in header.split(",")]
    columns = {}
    for place, name in enumerate(names):
        values = [row[place] for row in cells]
        factor = 3600 if name.endswith("deg_h") else 1000 / 9.80665 if name.endswith("mg") else 1
        columns[name] = np.array(values) if name == "phase" else np.array(values, dtype=float) * factor
    np.savez(tmp_path / "poses.npz", **columns)
    for one, other in zip(plain, felt_poses(tmp_path / "poses.npz"), strict=True):
        assert one.force_m_s2 == pytest.approx(other.force_m_s2)
        assert one.rate_deg_s == pytest.approx(other.rate_deg_s)


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        (["time_s,roll_deg,pitch_deg,heading_deg", "0,0,0,0"], "There is no column phase."),
        ([HEAD.replace("roll_deg", "roll"), *rows("level")], "has no unit"),
        ([HEAD.replace(",heading_deg", ""), "0,level,0,0"], "lacks heading"),
        ([HEAD], "The recording is empty."),
        ([HEAD, *rows("")], "No row names a phase."),
        ([HEAD, *rows("level"), *rows("", first=30), *rows("level", first=60)], "comes in two pieces"),
        ([HEAD, *rows("level", count=9)], "lasts 9.0 s with 9 rows"),
        ([HEAD, *rows("level"), *rows("level", first=5)], "The clock steps back"),
        ([HEAD, *rows("level"), *rows("level", first=90)], "has a gap"),
        ([HEAD, *rows("level", roll="x")], "“x” is no number"),
        ([HEAD, *rows("level", roll="nan")], "has no roll"),
        ([HEAD, *rows("level"), "20,level,0"], "Row 21 has 3 cells, the header 5."),
    ],
)
def test_what_cannot_be_read_is_refused_with_what_to_do(lines: list[str], words: str, tmp_path: Path):
    with pytest.raises(CannotCompute) as cannot:
        read_phases(written(tmp_path, "\n".join(lines)), "roll", "pitch", "heading")
    assert words in cannot.value.sentence
    assert cannot.value.next


def test_an_archive_that_is_damaged_or_of_another_length_is_refused(tmp_path: Path):
    np.savez(tmp_path / "x.npz", time_s=np.arange(20.0), phase=np.array(["level"] * 20), roll_deg=np.zeros(19))
    with pytest.raises(CannotCompute, match="roll_deg has the shape"):
        read_phases(tmp_path / "x.npz", "roll")
