"""Words of the units: kinds, grades of matched-pair statements, figures of a class, and what stands against receiving one."""

from dataclasses import dataclass

from registry.errors import Reason

KINDS = {"sensor": "sensor half", "electronics": "electronics half"}
OTHER_KIND = {"sensor": "electronics", "electronics": "sensor"}
GRADES = {
    "calibration_sheet": "calibration sheet of the pair",
    "acceptance_report": "acceptance report naming both halves",
    "letter": "letter from the maker",
}
QUANTITIES = {
    "heading_secant_latitude": "heading, degrees × secant of latitude",
    "roll_pitch": "roll and pitch",
    "distance_with_dvl": "position with DVL, percent of distance travelled",
    "free_inertial_drift": "free-inertial drift",
    "gyro_bias": "gyro bias",
    "angle_random_walk": "angle random walk",
}
STATISTICS = {"rms": "r.m.s.", "1_sigma": "1σ", "cep_50": "CEP (50 %)", "95_percent": "95 %"}
#: The unit each figure is kept in.
UNITS = {
    "heading_secant_latitude": "deg",
    "roll_pitch": "deg",
    "distance_with_dvl": "%",
    "free_inertial_drift": "nmi/h",
    "gyro_bias": "deg/h",
    "angle_random_walk": "deg/sqrt(h)",
}


@dataclass(frozen=True, slots=True)
class TypeParts:
    """The part numbers a unit type gives its two halves."""

    name: str
    sensor: str
    electronics: str

    def of(self, kind: str) -> str:
        return self.sensor if kind == "sensor" else self.electronics


def reasons_against_part(kind: str, part: str, parts: TypeParts, fields: tuple[str, str]) -> list[Reason]:
    """A label that names the other half's part, or another part altogether, is not this half's label.

    `fields` are the act's fields to look at in the one case and in the other.
    """
    if not part or part == parts.of(kind):
        return []
    other = OTHER_KIND[kind]
    if part == parts.of(other):
        return [
            Reason(
                "wrong_form",
                f"The label’s part {part} is the {KINDS[other]} of {parts.name}, not the {KINDS[kind]}.",
                fields[0],
                "Look at both labels again: the halves look alike.",
            )
        ]
    return [
        Reason(
            "wrong_form",
            f"The label’s part is {part}; the {KINDS[kind]} of {parts.name} is part {parts.of(kind)}.",
            fields[1],
            "Scan the label on the part itself; if it is of another type, enter that type first.",
        )
    ]
