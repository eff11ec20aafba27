"""Between the published cases and the program: each function takes a case's input and answers in the case's words.

A new case is then data alone: its id starts with the name of a group in GROUPS, its `expect` names what to compare.
"""

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import qrcode

from registry.domain import labels
from registry.domain.codes import ALPHABET, MOST_COPIES, check_character, code_url
from registry.domain.labels import aim, fields, gs1, identity, wedge
from registry.domain.labels.sayings import Unreadable
from tests.outside.adapters_inertial import compute_case as compute_case  # answers every case of a computation

DATA = Path(__file__).parent / "data"
#: The host that the cases take for the registry's own.
HOSTS = ("example.org",)


def identification_cases() -> list[dict[str, Any]]:
    return json.loads((DATA / "identification.json").read_text("utf-8"))["vectors"]


def read_label(text: str, *, typed: bool = False) -> dict[str, Any]:
    """What one scan says."""
    label = labels.read_label(text, hosts=HOSTS, typed=typed)
    answer: dict[str, Any] = {
        "ok": label.ok,
        "syntax": label.syntax,
        "format": label.format,
        "symbology": label.symbology,
        "elements": [list(element) for element in label.elements],
        "attributes": label.attributes,
        "warnings": list(label.warnings),
        "needs_person": label.needs_person,
        "identity": _identity(label),
        "candidates": [_candidate(candidate) for candidate in label.candidates],
        "unit": label.code,
        "copy": label.copy,
        "error": label.error,
        "qualifier": label.qualifier,
        "expected": label.expected,
        "missing": label.missing,
    }
    if label.syntax == "plain" and label.candidates:
        answer["serial"] = label.candidates[0].value
    return answer


def _identity(label: labels.Label) -> dict[str, str]:
    if label.identity is None:
        return {}
    names = ("scheme", "iac", "issuer", "part", "lot", "serial", "gtin", "giai", "cpid", "uii")
    told = {name: getattr(label.identity, name) for name in names}
    # An agency code may be known to be empty: then the maker's own number holds it already.
    return {name: value for name, value in told.items() if value or (name == "iac" and told["scheme"] == "uii-2")}


def _candidate(candidate: labels.Candidate) -> dict[str, str]:
    match candidate.kind:
        case "plain":
            return {"plain": candidate.value}
        case "field":
            return {"qualifier": candidate.qualifier, "value": candidate.value}
    return {"unit": candidate.value}


def compare(texts: list[str]) -> dict[str, Any]:
    """Two scans beside each other: bare serials by their text, labels by the unit they name."""
    one, other = (labels.read_label(text, hosts=HOSTS) for text in texts)
    if labels.same_unit(one, other):
        return {"ok": False, "error": "same_unit_twice"}
    warnings = labels.differences(*texts)
    assert (labels.near_matches(texts[0], texts[1:]) == texts[1:]) == bool(warnings)
    return {"ok": one.ok and other.ok, "equal": texts[0] == texts[1], "warnings": warnings}


def read_data_element(text: str) -> dict[str, Any]:
    """One element of a format 06 envelope."""
    element = fields.read_data_element(text)
    known = fields.DATA_IDENTIFIERS[element.qualifier]
    answer = {"ok": True, "qualifier": element.qualifier, "value": element.value}
    return answer | {"meaning": known.meaning, "form": known.form, "warnings": fields.check_value(element)}


def split_37s(text: str) -> dict[str, Any]:
    prefix, serial = identity.split_37s(text)
    return {"ok": True, "prefix": prefix, "serial": serial}


def split_42s(text: str) -> dict[str, Any]:
    uii, serial = identity.split_42s(text)
    return {"ok": True, "serial_length": len(serial), "uii": uii, "serial": serial}


def read_gtin(text: str) -> dict[str, Any]:
    try:
        gtin = gs1.read_gtin(text)
    except Unreadable as why:
        return {"ok": False, "error": why.error}
    return {"ok": True, "gtin14": gtin, "check_digit": int(gtin[-1])}


def split_aim(text: str) -> dict[str, Any]:
    prefix = aim.split_aim(text)
    return {"ok": True, "symbology": prefix.symbology, "means": prefix.means, "data": prefix.data, "gs1": prefix.gs1}


def normalise(text: str) -> dict[str, Any]:
    try:
        family, normal = wedge.normalise(text)
    except Unreadable as why:
        return {"ok": False, "error": why.error}
    return {"ok": True, "family": family, "normalised": normal}


def long_identity(_: str) -> dict[str, Any]:
    """The case gives no text: a label whose joined identity has 51 characters, beside one that has 50."""
    just, over = ("[)>\x1e06\x1d17V0CVA5\x1d1P" + "P" * 22 + "\x1dS" + "7" * n + "\x1e\x04" for n in (22, 23))
    assert read_label(just)["warnings"] == []
    return read_label(over)


def own_symbol(text: str) -> dict[str, Any]:
    """Our own symbol's text: what we would print, its length, and the symbol versions that its case decides."""
    assert code_url(HOSTS[0], read_label(text)["unit"]) == text
    upper, lower = ({level: _qr_version(form, level) for level in "MQH"} for form in (text, text.lower()))
    return {"ok": True, "length": len(text), "upper_case": upper, "lower_case": lower}


def _qr_version(text: str, level: str) -> int:
    symbol = qrcode.QRCode(error_correction=getattr(qrcode.constants, f"ERROR_CORRECT_{level}"))
    symbol.add_data(text)
    return symbol.best_fit()


def alphanumeric(text: str) -> dict[str, Any]:
    """The characters of QR alphanumeric mode; the text of our symbols must keep to them."""
    named = set("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ ") | set(re.sub(r"\w-\w|space| ", "", text))
    bodies = (first + ALPHABET[start : start + 6] for first in ALPHABET for start in range(0, 26, 6))
    written = {code_url("PAIRS-2.example.org:8443", body + check_character(body), MOST_COPIES) for body in bodies}
    return {"ok": set("".join(written)) <= named, "characters": len(named)}


Adapter = Callable[[Any], dict[str, Any]]

#: By the start of a case's id, the longest that fits: what answers it.
GROUPS: dict[str, Adapter] = {
    "env": read_label,
    "uii": read_label,
    "uii-length-50": long_identity,
    "di": read_data_element,
    "di-37S-split": split_37s,
    "di-42S-split": split_42s,
    "di-linear": read_label,
    "gtin": read_gtin,
    "gs1": read_label,
    "dl": read_label,
    "url": read_label,
    "aim": split_aim,
    "aim-iso15434": read_label,
    "aim-not-a-prefix": read_label,
    "wedge": normalise,
    "norm": read_label,
    "own": read_label,
    "qr-alnum-set": alphanumeric,
    "qr-url-30": own_symbol,
}


def enveloped(element: str) -> str:
    """A label that holds one element beside a maker, a part and a serial of another."""
    return f"[)>\x1e06\x1d{element}\x1e\x04"


#: By the start of an id, for cases about a piece of a text: the whole scan that the piece stands in, and what of the
#: case's answer a label tells. So every case about input text passes `read_label`, too, and its data alone decide.
WHOLE: dict[str, Callable[[dict[str, Any]], tuple[str, dict[str, Any]]]] = {
    "di": lambda case: (enveloped(case["input"]), _told_of_element(case["expect"])),
    "di-37S-split": lambda case: (enveloped("37S" + case["input"]), {"elements": [["37S", case["input"]]]}),
    "di-42S-split": lambda case: (enveloped("42S" + case["input"]), {"elements": [["42S", case["input"]]]}),
    "gtin": lambda case: ("]d201" + case["input"].zfill(14) + "21A1", _told_of_gtin(case["expect"])),
    "aim": lambda case: (case["input"], _told_of_prefix(case["expect"])),
    "wedge": lambda case: (case["input"], _told_of_wedge(case["expect"])),
    "lib-zx-dmre": lambda case: (
        case["expect"]["symbology_identifier"] + case["input"],
        {"ok": True, "symbology": "]d7"},
    ),
    "lib-zx-plain": lambda case: (case["expect"]["text_default"], {"ok": True, "serial": case["input"]}),
    "lib-zx-dd": lambda case: (case["input"], {"ok": True, "format": "DD"}),
    "lib-qrcode-roundtrip": lambda case: (case["input"], {"ok": True, "format": "06"}),
}


def _told_of_element(expect: dict[str, Any]) -> dict[str, Any]:
    if "qualifier" not in expect:
        return {"warnings": expect["warnings"]}
    return {"elements": [[expect["qualifier"], expect["value"]]]}


def _told_of_gtin(expect: dict[str, Any]) -> dict[str, Any]:
    if not expect["ok"]:
        return {"ok": False, "error": expect["error"]}
    return {"ok": True, "elements": [["01", expect["gtin14"]], ["21", "A1"]]}


def _told_of_prefix(expect: dict[str, Any]) -> dict[str, Any]:
    # Behind a prefix that promises GS1, `SN00123` is no field; behind any other it is a bare serial.
    return {"symbology": expect["symbology"], "ok": not expect["gs1"]} | (
        {} if expect["gs1"] else {"serial": expect["data"]}
    )


def _told_of_wedge(expect: dict[str, Any]) -> dict[str, Any]:
    if not expect["ok"]:
        return {"ok": False, "error": expect["error"]}
    return {"ok": True, "elements": read_label(expect["normalised"])["elements"]}


#: Cases about printing and about other people's programs. They say nothing of how a text is read.
ELSEWHERE: dict[str, str] = {
    "qr": "sizes, capacities and levels of QR symbols: with the printing of labels",
    "dm": "module sizes of makers' Data Matrix: with the reading of photos",
    "c128": "widths of Code 128, which is never printed here: with the reading of photos",
    "lib": "how decoders and printers behave: those that hand over a text are read in test_labels.py, the rest print",
}


def group_of(case: dict[str, Any], groups: dict[str, Any]) -> str | None:
    """The longest name in `groups` that the id of the case starts with."""
    names = [name for name in groups if case["id"] == name or case["id"].startswith(f"{name}-")]
    return max(names, key=len, default=None)


def answer(case: dict[str, Any]) -> dict[str, Any] | None:
    """What the program says to a case, or None when the case is run elsewhere."""
    if isinstance(case["input"], list):
        return compare(case["input"])
    group = group_of(case, GROUPS)
    return GROUPS[group](case["input"]) if group else None
