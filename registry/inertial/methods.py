"""The version of every method, stored with each result: a number whose method nobody can name is no evidence.

A version changes when the same input would give another number or another verdict, and never for a change of words.
"""

from typing import NamedTuple


class Method(NamedTuple):
    """`version` is the year of the method and a counter; `source` is where the method comes from."""

    version: str
    source: str


METHODS: dict[str, Method] = {
    "mounting-check": Method("2026-1", "rotation group of the cube; specific force of a unit at rest"),
    "mounting-nearest": Method("2026-1", "largest trace; Mackenzie, Biometrika 45 (1958) 229"),
    "axis-signs": Method("2026-1", "the mounting check, on attitudes that a unit showed"),
    "plate-angles": Method("2026-1", "rotations in series; first-order covariances; root-sum-square when carried"),
    "turn-check": Method("2026-1", "right-hand rule, SNAME 1950"),
    "direction-fit": Method("2026-1", "Wahba 1965 by SVD (Markley 1988); Shuster & Oh 1981 covariance"),
    "direction-triad": Method("2026-1", "Black 1964; Shuster & Oh 1981 covariance (from memory)"),
    "mounting-chain": Method("2026-1", "P = P_vb + C_vb P_bu C_vb^T"),
    "lever-arm": Method("2026-1", "rigid-body kinematics, Fossen 2011 section 3.3"),
    "latency": Method("2026-1", "kinematics; opposite turns"),
    "dvl-fit": Method("2026-1", "complex least squares (Joyce 1989 form); independent samples, block bootstrap"),
    "dvl-offset-fit": Method("2026-1", "complex least squares with a constant offset (Pollard & Read 1989)"),
    "dvl-lever-fit": Method("2026-1", "complex least squares with a lever-arm term"),
    "dvl-end-fix": Method("2026-1", "ratio of net displacements"),
    "dvl-three-axis": Method("2026-1", "Kabsch 1976, Umeyama 1991 without translation"),
    "dvl-pitch": Method("2026-1", "asin(w/V) on a run of constant depth"),
    "misalignment-cost": Method("2026-1", "trigonometry; root-sum-square against the class"),
    "gyrocompass-error": Method("2026-1", "secant law, exact asin"),
    "static-heading": Method("2026-1", "levelling and gyrocompassing, Groves 2013 section 5.6"),
    "free-inertial-drift": Method("2026-1", "single-channel Schuler loop"),
    "north": Method("2026-1", "Krüger series; declination stated or from a named world model"),
    "allan": Method("2026-1", "NIST SP 1065; IEEE 952 Annex C"),
    "allan-terms": Method("2026-1", "slopes of IEEE 952 Annex C"),
    "static-test": Method("2026-1", "Somigliana gravity, WGS-84 earth rate"),
    "bias-two-headings": Method("2026-1", "half-sum of two headings 180 degrees apart"),
    "bias-on-fixture": Method("2026-1", "mean reading minus the surveyed truth"),
    "class-comparison": Method("2026-1", "limits of the unit’s own data sheet; JCGM 106"),
    "alignment-difference": Method("2026-1", "rotation vector, chi-square of 3"),
    "normalised-error": Method("2026-1", "E_n of ISO 13528 (from memory)"),
    "repeatability": Method("2026-1", "pooled standard deviation, ISO 5725 (from memory)"),
    "trend": Method("2026-1", "least squares, t interval, Fieller date"),
    "step": Method("2026-1", "two-sample t at the recorded refit"),
    "uncertainty": Method("2026-1", "JCGM 100 (GUM)"),
    "decision": Method("2026-1", "ILAC-G8:09/2019; JCGM 106:2012"),
    "interval": Method("2026-1", "ILAC-G24 / OIML D 10; step sizes are ours"),
    "due-date": Method("2026-1", "calendar months, last day of the month kept"),
    "look-back": Method("2026-1", "ISO 10012, ISO 9001 7.1.5.2; windows are ours"),
    "motion-signs": Method("2026-1", "means of phases against level; a change over 5° and over five sigmas counts"),
    "recording": Method("2026-1", "columns with units; checked against gravity and earth rate"),
}


def method(name: str) -> str:
    """The text stored with a result: `allan 2026-1`."""
    return f"{name} {METHODS[name].version}"
