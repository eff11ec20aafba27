"""A distance that no hull could have run in the time of its mission is a slip of the pen: metres for kilometres, or a start
told as late as the end."""

from registry.domain.times import as_datetime
from registry.errors import Reason

#: No hull of a survey fleet, fast surface craft included, keeps up more than some 50 knots (common practice, no source).
FASTEST_KMH = 100


def say_stretch(seconds: float) -> str:
    """`24 seconds`, `90 minutes`, `225 hours`."""
    number, unit = (seconds, "second") if seconds < 120 else (seconds / 60, "minute") if seconds < 7200 else (seconds / 3600, "hour")  # fmt: skip
    return f"{number:,.0f} {unit}{'' if round(number) == 1 else 's'}"


def reasons_of_speed(distance_km: str, since: str, until: str, field: str = "distance_km") -> list[Reason]:
    """Why that distance cannot have been run between these instants; nothing when they are the wrong way round, which is
    refused in words of its own."""
    seconds = (as_datetime(until) - as_datetime(since)).total_seconds()
    if seconds <= 0 or float(distance_km) * 3600 <= FASTEST_KMH * seconds:
        return []
    speed = float(distance_km) * 3600 / seconds
    told = f"{float(distance_km):,g} km in {say_stretch(seconds)} would be {speed:,.0f} km/h: no hull runs faster than {FASTEST_KMH} km/h."
    return [Reason("wrong_form", told, field, "Look at the distance, which is in kilometres, and at both times.")]
