"""What a line of a certificate must say."""

import pytest

from registry.domain.calibrations import ResultGiven, reasons_of_day, reasons_of_results, say_uncertainty

WHOLE = ResultGiven("heading", "0.02", "0.01", "0.04", "2")


@pytest.mark.parametrize(
    ("line", "adjusted", "told"),
    [
        (WHOLE, True, []),
        (ResultGiven("heading", "0.02", "0.02", "0.04", "2"), False, []),
        (ResultGiven("heading", "0.02", None, None, None), False, []),
        (ResultGiven("heading", None, "0.02", None, None), False, []),
        (ResultGiven("heading", None, None, None, None), False, [("missing_field", "results.0.as_found")]),
        (ResultGiven("heading", "0.02", None, "0.04", None), False, [("missing_field", "results.0.k")]),
        (ResultGiven("heading", "0.02", None, None, "2"), False, [("missing_field", "results.0.expanded")]),
        (WHOLE, False, [("wrong_form", "results.0.as_left")]),
    ],
)
def test_a_line_gives_a_figure_and_an_uncertainty_its_k(line: ResultGiven, adjusted: bool, told: list):
    assert [(reason.code, reason.field) for reason in reasons_of_results([line], adjusted)] == told


def test_a_certificate_is_entered_on_its_day_or_later():
    at = "2026-05-04T00:00:00.000000Z"
    assert reasons_of_day("2026-05-04", at, "calibrated_on") == []
    assert [reason.code for reason in reasons_of_day("2026-05-05", at, "calibrated_on")] == ["overlaps_history"]


def test_what_is_not_stated_is_said_so():
    assert say_uncertainty(None, None, "deg") == "uncertainty not stated"
    assert say_uncertainty("0.04", "2", "deg") == "± 0.04 deg (k = 2)"
