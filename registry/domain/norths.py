"""Which north a heading, an azimuth or a track is counted from: declared on each, never guessed."""

NORTHS = {"true": "true north", "grid": "grid north", "magnetic": "magnetic north"}
