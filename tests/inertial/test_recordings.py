"""Recordings: read from a path or a stream in any of the forms people have, and refused where they mislead."""

import io
import resource
import sys
import tracemalloc

import numpy as np
import pytest

from registry.inertial import TRUE_NORTH, CannotCompute, read_static, read_track
from registry.inertial.recording_columns import KINDS, QUANTITIES, read_header
from registry.inertial.units import FORCE_IN_M_S2, RATE_IN_DEG_H
from tests.bounds import rounds

HEADER = "time_s,gyro_x_deg_h,gyro_y_deg_h,gyro_z_deg_h,acc_x_m_s2,acc_y_m_s2,acc_z_m_s2"


def rows(n=500, hz=50.0, seed=0):
    """A unit at rest at 60 degrees north, heading north: time, rates in deg/h, forces in m/s²."""
    rng = np.random.default_rng(seed)
    noise = rng.standard_normal((n, 6)) * ([2.0] * 3 + [0.005] * 3)
    return np.column_stack([np.arange(n) / hz, noise + (7.52, 0, -13.03, 0, 0, -9.82)])


def as_csv(data, header=HEADER, delimiter=","):
    lines = io.StringIO()
    np.savetxt(lines, data, fmt="%.9g", delimiter=delimiter, header=header.replace(",", delimiter), comments="")
    return lines.getvalue()


def read(text, **options):
    return read_static(io.BytesIO(text.encode()), **options)


def test_a_csv_is_read_alike_from_a_path_a_byte_stream_and_a_text_stream(tmp_path):
    text = as_csv(rows())
    path = tmp_path / "rest.csv"
    path.write_text(text)
    stream, lines = io.BytesIO(text.encode()), io.StringIO(text)
    with path.open("rb") as opened:
        found = [read_static(source) for source in (path, str(path), opened, stream, lines)]
        assert not opened.closed
    assert not stream.closed and not lines.closed
    for each in found:
        assert np.array_equal(each.rate_deg_h, found[0].rate_deg_h) and each.samples == 500
        assert each.rate_hz == pytest.approx(50) and each.seconds == pytest.approx(10)


@pytest.mark.parametrize("seekable", [True, False])
def test_an_npz_is_read_from_a_path_and_from_a_stream_that_cannot_go_back(tmp_path, seekable):
    data = rows()
    path = tmp_path / "rest.npz"
    np.savez(path, time_ms=data[:, 0] * 1000, gyro_rad_s=np.radians(data[:, 1:4]) / 3600, acc_g=data[:, 4:] / 9.80665)
    source = path if seekable else Once(path.read_bytes())
    found = read_static(source)
    assert np.allclose(found.rate_deg_h, data[:, 1:4]) and np.allclose(found.force_m_s2, data[:, 4:])
    assert found.declared_units == {"rate": "rad/s", "force": "g"}


class Once(io.RawIOBase):
    """A stream as a request body is: read once, forwards."""

    def __init__(self, content):
        self._inner = io.BytesIO(content)

    def readable(self):
        return True

    def readinto(self, buffer):
        return self._inner.readinto(buffer)


def test_an_npz_may_hold_single_columns_and_a_rate_instead_of_times(tmp_path):
    data = rows()
    names = ("gyro_x_deg_h", "gyro_y_deg_h", "gyro_z_deg_h", "acc_x_m_s2", "acc_y_m_s2", "acc_z_m_s2")
    np.savez(tmp_path / "a.npz", rate_hz=50.0, **dict(zip(names, data[:, 1:].T, strict=True)))
    found = read_static(tmp_path / "a.npz")
    assert found.rate_hz == 50 and np.array_equal(found.rate_deg_h, data[:, 1:4])


@pytest.mark.parametrize(("unit", "worth"), [*RATE_IN_DEG_H.items()])
def test_every_unit_of_rate_becomes_degrees_per_hour(unit, worth):
    data = rows()
    data[:, 1:4] /= worth
    header = (
        HEADER.replace("_x_deg_h", f"_x [{unit}]")
        .replace("_y_deg_h", f"_y [{unit}]")
        .replace("_z_deg_h", f"_z [{unit}]")
    )
    found = read(as_csv(data, header))
    assert np.allclose(found.rate_deg_h.mean(axis=0), rows()[:, 1:4].mean(axis=0), rtol=1e-5, atol=1e-4)


@pytest.mark.parametrize(("unit", "worth"), [*FORCE_IN_M_S2.items()])
def test_every_unit_of_force_becomes_metres_per_second_squared(unit, worth):
    data = rows()
    data[:, 4:] /= worth
    found = read(as_csv(data, HEADER.replace("m_s2", unit.replace("/", "_"))))
    assert found.force_m_s2[:, 2].mean() == pytest.approx(-9.82, abs=1e-2)


@pytest.mark.parametrize(
    "header",
    [
        "t [s],gx [deg/h],gy [deg/h],gz [deg/h],ax [m/s^2],ay [m/s^2],az [m/s^2]",
        "Time (s),Gyroscope X (°/h),Gyroscope Y (°/h),Gyroscope Z (°/h),"
        "Accelerometer X (m/s²),Accelerometer Y (m/s²),Accelerometer Z (m/s²)",
        "timestamp_s,wx_deg_h,wy_deg_h,wz_deg_h,fx_m_s2,fy_m_s2,fz_m_s2",
        "﻿" + HEADER,
        "# a remark\n\n" + HEADER,
    ],
)
def test_the_headers_people_write_are_understood(header):
    assert read(as_csv(rows(), header)).samples == 500


def test_semicolons_tabs_and_columns_that_are_not_needed_are_taken():
    assert read(as_csv(rows(), delimiter=";")).samples == 500
    assert read(as_csv(rows(), delimiter="\t")).samples == 500
    extra = np.column_stack([rows(), np.full(500, 21.5)])
    assert read(as_csv(extra, HEADER + ",temperature")).unused == ("temperature",)


def test_progress_is_told_after_every_piece_and_ends_at_the_whole(tmp_path):
    path = tmp_path / "long.csv"
    path.write_text(as_csv(rows(120_000)))
    told = []
    read_static(path, lambda done, share: told.append((done, share)))
    assert [done for done, _ in told] == [50_000, 100_000, 120_000]
    assert told[0][1] < 0.5 and told[-1][1] == pytest.approx(1, abs=1e-6)
    told.clear()
    read_static(io.BytesIO(path.read_bytes()), lambda done, share: told.append(share))
    assert told[-1] is None


def test_every_quantity_can_be_named_with_every_unit_of_its_kind():
    for quantity, (kind, words) in QUANTITIES.items():
        for unit in KINDS[kind][1]:
            for word in words:
                column = read_header(f"{word} [{unit}]", 3)
                assert (column.quantity, column.unit, column.index) == (quantity, unit, 3)


def test_no_header_word_stands_for_two_quantities():
    words = [word for _, words in QUANTITIES.values() for word in words]
    assert len(words) == len(set(words))


TRACK = "time_s,heading_deg,dvl_forward_m_s,dvl_starboard_m_s,v_north_m_s,v_east_m_s,bottom_lock"


def track_text(header=TRACK, speed=1.2):
    t = np.arange(300) / 2
    return as_csv(
        np.column_stack(
            [t, np.zeros(300), np.full(300, speed), np.zeros(300), np.full(300, speed), np.zeros(300), np.ones(300)]
        ),
        header,
    )


def read_run(text, **options):
    given = {"heading_north": TRUE_NORTH, "reference_north": TRUE_NORTH, "sound_speed_m_s": 1500.0}
    return read_track(io.BytesIO(text.encode()), **(given | options))


def test_a_track_is_read_with_what_its_file_cannot_say():
    found = read_run(track_text(), rtk=True, water_track=True)
    assert found.v_dvl_m_s[0] == pytest.approx((1.2, 0)) and found.bottom_lock.all()
    assert found.rtk and found.water_track and found.heading_north == TRUE_NORTH


def test_knots_and_millimetres_become_metres_per_second_and_wrong_ones_are_refused():
    knots = read_run(track_text(TRACK.replace("v_north_m_s", "v_north [kn]").replace("v_east_m_s", "v_east [kn]")))
    assert knots.v_ref_m_s[0, 0] == pytest.approx(1.2 * 0.514444, rel=1e-5)
    with pytest.raises(CannotCompute, match="reaches 1200 m/s"):
        read_run(track_text(speed=1200.0))
    with pytest.raises(CannotCompute, match="lacks ref_north"):
        read_run(track_text(TRACK.replace("v_north", "northing")))


def test_memory_stays_far_under_the_size_of_the_text(tmp_path):
    path = tmp_path / "mem.csv"
    path.write_text(as_csv(rows(150_000, 200.0)))
    tracemalloc.start()
    read_static(path)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    # 150 000 rows of seven columns are 8 MB of numbers; a piece of text and one copy come on top.
    assert peak < 48e6


@pytest.mark.long
def test_four_hours_of_six_axes_at_200_hz_stay_within_one_gibibyte(tmp_path):
    """Where time is bounded a third of them: the shell streams all four (tests/cli/test_compute.py)."""
    path, parts = tmp_path / "four_hours.csv", rounds(24)
    with path.open("w") as file:
        file.write(HEADER + "\n")
        for part in range(parts):
            data = rows(120_000, 200.0, seed=part)
            data[:, 0] += part * 600.0
            np.savetxt(file, data, fmt="%.6f", delimiter=",")
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    told = []
    found = read_static(path, lambda done, share: told.append(done))
    grown = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) * (1 if sys.platform == "darwin" else 1024)
    assert found.samples == parts * 120_000 and found.rate_hz == pytest.approx(200)
    assert len(told) == -(-found.samples // 50_000) and grown < 2**30
