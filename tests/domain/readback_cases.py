"""Values read, the sheets there are, and whose they are: one table for the rule and for its twin in the browser."""

from registry.domain.readbacks import KnownSheet


def sheet(id_: str, bay: str, version: int, **changed: str) -> KnownSheet:
    values = {
        "Time scale": ("UTC", ""),
        "Yaw": ("0.25", "deg"),
        "Roll": ("-0.098", "deg"),
        "Output delay": ("12", "ms"),
        "Rate": ("115200", "baud"),
    }
    for name, value in changed.items():
        key = name.replace("_", " ")
        values[key] = (value, values.get(key, ("", ""))[1])
    return KnownSheet(id_, bay, f"Teasel, bay {bay}", version, f"{version}{bay.lower()}" * 32, values)


A1, A2 = sheet("a1", "A", 1, Output_delay="8"), sheet("a2", "A", 2)
B1 = sheet("b1", "B", 1, Yaw="0.31")
#: As A2 but for its version.
A3 = sheet("a3", "A", 3)
SHEETS = [A2, A1, B1]
THREE = {"Time scale": "utc", "Yaw": "0.25", "Output delay": "12"}
#: What is read, the sheets, the one wanted, the verdict.
CASES = {
    "the wanted sheet": (THREE, SHEETS, "a2", "agrees"),
    "signs, units and degrees as people type them": ({"yaw": "+0.250°", "ROLL": "\u22120.098 deg", "Output delay": "12 ms"}, SHEETS, "a2", "agrees"),
    "a unit that shows two decimals": ({"Yaw": "0.25", "Roll": "-0.10", "Output delay": "12.00"}, SHEETS, "a2", "agrees"),
    "one decimal says too little": ({"Yaw": "0.25", "Roll": "-0.1", "Output delay": "12"}, SHEETS, "a2", "no_sheet"),
    "the other bay": (THREE | {"Yaw": "0.31"}, SHEETS, "a2", "other_bay"),
    "the version before": (THREE | {"Output delay": "8"}, SHEETS, "a2", "other_version"),
    "nobody’s": (THREE | {"Output delay": "99"}, SHEETS, "a2", "no_sheet"),
    "values that two sheets share": ({"Time scale": "UTC", "Roll": "-0.098", "Rate": "115200"}, SHEETS, "a2", "cannot_tell"),
    "a version that is no other": (THREE, [A3, *SHEETS], "a3", "agrees"),
    "a name on no sheet is left aside": (THREE | {"Colour": "grey"}, SHEETS, "a2", "agrees"),
    "a name that only another sheet has": (THREE | {"Boom": "4"}, [*SHEETS, sheet("c1", "C", 1, Boom="4")], "a2", "other_bay"),
}  # fmt: skip
