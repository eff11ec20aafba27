"""The computed part of an alignment: angles in series, what is left, what it costs. Worked out again for strict checks."""

from typing import Any

from registry.domain.alignments import GRAVEST, Judged, Left, judge
from registry.domain.mountings import ANGLES
from registry.errors import Reason
from registry.inertial import CannotCompute

_SIGMAS = tuple(f"sigma_{name}_deg" for name in ANGLES)
_NOTHING = {"cost_percent": None, "cost_m_per_km": None}


def figure(value: float) -> str:
    """A computed figure as it is kept: four decimals of a degree, far below any sigma; never a negative zero."""
    text = f"{value:.4f}"
    return text.removeprefix("-") if not float(text) else text


def fine(told: dict[str, Any]) -> Any:
    """The fine angles of a part as the computations take them."""
    from registry.inertial import fine_angles

    return fine_angles(*(float(told[f"{name}{end}"]) for end in ("_deg", "_sigma_deg") for name in ANGLES))


def told_of(angles: Any) -> dict[str, str]:
    """Fine angles as they are kept."""
    found = {f"{name}_deg": figure(getattr(angles, f"{name}_deg")) for name in ANGLES}
    # A sigma that rounds to nothing would claim to be exact.
    return found | {f"{n}_sigma_deg": figure(max(getattr(angles, f"sigma_{n}_deg"), 1e-4)) for n in ANGLES}


def whole_of(plate: dict[str, Any] | None, unit: dict[str, Any] | None) -> dict[str, str] | None:
    """Plate and unit together, when both are known."""
    if plate is None or unit is None:
        return None
    from registry.inertial import compose

    return told_of(compose(fine(plate), fine(unit)))


def concluded(
    given: dict[str, Any], parts: list[dict[str, Any]], whole: dict[str, str] | None, in_unit: dict[str, str | None],
    judged: tuple[str, ...], residuals: list[dict[str, str]] | None = None,
) -> dict[str, Any]:  # fmt: skip
    """Everything decided about an alignment: its parts, both angles together, verdict, cost, residuals.

    `in_unit` is what stands in the unit now for yaw, roll and dvl; `judged` are those of them that this act found.
    """
    dvl = next((one for one in parts if one["part"] == "dvl_unit"), None)
    lefts = [_left(name, given, whole, dvl, in_unit) for name in judged]
    new = [_judged_row(one) for one in judge(left for left in lefts if left)]
    found = {row["judged"] for row in new}
    rows = [*new, *(row for row in given["left"] if row["judged"] not in found)]
    decides = min(rows, key=lambda row: GRAVEST.index(row["verdict"]))
    cost = (
        _cost(decides["left_deg"], decides["left_sigma_deg"], given["class_percent"])
        if decides["judged"] != "roll"
        else _no_cost(True)
    )
    return {"parts": parts, "whole": whole, "judged": decides, "left": rows, "cost": cost, "residuals": residuals or []}


def _judged_row(one: Judged) -> dict[str, Any]:
    told = {"verdict": one.verdict, "told": one.told, "next": one.next}
    kept = {"left_deg": one.left_deg, "left_sigma_deg": one.sigma_deg, "tolerance_deg": one.tolerance_deg}
    return {"judged": one.what, **kept, **told}


def _left(name: str, given: dict[str, Any], whole: Any, dvl: Any, in_unit: dict[str, str | None]) -> Left | None:
    if name == "roll" and given["roll_tolerance_deg"] is None:
        return None
    source, angle = (dvl, "yaw") if name == "dvl" else (whole, name)
    if source is None:
        return None
    tolerance = given["roll_tolerance_deg"] if name == "roll" else given["tolerance_deg"]
    return Left(name, source[f"{angle}_deg"], source[f"{angle}_sigma_deg"], in_unit.get(name), tolerance)


def _cost(left_deg: str | None, sigma_deg: str, class_percent: str | None) -> dict[str, Any]:
    """What the angle costs at most: what is left and twice its sigma. The words say first what is left alone costs."""
    if left_deg is None:
        return _no_cost(False)
    from registry.inertial import misalignment_cost

    left, expanded = float(left_deg), 2 * float(sigma_deg)
    try:
        alone = misalignment_cost(left, class_percent=float(class_percent) if class_percent else None)
        most = misalignment_cost(abs(left) + expanded)
    except CannotCompute as refused:
        return _NOTHING | {"cost_told": str(refused)}
    told = f"{alone.verdict} With its uncertainty at most {most.cross_percent:.2f} %, {most.cross_m_per_km:.1f} m."
    return {
        "cost_percent": figure(most.cross_percent),
        "cost_m_per_km": f"{most.cross_m_per_km:.2f}",
        "cost_told": told,
    }


def _no_cost(of_roll: bool) -> dict[str, Any]:
    why = (
        "A roll angle costs no distance; it tilts the swath." if of_roll else "Without what is left nothing is priced."
    )
    return _NOTHING | {"cost_told": why}


def refused_by(problem: Any, field: str) -> Reason:
    """A refusal of a computation, as the doors speak."""
    return Reason("cannot_compute", problem.sentence, field, problem.next or None)


def kept_parts(given: dict[str, Any], new: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The parts of an alignment: the plate as the bay has it, what this act found, and what stays from before."""
    found = {one["part"]: one for one in [*([given["plate"]] if given["plate"] else []), *new]}
    return [*found.values(), *(one for name, one in given["kept"].items() if name not in found)]
