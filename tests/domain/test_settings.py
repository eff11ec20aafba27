"""Settings sheets: the checksum, addresses, ports, and what is asked about."""

import hashlib
import ipaddress
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.domain import settings
from registry.domain.settings import AHEAD_OF_UTC_S, Line, Ports

LINES = [Line("run", "Time scale", "UTC"), Line("own", "Output delay", "12", "ms", "entry 4")]
REED = Ports("Ardlune Reed", 2, 1)


def test_the_checksum_is_the_sha_256_of_canonical_json():
    """RFC 8785: keys sorted, no blanks; written out here by hand, hashed by the standard library."""
    told = '{"bay":"KAAAAAAA","values":[{"name":"Time scale","unit":"","value":"UTC"},{"name":"Output delay","unit":"ms","value":"12"}],"version":3}'
    assert settings.document_bytes("KAAAAAAA", 3, LINES) == told.encode()
    assert settings.checksum("KAAAAAAA", 3, LINES) == hashlib.sha256(told.encode()).hexdigest()
    assert json.loads(told) == settings.document("KAAAAAAA", 3, LINES)


def test_where_a_value_came_from_changes_no_checksum_and_the_value_does():
    moved = [LINES[0], Line("own", "Output delay", "12", "ms", "entry 9")]
    other = [LINES[0], Line("own", "Output delay", "13", "ms", "entry 4")]
    first = settings.checksum("K", 1, LINES)
    assert settings.checksum("K", 1, moved) == first
    assert (
        len(
            {
                first,
                settings.checksum("K", 1, other),
                settings.checksum("K", 2, LINES),
                settings.checksum("L", 1, LINES),
            }
        )
        == 4
    )
    assert settings.say_checksum(first) == f"{first[:4]} {first[4:8]}"


@given(st.integers(0, 2**32 - 1), st.integers(8, 30))
def test_an_address_is_read_as_the_standard_library_reads_it(number: int, length: int):
    text = f"{ipaddress.IPv4Address(number)}/{length}"
    wanted = ipaddress.IPv4Interface(text)
    network = wanted.network
    if wanted.ip in (network[0], network[-1]) or wanted.ip.is_multicast or wanted.ip.is_loopback:
        with pytest.raises(ValueError, match="is no address of one unit"):
            settings.read_address(text)
    else:
        assert settings.read_address(f" {text} ") == str(wanted)


@pytest.mark.parametrize(
    "text", ["192.0.2.14", "192.0.2.256/24", "192.0.2.014/24", "192.0.2.1/33", "fe80::1/64", "host/24"]
)
def test_what_is_no_address_is_told_with_the_form_it_has(text: str):
    with pytest.raises(ValueError, match=r"like 192\.0\.2\.14/24"):
        settings.read_address(text)


def test_ports_are_looked_over_against_the_type():
    plan = {"serial": [1, 3, 1], "network": [1]}
    told = settings.reasons_of_ports(plan, REED)
    assert [(one.field, one.message) for one in told] == [
        ("serial_ports.1.port", "Ardlune Reed has 2 serial ports; there is no 3."),
        ("serial_ports.2.port", "Serial port 1 stands here twice."),
    ]
    assert settings.reasons_of_ports({"serial": [9], "network": []}, Ports("Reed", None, None)) == []
    uses = [("aiding.0.on", "serial 1"), ("feeds.0.on", "network 2")]
    assert [one.field for one in settings.reasons_of_uses(uses, plan)] == ["feeds.0.on"]


def test_names_stand_once_and_figures_are_figures():
    assert [one.field for one in settings.reasons_of_names([("a", "Yaw"), ("b", " yaw ")])] == ["b"]
    values = [("a", "12", "ms"), ("b", "1.5e3", "ms"), ("c", "anything", "")]
    assert [one.field for one in settings.reasons_of_values(values)] == ["b"]


ANGLES = [Line("mounting", name, value, "deg") for name, value in (("Roll", "0.05"), ("Pitch", "0.1"), ("Yaw", "0.3"))]
ARM = [
    Line("lever_arm", f"Lever arm to the DVL, {axis}", value, "m")
    for axis, value in (("forward", "-0.62"), ("starboard", "0.04"), ("down", "0.31"))
]


def asked(*lines: Line, lengths: dict[str, str] | None = None, near: dict[str, str] | None = None) -> list[str]:
    return settings.questions(lines, lengths or {}, near or {})


def test_a_sheet_that_was_measured_asks_nothing():
    assert asked(*ANGLES, *ARM, Line("port", "Network port 1, address", "192.0.2.14/24")) == []


@pytest.mark.parametrize(
    ("lines", "lengths", "near", "told"),
    [
        (ARM, {}, {}, "The sheet has no mounting angles"),
        ([*(Line("mounting", one.name, "0", "deg") for one in ANGLES), *ARM], {}, {}, "All three plate angles are zero"),
        (ANGLES, {}, {}, "The sheet has no lever arm"),
        ([*ANGLES, *(Line("lever_arm", one.name, "0.5", "m") for one in ARM)], {}, {}, "Lever arm to the DVL: This lever arm is in round half metres"),
        ([*ANGLES, *ARM, Line("own", "Plate", "1.2", "deg")], {"the bay’s distance from the bow": "1.2"}, {}, "1.2 is also the bay’s distance from the bow, in metres"),
        ([*ANGLES, *ARM, Line("own", "Output delay", "0.0", "ms")], {}, {}, "Output delay is zero"),
        ([*ANGLES, *ARM, Line("port", "Network port 1, address", "192.168.1.10/24")], {}, {}, "192.168.1.10 looks like an address from the factory"),
        ([*ANGLES, *ARM, Line("port", "Network port 1, address", "192.0.2.9/24")], {}, {"192.0.2.9": "Teasel, bay B"}, "192.0.2.9 is also the address of Teasel, bay B"),
    ],
)  # fmt: skip
def test_what_looks_like_a_placeholder_is_asked_about(lines, lengths, near, told):
    found = asked(*lines, lengths=lengths, near=near)
    assert len(found) == 1
    assert told in found[0]
    assert [one.code for one in settings.reasons_unanswered(found, None)] == ["looks_like_placeholder"]
    assert settings.reasons_unanswered(found, "it is so") == []
    (bare,) = settings.reasons_unanswered(found, "yes")
    assert bare.next == "Put it right, or say in 3 words or more where the value comes from."


@pytest.mark.parametrize("scale", ["gps", "tai"])
def test_a_time_that_nothing_on_the_sheet_gives_is_asked_about(scale: str):
    """UTC is what a unit falls back on by its own clock; GPS time and TAI come from outside (common practice, no source)."""
    (told,) = settings.question_of_time(scale, [])
    assert told.endswith("nothing on the sheet gives it the time: where does it come from?")
    assert settings.question_of_time("utc", []) == settings.question_of_time("own", []) == []
    assert settings.question_of_time(scale, [("Receiver", scale)]) == []


def test_times_that_are_apart_are_asked_about_with_what_it_costs():
    """GPS−UTC 18 s since 1 January 2017 (IERS Bulletin C 52: TAI−UTC 37 s; IS-GPS-200: GPS = TAI − 19 s); 18 s at 1.5 m/s
    are 27 m (the same figure stands in the outfit's own defaults)."""
    assert AHEAD_OF_UTC_S["tai"] - 19 == AHEAD_OF_UTC_S["gps"] == 18
    (told,) = settings.question_of_time("utc", [("Receiver", "gps"), ("Pulse", "utc"), ("Logger", "own")])
    assert told.startswith("Receiver gives GPS time, the unit is to run on UTC: they are 18 s apart, 27 m at 1.5 m/s.")
    assert "37 s apart" in settings.question_of_time("tai", [("Receiver", "utc")])[0]


def test_a_rate_beyond_the_standard_of_its_wiring_is_remarked():
    """TIA-232-F covers rates up to 20 kbit/s; TIA-422-B reaches 10 Mbit/s."""
    told = settings.remarks_of_rates([(1, "rs232", "19200"), (2, "rs232", "38400"), (3, "rs422", "921600")])
    assert len(told) == 1 and told[0].startswith("Serial port 2: RS-232 is written for up to 20 kbit/s")
