"""A DVL run: the angle and scale between DVL and unit, fitted to a recorded track before the lock is taken."""

from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, model_validator

from registry.acts.act import Act, Case, Decision
from registry.acts.alignment_facts import alignment_facts, alignment_rows, part
from registry.acts.alignment_figures import concluded, figure, kept_parts
from registry.acts.alignments import ALIGN, decided, in_unit_of, residual_rows
from registry.acts.attachments import file_rows
from registry.acts.entry import Effect, Entry
from registry.acts.long_work import LongWork, Told, reasons_of_work
from registry.acts.mountings import FineAngle
from registry.acts.shapes import BayRef, FigureText, FileList, Line, Words, one_from, within, wrong
from registry.domain.mountings import ANGLES
from registry.domain.norths import NORTHS

SoundSpeed = Annotated[FigureText, within("1400", "1650")]
#: Share of the whole that reading a long track takes, measured; the rest is the fit.
_READING = 0.7
#: What the fit is worked out from, besides the track.
_FITTED = {
    "heading_north", "reference_north", "sound_speed_m_s", "measured_sound_speed_m_s", "rtk", "water_track", "phased_array", "lat_deg", "lon_deg",
    "utm_zone", "declination_deg", "declination_sigma_deg", "declination_source",
}  # fmt: skip
_PLACE = {"lat_deg": "latitude", "lon_deg": "longitude", "utm_zone": "UTM zone"}
_MAGNETIC = {"declination_deg": "declination", "declination_sigma_deg": "its sigma", "declination_source": "its source"}


class FitDvlRun(Act, name="fit_dvl_run", may=ALIGN, pin=True, happened=True, says="Fit a DVL run"):
    """A recorded run of straight legs: two reciprocal pairs on two headings, 200 m or more each with RTK, 800 m without, at 1 to 1.5 m/s."""

    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    files: Annotated[FileList, Field(min_length=1, max_length=1)] = Field(
        title="The track",
        description="CSV with time_s, heading_deg, dvl_x_m_s, dvl_y_m_s, ref_north_m_s, ref_east_m_s, and bottom_lock if kept.",
    )
    heading_north: one_from(NORTHS, unset=True) = Field(title="North of the headings")
    reference_north: one_from(NORTHS, unset=True) = Field(title="North of the reference")
    sound_speed_m_s: SoundSpeed = Field(title="Sound speed the DVL used", description="m/s")
    measured_sound_speed_m_s: SoundSpeed | None = Field(None, title="Sound speed of the water", description="m/s")
    rtk: bool = Field(False, title="The reference is RTK or PPK")
    water_track: bool = Field(False, title="The DVL saw water, not bottom")
    phased_array: bool = Field(False, title="The DVL is a phased array")
    lat_deg: Annotated[FigureText, within("-84", "84")] | None = Field(None, title="Latitude", description="deg, for grid north")  # fmt: skip
    lon_deg: Annotated[FigureText, within("-180", "180")] | None = Field(None, title="Longitude", description="deg, for grid north")  # fmt: skip
    utm_zone: Annotated[int, Field(ge=1, le=60)] | None = Field(None, title="UTM zone", description="For grid north.")
    declination_deg: Annotated[FigureText, within("-180", "180")] | None = Field(
        None, title="Declination", description="deg, east +, for magnetic north"
    )
    declination_sigma_deg: Annotated[FigureText, within("0", "20")] | None = Field(
        None, title="Sigma of the declination", description="deg"
    )
    declination_source: Line | None = Field(None, title="Source of the declination", description="Chart and year.")
    in_unit_dvl_deg: FineAngle | None = Field(None, title="Yaw of the DVL as entered now", description="deg")
    words: Words | None = Field(None, title="In your words")

    @model_validator(mode="after")
    def _norths_are_told(self) -> "FitDvlRun":
        for kind, fields in (("grid", _PLACE), ("magnetic", _MAGNETIC)):
            missing = [words for name, words in fields.items() if getattr(self, name) is None]
            if kind in (self.heading_north, self.reference_north) and missing:
                raise wrong(f"{NORTHS[kind].capitalize()} needs {', '.join(missing)}.")
        return self

    def long_work(self) -> LongWork:
        figures = self.model_dump(mode="json", include=_FITTED)
        return LongWork(self.name, (self.files[0].sha256,), figures)

    @staticmethod
    def worked_out(figures: dict[str, Any], paths: list[Path], told: Told) -> dict[str, Any]:
        return _fitted(figures, paths[0], told)

    def decide(self, case: Case) -> Decision:
        facts = alignment_facts(case)
        reasons = facts.reasons + reasons_of_work(case, self.files)
        if reasons:
            return Decision(reasons, touched=facts.touched)
        fit, body = case.ready["worked_out"], self.model_dump()
        decision = decided(facts, {"fit": fit, **_from_fit(body, facts.given, fit, _whole_kept(facts))})
        decision.remarks.append(f"{fit['verdict']} {fit['next']}")
        return decision

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        files = file_rows(entry, "pairing_id", entry.decided["pairing"], "attached")
        return [*alignment_rows(entry, "dvl_run"), *files]

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        """The verdict once more, from the fit as it was stored; the track itself is held by its hash."""
        found = entry.decided
        return _from_fit(entry.body, found["given"], found["fit"], found["whole"])


def _whole_kept(facts: Any) -> dict[str, str] | None:
    """The angles of plate and unit together that stand in this stay already."""
    current = facts.current
    if current is None or current["answer"] == "withdrawn" or current["yaw_deg"] is None:
        return None
    return {f"{name}{end}": current[f"{name}{end}"] for name in ANGLES for end in ("_deg", "_sigma_deg")}


def _from_fit(body: dict[str, Any], given: dict[str, Any], fit: dict[str, Any], whole: Any) -> dict[str, Any]:
    source = f"track {body['files'][0]['name']}, {fit['legs']}"
    new = [part("dvl_unit", "dvl_run", fit, fit["method"], source)]
    found = concluded(given, kept_parts(given, new), whole, in_unit_of(body), ("dvl",), fit["residuals"])
    return found | {"north": {"north": body["reference_north"], "north_told": fit["north_told"]}}


def _fitted(body: dict[str, Any], path: Path, told: Told) -> dict[str, Any]:
    """Raises CannotCompute as the reader and the fit do."""
    from registry.inertial import fit_dvl, leg_residuals, read_track, run_of_track

    norths = {name: _north(body, body[name]) for name in ("heading_north", "reference_north")}
    speeds = {
        name: float(body[name]) if body[name] else None for name in ("sound_speed_m_s", "measured_sound_speed_m_s")
    }
    how = {name: body[name] for name in ("rtk", "water_track", "phased_array")}

    def reading(rows: int, share: float | None) -> None:
        told(None if share is None else _READING * share, f"{rows:,} rows read")

    track = read_track(str(path), **norths, **speeds, **how, progress=reading)
    told(_READING, "legs")
    run, legs = run_of_track(track)
    told(_READING, f"fit to {len(legs)} legs")
    fit = fit_dvl(run, offset=track.water_track)
    used = sum(leg.used for leg in legs)
    return {
        "yaw_deg": figure(fit.alpha_deg),
        "yaw_sigma_deg": figure(max(fit.sigma_alpha_deg, 1e-4)),
        "scale": f"{fit.scale:.5f}",
        "scale_sigma": f"{fit.sigma_scale:.5f}",
        "method": fit.method,
        "verdict": fit.verdict,
        "next": fit.next,
        "legs": f"{used} of {len(legs)} legs used",
        "north_told": f"headings from {NORTHS[body['heading_north']]}, reference in {NORTHS[body['reference_north']]}: {norths['reference_north'].source}",
        "residuals": residual_rows(leg_residuals(fit, run)),
    }


def _north(body: dict[str, Any], kind: str) -> Any:
    from registry.inertial import TRUE_NORTH, grid_north, magnetic_north, utm_central_meridian_deg

    if kind == "grid":
        meridian = utm_central_meridian_deg(body["utm_zone"])
        return grid_north(float(body["lat_deg"]), float(body["lon_deg"]), meridian)
    if kind == "magnetic":
        sigma, source = float(body["declination_sigma_deg"]), body["declination_source"]
        return magnetic_north(float(body["declination_deg"]), sigma_deg=sigma, source=source)
    return TRUE_NORTH
