"""Who and what there is in the invented outfit: people, sites, stations, types, vehicles, pairs."""

from registry.demo.hand import Hand

OUTFIT, KEEPER = "Holmwick Survey Shed", "Maren Holt"
START = -548  # eighteen months before the anchor
PEOPLE = {
    "Ida Brekke": "technician",
    "Yusuf Lind": "technician",
    "Oda Fenn": "workshop_lead",
    "Tomas Oyelaran": "fleet_manager",
    "Rosa Achter": "release_authority",
    "Anselm Quay": "auditor",
    "Vera Stroud": "verifier",
}
SITES = {"North shed": ("shore", 0), "South quay": ("shore", 60), "Halcyon Tern": ("vessel", 0)}
#: Station -> the meters its readings are taken with.
READ_WITH = {
    "Bench 2": ["BT-04", "RM-11", "FM-02"],
    "Quay bench": ["BT-09", "RM-12", "FM-03"],
    "Kit 1": ["RM-07", "FM-05"],
}
STATIONS = {
    "Bench 2": ("North shed", "protected_area"),
    "Quay bench": ("South quay", "protected_area"),
    "Kit 1": ("Halcyon Tern", "field_kit"),
    "Kit 2": ("North shed", "field_kit"),
}
#: Meter -> site, what it reads.
METERS = {
    "BT-04": ("North shed", "strap"),
    "RM-11": ("North shed", "resistance"),
    "FM-02": ("North shed", "field"),
    "BT-09": ("South quay", "strap"),
    "RM-12": ("South quay", "resistance"),
    "FM-03": ("South quay", "field"),
    "RM-07": ("Halcyon Tern", "resistance"),
    "FM-05": ("Halcyon Tern", "field"),
}
#: Figures of the plan that differ from the defaults: site, figure, value, why.
PLAN = (
    ("North shed", "strap_below_mohm", "10", "The testers by the door are set to it."),
    ("Halcyon Tern", "signoff_holds_h", "8", "Watches aboard are eight hours."),
)
#: Type -> maker, name, parts of the halves, class figures. Made-up values that match no sheet.
TYPES = {
    "reed": (
        "Ardlune",
        "Quenholt Reed",
        "AR-3100-C",
        "AR-3200-B",
        [
            ("heading_secant_latitude", "0.11", "rms"),
            ("distance_with_dvl", "0.23", "cep_50"),
            ("gyro_bias", "0.031", "1_sigma"),
        ],
    ),
    "sedge": (
        "Ardlune",
        "Quenholt Sedge",
        "AS-1100-A",
        "AS-1200-A",
        [("heading_secant_latitude", "0.47", "rms"), ("roll_pitch", "0.06", "rms")],
    ),
    "plover": (
        "Velloway",
        "Plover 2",
        "VP-20",
        "VP-21",
        [("heading_secant_latitude", "0.19", "95_percent"), ("free_inertial_drift", "1.7", "cep_50")],
    ),
    "dunlin": (
        "Velloway",
        "Dunlin",
        "VD-60",
        "VD-61",
        [("heading_secant_latitude", "0.83", "rms"), ("angle_random_walk", "0.013", "1_sigma")],
    ),
}
#: Vehicle -> hull, hull number, length, home, then bays: letter, metres from the bow, types, use.
VEHICLES = {
    "Teasel": (
        "torpedo",
        "07",
        "5.2",
        "North shed",
        [("A", "1.4", ["reed"], "multibeam"), ("B", "3.4", ["reed"], "transit")],
    ),
    "Burdock": (
        "torpedo",
        "04",
        "4.1",
        "North shed",
        [("A", "1.2", ["reed"], "sidescan"), ("B", "2.6", ["reed", "sedge"], "transit")],
    ),
    "Mallow": ("torpedo", "05", "4.1", "South quay", [("A", "1.2", ["reed"], "camera")]),
    "Sorrel": ("open_frame", "11", "1.9", "South quay", [("A", "0.95", ["plover"], "camera")]),
    "Yarrow": (
        "open_frame",
        "12",
        "2.4",
        "North shed",
        [("A", "0.8", ["plover", "dunlin"], "camera"), ("B", "1.7", ["dunlin"], "transit")],
    ),
    "Tansy": ("surface", "21", "7.8", "South quay", [("A", "4.6", ["reed", "sedge"], "multibeam")]),
    "Campion": ("surface", "22", "6.1", "North shed", [("A", "3.1", ["sedge"], "transit")]),
}
PAIRS = {
    "reed": ["QH-0350", "QH-0363", "QH-0376", "QH-0388", "QH-0395", "QH-0402", "QH-0409", "QH-0417", "QH-0421"],
    "sedge": ["QS-0051", "QS-0054", "QS-0060"],
    "plover": ["VP-112", "VP-118", "VP-121"],
    "dunlin": ["VD-07", "VD-09"],
}


def furnish(hand: Hand) -> None:
    """Found the registry and enter everybody and everything it starts with."""
    hand.found(START, OUTFIT, KEEPER)
    for number, (name, role) in enumerate(PEOPLE.items()):
        hand.do(
            "add_person",
            START,
            f"10:{number:02d}",
            by=KEEPER,
            name=name,
            role=role,
            private={"name": name, "badge": f"HSS-{200 + number}"},
        )
    hand.do("give_role", START, "10:30", by=KEEPER, person=KEEPER, role="workshop_lead")
    hand.do("give_role", START, "10:31", by=KEEPER, person="Vera Stroud", role="technician")
    _train(hand)
    for name, (kind, offset) in SITES.items():
        hand.do("add_site", START, "11:00", by=KEEPER, name=name, site=name, kind=kind, offset_min=offset)
    for name, (site, kind) in STATIONS.items():
        hand.do("add_station", START, "11:10", by="Oda Fenn", name=name, site=site, station=name, kind=kind)
    _meters(hand)
    for key, (maker, name, sensor, electronics, figures) in TYPES.items():
        limits = [
            {"quantity": quantity, "value": value, "statistic": statistic} for quantity, value, statistic in figures
        ]
        grades = ["calibration_sheet", "acceptance_report"] if maker == "Ardlune" else ["acceptance_report", "letter"]
        hand.do(
            "add_unit_type", START, "11:20", by="Oda Fenn", name=key, maker=maker, type_name=name, sensor_part=sensor, electronics_part=electronics,
            accepts=grades, class_limits=limits, supply_least_v="18", supply_most_v="32", serial_ports=4, network_ports=1,
        )  # fmt: skip
    for name in VEHICLES:
        _vehicle(hand, name)
    for number, (kind, name) in enumerate((kind, name) for kind, names in PAIRS.items() for name in names):
        receive(hand, kind, name, START + 4 + number * 9)


def _meters(hand: Hand) -> None:
    """What takes the readings, each fresh from its calibration, and what two sites do otherwise than others."""
    for name, (site, reads) in METERS.items():
        hand.do("add_meter", START, "11:12", by="Oda Fenn", name=name, site=site, meter=name, reads=reads)
        calibrate(hand, name, START, "11:14")
    for site, figure, value, reason in PLAN:
        hand.do(
            "set_plan_figure", START, "11:16", by="Oda Fenn", site=site, figure=figure, value=value, reason=reason,
            source="ESD plan of the outfit, issue 2",
        )  # fmt: skip


def calibrate(hand: Hand, name: str, day: float, clock: str) -> None:
    """The certificate of a calibration three days before."""
    on = hand.at(day - 3).date().isoformat()
    told = {"calibrated_on": on, "as_found": "within", "certificate": f"MC {name} of {on}, invented laboratory"}
    hand.do("record_meter_calibration", day, clock, by="Oda Fenn", meter=name, **told)


def _train(hand: Hand) -> None:
    """ESD handling for everybody who handles units, and its yearly refreshers; pressure housings for the technicians."""
    for day in (START, START + 330):
        on = hand.at(day).date().isoformat()
        for name in (KEEPER, "Ida Brekke", "Yusuf Lind", "Oda Fenn", "Vera Stroud"):
            hand.do("record_training", day, "12:00", by=KEEPER, person=name, subject="esd", trained_on=on)
        for name in ("Ida Brekke", "Yusuf Lind"):
            hand.do("record_training", day, "12:10", by=KEEPER, person=name, subject="pressure_housings", trained_on=on)
        if day == START:
            hand.do(
                "record_training", day, "12:20", by=KEEPER, person="Tomas Oyelaran", subject="lifting", trained_on=on
            )


def _vehicle(hand: Hand, name: str) -> None:
    hull, number, length, home, bays = VEHICLES[name]
    by = "Tomas Oyelaran"
    hand.do(
        "add_vehicle",
        START + 2,
        by=by,
        name=name,
        vehicle=name,
        hull_number=number,
        hull=hull,
        length_m=length,
        site=home,
    )
    housings = {"forward": bays[:1], "aft": bays[1:]} if len(bays) > 1 else {"main": bays}
    for housing, inside in housings.items():
        method = "gasket" if hull == "surface" else "vacuum"
        hand.do(
            "add_housing",
            START + 2,
            "09:10",
            by=by,
            name=f"{name} {housing}",
            vehicle=name,
            housing=housing,
            closing_method=method,
            free_volume_l="14" if hull != "open_frame" else "6",
        )
        for letter, metres, types, use in inside:
            hand.do(
                "add_bay",
                START + 2,
                "09:20",
                by=by,
                name=f"{name} {letter}",
                housing=f"{name} {housing}",
                letter=letter,
                from_bow_m=metres,
                accepts=types,
                use=use,
            )


def receive(hand: Hand, kind: str, name: str, day: float) -> None:
    """Two boxes: both halves by their labels, then the statement."""
    maker, _type, sensor, electronics, _figures = TYPES[kind]
    stem = name.split("-", 1)[1]
    serial = (
        20000 + int("".join(c for c in stem if c.isdigit()))
        if kind in ("reed", "sedge")
        else int("".join(c for c in stem if c.isdigit()))
    )
    for half, part, clock in (("sensor", sensor, "09:00"), ("electronics", electronics, "09:10")):
        prefix = "S" if half == "sensor" else "E"
        printed = f"{prefix}-{serial if half == 'sensor' else serial + 11427}"
        hand.do(
            "receive_half", day, clock, by="Oda Fenn", name=f"{name} {prefix}", kind=half, unit_type=kind, maker=maker, part=part, serial=printed,
            revision="C" if half == "sensor" else "B", site="North shed", spot="shelf 2",
        )  # fmt: skip
    grade = "calibration_sheet" if maker == "Ardlune" else "acceptance_report"
    on = hand.at(day - 6).date().isoformat()
    hand.do(
        "record_pairing",
        day,
        "09:30",
        by="Oda Fenn",
        name=name,
        pair=name,
        sensor=f"{name} S",
        electronics=f"{name} E",
        grade=grade,
        statement=f"AC-{7000 + serial % 997}",
        stated_on=on,
    )
    hand.do("record_firmware", day, "09:40", by="Vera Stroud", half=f"{name} E", firmware="3.1")
