"""Reading recordings: a resting unit's six axes, or the track of a DVL run, checked before anything is computed."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from registry.inertial.dvl_track import Track
from registry.inertial.limits import RecordingLimits, StaticLimits
from registry.inertial.methods import method
from registry.inertial.north import North
from registry.inertial.recording_checks import (
    refuse_holes,
    refuse_wrong_force_unit,
    refuse_wrong_rate_unit,
    sample_rate_hz,
)
from registry.inertial.recording_columns import KINDS, QUANTITIES, need
from registry.inertial.recording_files import Progress, Raw, Source, read_raw
from registry.inertial.refusal import CannotCompute
from registry.inertial.static_summary import StaticSummary, summarise

Array = NDArray[np.float64]
_RATES, _FORCES = ("rate_x", "rate_y", "rate_z"), ("force_x", "force_y", "force_z")
_TRACK = ("time", "heading", "dvl_x", "dvl_y", "dvl_z", "ref_north", "ref_east", "bottom_lock", "depth")


@dataclass(frozen=True, slots=True, eq=False)
class StaticRecording:
    """A unit at rest: `rate_deg_h` and `force_m_s2` (n, 3) in unit axes, evenly sampled at `rate_hz`.

    `doubt` is a sentence when the declared unit of rate is possible but another fits the earth better, else empty.
    """

    rate_deg_h: Array
    force_m_s2: Array
    rate_hz: float
    declared_units: dict[str, str]
    unused: tuple[str, ...]
    doubt: str
    method: str

    @property
    def samples(self) -> int:
        return len(self.rate_deg_h)

    @property
    def seconds(self) -> float:
        return len(self.rate_deg_h) / self.rate_hz

    def summary(self, limits: StaticLimits = StaticLimits(), *, floor_deg_h: float = 0.0) -> StaticSummary:
        """Means, spreads and steadiness; see `summarise`."""
        return summarise(self.force_m_s2, self.rate_deg_h, self.rate_hz, limits, floor_deg_h=floor_deg_h)


def read_static(
    source: Source,
    progress: Progress | None = None,
    *,
    rate_hz: float | None = None,
    limits: RecordingLimits = RecordingLimits(),
) -> StaticRecording:
    """Read a CSV or NPZ (path or stream) of a unit at rest: time, three rates, three specific forces, units in headers.

    `rate_hz` stands in for a time column (an NPZ may carry it as `rate_hz`). `progress(rows, share)` is called after
    every piece. Raises CannotCompute for columns that are missing or without unit, unreadable rows, holes, a gap, a
    clock that steps back, and means that fit the earth only in another unit.
    """
    raw = read_raw(source, ("time", *_RATES, *_FORCES), progress, limits)
    rate_hz = rate_hz or raw.rate_hz
    need(raw.columns, *(() if rate_hz else ("time",)), *_RATES, *_FORCES)
    refuse_holes(raw.arrays)
    times = raw.arrays.pop("time", None)
    if times is not None:
        times *= raw.columns["time"].factor
        rate_hz = sample_rate_hz(times, limits)
        del times
    rates, rate_unit = _three(raw, _RATES)
    forces, force_unit = _three(raw, _FORCES)
    doubt = refuse_wrong_rate_unit(rates.mean(axis=0), rate_unit, limits)
    refuse_wrong_force_unit(forces.mean(axis=0), force_unit, limits)
    return StaticRecording(
        rate_deg_h=rates,
        force_m_s2=forces,
        rate_hz=float(rate_hz),
        declared_units={"rate": rate_unit, "force": force_unit},
        unused=raw.unused,
        doubt=doubt,
        method=method("recording"),
    )


def _three(raw: Raw, names: tuple[str, str, str]) -> tuple[Array, str]:
    """Three columns of one unit as (n, 3) in the unit used here; each is let go as it is copied."""
    units = {raw.columns[name].unit for name in names}
    if len(units) > 1:
        raise CannotCompute(
            f"The three axes are in different units: {', '.join(sorted(units))}.", "Export them in one unit."
        )
    found = np.empty((len(raw.arrays[names[0]]), 3))
    for place, name in enumerate(names):
        np.multiply(raw.arrays.pop(name), raw.columns[name].factor, out=found[:, place])
    return found, units.pop()


def read_track(
    source: Source,
    *,
    heading_north: North | None,
    reference_north: North | None,
    sound_speed_m_s: float | None,
    measured_sound_speed_m_s: float | None = None,
    phased_array: bool = False,
    rtk: bool = False,
    fix_sigma_m: float | None = None,
    water_track: bool = False,
    clock_known: bool = True,
    progress: Progress | None = None,
    limits: RecordingLimits = RecordingLimits(),
) -> Track:
    """Read a CSV or NPZ of a DVL run: time, heading, dvl_x, dvl_y, ref_north, ref_east, and bottom_lock if kept.

    What the file cannot say (which north, sound speed, quality of the reference, clock) is given by the caller and
    stays with the track. Raises CannotCompute as `read_static` does, and for speeds no vehicle here makes.
    """
    raw = read_raw(source, _TRACK, progress, limits)
    need(raw.columns, "time", "heading", "dvl_x", "dvl_y", "ref_north", "ref_east")
    refuse_holes(raw.arrays)
    found = {name: values * raw.columns[name].factor for name, values in raw.arrays.items()}
    sample_rate_hz(found["time"], limits)
    _refuse_too_fast(raw, found)
    return Track(
        t_s=found["time"],
        heading_deg=found["heading"],
        v_dvl_m_s=np.column_stack([found["dvl_x"], found["dvl_y"]]),
        v_ref_m_s=np.column_stack([found["ref_north"], found["ref_east"]]),
        heading_north=heading_north,
        reference_north=reference_north,
        sound_speed_m_s=sound_speed_m_s,
        measured_sound_speed_m_s=measured_sound_speed_m_s,
        phased_array=phased_array,
        bottom_lock=found.get("bottom_lock"),
        rtk=rtk,
        fix_sigma_m=fix_sigma_m,
        water_track=water_track,
        clock_known=clock_known,
    )


def _refuse_too_fast(raw: Raw, found: dict[str, Array]) -> None:
    for name in ("dvl_x", "dvl_y", "ref_north", "ref_east"):
        fastest = float(np.abs(found[name]).max())
        if fastest > 30:
            column = raw.columns[name]
            raise CannotCompute(
                f"“{column.header}” reaches {fastest:.0f} m/s: the unit is not {column.unit}.",
                f"Declare one of {', '.join(KINDS[QUANTITIES[name][0]][1])}.",
            )
