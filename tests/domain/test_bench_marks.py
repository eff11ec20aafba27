"""North is declared, never guessed, and added with its sign."""

import pytest

from registry.domain.bench_marks import reasons_of_north, true_heading


@pytest.mark.parametrize(
    ("heading", "to_true", "true"),
    [("88.20", "1.46", "89.66"), ("359.5", "1.0", "0.5"), ("0.30", "-1.10", "359.20"), ("120.00", None, "120.00")],
)
def test_a_north_that_lies_east_of_true_is_added(heading: str, to_true: str | None, true: str):
    """True azimuth = grid azimuth + convergence, magnetic bearing + declination, east positive (common practice)."""
    assert true_heading(heading, to_true) == true


@pytest.mark.parametrize(
    ("north", "to_true", "source", "codes"),
    [
        ("true", None, None, []),
        ("true", "0", None, []),
        ("true", "1.5", None, ["wrong_form"]),
        ("grid", "1.5", "grid of 2020", []),
        ("grid", None, "grid of 2020", ["missing_field"]),
        ("magnetic", None, None, ["missing_field", "missing_field"]),
    ],
)
def test_grid_and_magnetic_north_say_how_far_they_lie_from_true(north: str, to_true, source, codes: list[str]):
    assert [reason.code for reason in reasons_of_north(north, to_true, source)] == codes
