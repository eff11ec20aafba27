"""Every reference case against the package: the sources stand beside each case in the JSON files."""

import json
import math

import pytest

from tests.outside.adapters import compute_case
from tests.outside.adapters_inertial import NoAdapter, alignment_cases, all_cases, calibration_cases


def agrees(found, expected, tolerance, key="") -> list[str]:
    """What differs, in words: an empty list when all agree. Angles of one direction are equal in any turn."""
    if isinstance(expected, dict):
        missing = [f"{key}{k}: missing" for k in expected if k not in found]
        return missing + [
            d for k in expected if k in found for d in agrees(found[k], expected[k], tolerance, f"{key}{k}.")
        ]
    if isinstance(expected, list):
        if len(found) != len(expected):
            return [f"{key} holds {len(found)} of {len(expected)}"]
        pairs = enumerate(zip(found, expected, strict=True))
        return [d for n, (f, e) in pairs for d in agrees(f, e, tolerance, f"{key}{n}.")]
    if isinstance(expected, bool) or expected is None or isinstance(expected, str):
        return [] if found == expected and type(found) is type(expected) else [f"{key} {found!r}, not {expected!r}"]
    allowed = allowance(key, expected, tolerance)
    return [] if abs(found - expected) <= allowed else [f"{key} {found!r}, not {expected!r} ± {allowed:.2g}"]


#: What a tolerance of the files is named -> the word of the keys it is for.
KINDS = {
    "mc": "mc_",
    "coverage": "coverage",
    "sigma": "sigma",
    "bootstrap": "bootstrap",
    "scale": "scale",
    "deg": "deg",
    "mean": "mean",
    "angle": "angle",
    "angles": "ypr",
    "A": "A.",
}


def allowance(key: str, expected: float, tolerance: dict) -> float:
    """The case's own tolerance for a key, by kind where it names one; the digits as printed where it names none."""
    whole = tolerance.get("rel", 0) * abs(expected) + tolerance.get("abs", 0)
    # A ratio of sigmas is as good as the sigmas.
    word = key.replace("worst_over_best", "sigma")
    for name, part in KINDS.items():
        if part in word and (f"{name}_rel" in tolerance or f"{name}_abs" in tolerance):
            return max(whole, tolerance.get(f"{name}_rel", 0) * abs(expected), tolerance.get(f"{name}_abs", 0))
    if tolerance.get("digits"):
        # The file says: to the digits given. Half of the last one, where that is coarser than 1e-6.
        whole = max(whole, 0.05 if key.startswith("nu_") else digits(expected))
    return max(whole or 1e-9 * abs(expected), 1e-12)


def digits(value: float) -> float:
    """Half a unit of the last digit as it was written."""
    text = repr(value)
    mantissa, _, exponent = text.partition("e")
    places = len(mantissa.partition(".")[2]) if "." in mantissa and not mantissa.endswith(".0") else 0
    return 0.5000001 * 10.0 ** (int(exponent or 0) - places) if places or exponent else 0.0


@pytest.mark.parametrize("case", list(all_cases()), ids=lambda case: case["id"])
def test_the_package_answers_the_reference_case(case):
    assert case["source"]
    answer = compute_case(case)
    assert set(answer) == set(case["expected"])
    json.dumps(answer)
    assert not (differs := agrees(answer, case["expected"], case["tolerance"])), differs


def test_every_case_of_both_files_is_asked():
    assert len(alignment_cases()) == 157
    assert len(calibration_cases()) == 106


def test_a_case_of_a_known_kind_can_be_added_as_data_alone():
    added = {
        "id": "earth-gravity-pole",
        "group": "earth",
        "inputs": {"lat_deg": 90},
        "expected": {"gamma_m_s2": 9.8321849378},
    }
    assert math.isclose(compute_case(added)["gamma_m_s2"], 9.8321849378, abs_tol=1e-9)
    renamed = {
        "id": "gyrocompass-new",
        "group": "gyrocompass",
        "inputs": {"V_m_s": 5.0, "course_deg": 0, "lat_deg": 60},
        "expected": {"error_magnitude_deg": 1.23170972762},
    }
    assert math.isclose(compute_case(renamed)["error_magnitude_deg"], 1.23170972762, rel_tol=1e-9)


def test_a_case_nobody_answers_is_said_so():
    with pytest.raises(NoAdapter):
        compute_case({"id": "weather-1", "group": "weather", "inputs": {}, "expected": {"rain_mm": 1}})


def test_a_wrong_answer_is_noticed():
    case = alignment_cases()["earth-gravity-lat45"]
    assert agrees({"gamma_m_s2": case["expected"]["gamma_m_s2"] + 1e-8}, case["expected"], case["tolerance"])
    assert agrees({"due": "2026-03-01"}, {"due": "2026-02-28"}, {"abs": 1e-6})
