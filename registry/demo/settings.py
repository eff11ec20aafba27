"""What the units of the invented outfit are told: ports and firmware of the types, sheets of a few bays, their loads and
read-backs, one of which is another vehicle’s; and how three housings were closed."""

from typing import Any

from registry.demo.hand import Hand
from registry.demo.outfit import START
from registry.demo.papers import seal

#: Bay -> the last number of its address (192.0.2.0/24 is set aside for documents, RFC 5737).
_SHEETS = {"Teasel A": 11, "Teasel B": 12, "Burdock A": 21, "Tansy A": 31, "Campion A": 41, "Mallow A": 51}
_CLOSED = {
    "seals": "new", "seal_batch": "OR-2231, invented", "faces": "clean", "torque_nm": "8", "data_cable": "latched", "power_cable": "latched",
    "desiccant": "new", "dew_point_c": "-6", "coldest_water_c": "3", "tools_out": 7, "tools_in": 7,
}  # fmt: skip


def permit(hand: Hand) -> None:
    """The ports of each type, and the list of firmware for two of them; the second list leaves units behind."""
    for kind, serial in (("reed", 4), ("sedge", 4), ("plover", 3), ("dunlin", 2)):
        told = {"serial_ports": serial, "network_ports": 1, "source": "invented handbook, chapter 4"}
        hand.do("record_ports", START + 1, "08:00", by="Oda Fenn", unit_type=kind, **told)
    for kind, versions, day in (("reed", ("3.1", "3.2"), START + 1), ("sedge", ("3.2",), -10)):
        lines = [{"kind": "electronics", "version": version} for version in versions]
        hand.do(
            "permit_firmware",
            day,
            "08:10",
            by="Oda Fenn",
            unit_type=kind,
            versions=lines,
            reason="invented note 7 of the maker",
        )


def settle(hand: Hand) -> None:
    """The last nine days: sheets, loads, read-backs, the file of a unit that may have to come out."""
    for bay, host in _SHEETS.items():
        hand.do("write_settings_sheet", -8, by="Tomas Oyelaran", bay=bay, **_sheet(host, "8"))
    again = {"words": "Delay measured with the new cable."}
    hand.do("write_settings_sheet", -7, "08:00", by="Tomas Oyelaran", bay="Teasel A", **_sheet(11, "12"), **again)
    for bay in ("Teasel A", "Teasel B", "Burdock A", "Tansy A", "Campion A", "Mallow A"):
        hand.do("load_settings", -7, "10:00", by="Ida Brekke", bay=bay)
    hand.do(
        "record_readback",
        -7,
        "10:20",
        by="Ida Brekke",
        bay="Teasel A",
        values=_read(11, "12"),
        firmware="3.1",
        calibration="AC-7113",
    )
    hand.do("record_readback", -7, "10:40", by="Ida Brekke", bay="Tansy A", values=_read(31, "8"), firmware="3.1")
    # What Burdock's unit gives back was meant for Teasel.
    hand.do("record_readback", -7, "11:00", by="Ida Brekke", bay="Burdock A", values=_read(11, "12"), firmware="3.1")
    files = [
        hand.keep("invented unit settings.txt", b"invented settings file\nnetwork 192.0.2.11/24\noutput delay 12 ms\n")
    ]
    hand.do("keep_settings_file", -7, "11:10", by="Ida Brekke", bay="Burdock A", outcome="saved", files=files)
    _close(hand)


def _sheet(host: int, delay: str) -> dict[str, Any]:
    serial = [
        {"port": 1, "wiring": "rs422", "rate": "115200", "carries": "positions and the second’s pulse in, 1 Hz"},
        {"port": 2, "wiring": "rs232", "rate": "19200", "carries": "DVL speeds in, 4 Hz"},
    ]
    aiding = [
        {"sensor": "GNSS receiver", "gives": "positioning", "on": "serial 1", "time_scale": "utc"},
        {"sensor": "Second’s pulse", "gives": "timing", "on": "serial 1", "time_scale": "utc"},
        {"sensor": "DVL", "gives": "velocity", "on": "serial 2"},
    ]
    return {
        "led_by": "unit", "time_scale": "utc", "serial_ports": serial, "aiding": aiding,
        "network_ports": [{"port": 1, "address": f"192.0.2.{host}/24", "carries": "heading, attitude, position out"}],
        "feeds": [{"feeds": "Vehicle’s computer", "on": "network 1"}, {"feeds": "Sonar", "on": "network 1"}],
        "values": [{"setting": "Output delay", "value": delay, "unit": "ms"}, {"setting": "Output rate", "value": "50", "unit": "Hz"}],
    }  # fmt: skip


def _read(host: int, delay: str) -> list[dict[str, str]]:
    told = {
        "Network port 1, address": f"192.0.2.{host}/24",
        "Output delay": f"{delay} ms",
        "Time scale": "UTC",
        "Serial port 2, rate": "19200",
    }
    return [{"setting": name, "value": value} for name, value in told.items()]


def _close(hand: Hand) -> None:
    """One whole, one with nothing said of drying, one with a tool that did not come back."""
    photo = hand.keep("invented photo of the seal.png", seal())
    dry = {"dew_point_c", "coldest_water_c"}
    for housing, told in (
        ("Tansy main", _CLOSED),
        ("Teasel forward", {name: value for name, value in _CLOSED.items() if name not in dry}),
        ("Campion main", _CLOSED | {"tools_in": 6}),
    ):
        hand.do("record_closing_sheet", -7, "15:00", by="Yusuf Lind", housing=housing, files=[photo], **told)
