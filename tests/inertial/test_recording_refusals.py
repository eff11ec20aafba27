"""Recordings that would mislead: refused with the line, the row or the unit that is wrong."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.inertial import CannotCompute, read_static
from registry.inertial.limits import RecordingLimits
from registry.inertial.recording_checks import refuse_wrong_rate_unit, sample_rate_hz
from registry.inertial.units import FORCE_IN_M_S2, RATE_IN_DEG_H
from tests.inertial.test_recordings import HEADER, as_csv, read, rows


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (lambda h: h.replace("gyro_x_deg_h", "gyro_x"), "no unit"),
        (lambda h: h.replace("gyro_x_deg_h", "gyro_x [furlong]"), "no unit of rate"),
        (lambda h: h.replace("gyro_y_deg_h", "gyro_x_deg_h"), "both rate_x"),
        (lambda h: h.replace("acc_z_m_s2", "pressure"), "lacks force_z"),
        (lambda h: h.replace("time_s", "index"), "lacks time"),
        (lambda h: h.replace("gyro_x_deg_h", "gyro_x_deg_s"), "different units"),
        (lambda h: "one,two,three,four,five,six,seven", "names no column"),
    ],
)
def test_headers_that_leave_something_open_are_refused(change, sentence):
    with pytest.raises(CannotCompute, match=sentence) as refused:
        read(as_csv(rows(), change(HEADER)))
    assert refused.value.next


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "empty"),
        ("# only a remark\n", "empty"),
        (HEADER + "\n", "no rows"),
        (as_csv(rows(20)) + "0.4,1,2\n", "Line 22"),
        (as_csv(rows(20)).replace("\n0.2,", "\n0.2,oops,", 1), "Line 12"),
        (as_csv(rows(20))[:-20], "Line 21"),
        (as_csv(rows(20)).replace(".", ",").replace("time,s", "time_s"), "the header names 7"),
        (as_csv(rows(20), delimiter=";").replace(".", ","), "Line 2 cannot be read"),
        ("PK\x03\x04 this is no archive", "damaged"),
    ],
)
def test_files_that_cannot_be_read_name_the_line(text, sentence):
    with pytest.raises(CannotCompute, match=sentence):
        read(text)


def test_a_missing_file_is_said_without_its_folder(tmp_path):
    with pytest.raises(CannotCompute, match="There is no file gone.csv") as refused:
        read_static(tmp_path / "gone.csv")
    assert str(tmp_path) not in str(refused.value)


def test_an_archive_of_objects_is_refused(tmp_path):
    np.savez(tmp_path / "o.npz", gyro_deg_h=np.array([{"a": 1}, None], dtype=object))
    with pytest.raises(CannotCompute, match="objects"):
        read_static(tmp_path / "o.npz")


def test_an_archive_that_would_unpack_to_more_than_allowed_is_refused_before_unpacking(tmp_path):
    np.savez_compressed(tmp_path / "bomb.npz", gyro_deg_h=np.zeros((200_000, 3)))
    with pytest.raises(CannotCompute, match="longer than 100,000 rows"):
        read_static(tmp_path / "bomb.npz", limits=RecordingLimits(most_rows=100_000))
    with pytest.raises(CannotCompute, match="longer than 100 rows"):
        read(as_csv(rows(200)), limits=RecordingLimits(most_rows=100))


def test_arrays_of_the_wrong_shape_or_of_unlike_length_are_refused(tmp_path):
    data = rows()
    np.savez(tmp_path / "s.npz", time_s=data[:, 0], gyro_deg_h=data[:, 1:3], acc_m_s2=data[:, 4:])
    with pytest.raises(CannotCompute, match="shape"):
        read_static(tmp_path / "s.npz")
    np.savez(tmp_path / "l.npz", time_s=data[:-1, 0], gyro_deg_h=data[:, 1:4], acc_m_s2=data[:, 4:])
    with pytest.raises(CannotCompute, match="one length"):
        read_static(tmp_path / "l.npz")


@pytest.mark.parametrize(
    ("spoil", "sentence"),
    [
        (lambda d: d[:, :1].__setitem__((slice(250, None), 0), d[250:, 0] + 0.5), "gap of 0.52 s at row 251"),
        (lambda d: d[:, :1].__setitem__((slice(250, None), 0), d[250:, 0] - 0.5), "steps back by 0.48 s at row 251"),
        (lambda d: d.__setitem__((100, 0), d[99, 0]), "stands still at row 101"),
        (lambda d: d.__setitem__((77, 2), np.nan), "Row 78 has no rate_y"),
        (lambda d: d.__setitem__((5, 6), np.inf), "Row 6 has no force_z"),
    ],
)
def test_gaps_steps_back_and_holes_are_refused_with_their_row(spoil, sentence):
    data = rows()
    spoil(data)
    with pytest.raises(CannotCompute, match=sentence):
        read(as_csv(data))


def test_stamps_that_jitter_are_no_gap():
    rng = np.random.default_rng(1)
    t = np.arange(2000) * 0.005 + rng.uniform(-0.0015, 0.0015, 2000)
    assert sample_rate_hz(np.sort(t)) == pytest.approx(200, rel=1e-3)


@given(st.integers(20, 480), st.floats(1.6, 50))
def test_any_lost_stretch_is_found_wherever_it_lies(row, steps):
    t = np.arange(500) * 0.02
    t[row:] += (steps - 1) * 0.02
    with pytest.raises(CannotCompute, match="gap"):
        sample_rate_hz(t)


@pytest.mark.parametrize(
    ("declared", "true", "sentence"),
    [
        ("deg/s", "deg/h", "deg/h in deg/h"),
        ("rad/s", "deg/h", "deg/h in deg/h"),
        ("deg/h", "deg/s", "deg/h in deg/s"),
        ("deg/h", "rad/s", "deg/h in rad/s"),
        ("deg/s", "rad/s", "deg/h in rad/s"),
    ],
)
def test_rates_read_in_another_unit_are_refused_by_the_earths_own_rate(declared, true, sentence):
    data = rows()
    data[:, 1:4] /= RATE_IN_DEG_H[true]
    with pytest.raises(CannotCompute, match=sentence) as refused:
        read(as_csv(data, HEADER.replace("deg_h", declared.replace("/", "_"))))
    assert refused.value.next.endswith(f"to {true}.")


def test_a_low_cost_unit_whose_bias_hides_the_earth_is_not_refused_for_its_unit():
    assert refuse_wrong_rate_unit(np.array([53.2, -37.4, 32.4]), "deg/s") == ""
    assert "is the unit rad/s?" in refuse_wrong_rate_unit(np.array([862.0, 0, 0]), "rad/s")


def test_a_unit_that_turns_is_not_at_rest():
    data = rows()
    data[:, 1] += 40_000
    with pytest.raises(CannotCompute, match="turned"):
        read(as_csv(data))


@pytest.mark.parametrize(("declared", "true"), [("m_s2", "g"), ("g", "m/s2"), ("m_s2", "mg"), ("g", "mg")])
def test_force_read_in_another_unit_is_refused_by_gravity(declared, true):
    data = rows()
    data[:, 4:] /= FORCE_IN_M_S2[true]
    with pytest.raises(CannotCompute, match=f"gravity in {true}"):
        read(as_csv(data, HEADER.replace("m_s2", declared)))


def test_acceleration_with_gravity_taken_out_is_refused():
    data = rows()
    data[:, 6] += 9.82
    with pytest.raises(CannotCompute, match="at rest it is 9.81"):
        read(as_csv(data))
