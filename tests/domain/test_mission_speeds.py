"""Distances that no hull can have run. 24 seconds and 3,100 km: 3,100 × 3,600 ÷ 24 = 465,000 km/h, worked out by hand."""

from registry.domain.mission_speeds import reasons_of_speed

SINCE = "2026-05-10T09:00:00.000000Z"


def test_a_distance_that_no_hull_can_have_run_is_refused_with_the_speed_it_would_need():
    (reason,) = reasons_of_speed("3100", SINCE, "2026-05-10T09:00:24.000000Z")
    assert (reason.code, reason.field) == ("wrong_form", "distance_km")
    assert reason.message == "3,100 km in 24 seconds would be 465,000 km/h: no hull runs faster than 100 km/h."


def test_a_fast_surface_craft_is_not_asked():
    hour = "2026-05-10T10:00:00.000000Z"
    assert reasons_of_speed("100", SINCE, hour) == []
    assert "60 minutes" in reasons_of_speed("100.1", SINCE, hour)[0].message
    assert reasons_of_speed("5", SINCE, SINCE) == []
