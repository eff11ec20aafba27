"""Words of the fleet: hulls, housings and what a bay is used for."""

HULLS = {"torpedo": "torpedo-like", "open_frame": "open frame", "surface": "surface craft"}
SITE_KINDS = {"shore": "shore site", "vessel": "vessel"}
CLOSING_METHODS = {
    "vacuum": "closed under vacuum",
    "gasket": "gasket",
    "oil_filled": "oil filled",
    "none": "not closed",
}
#: Housings whose closing is proved by a leak test on absolute pressure.
LEAK_TESTED = frozenset({"vacuum", "gasket"})
#: Use of a bay -> heading tolerance in degrees (common practice, no source: transit 0.3, survey 0.1).
USES = {
    "transit": "transit",
    "camera": "camera survey",
    "sidescan": "sidescan",
    "multibeam": "multibeam",
    "other": "other",
}
HEADING_TOLERANCE_DEG = {"transit": "0.3", "camera": "0.1", "sidescan": "0.1", "multibeam": "0.1"}
