"""Label reading against published sources; the source of each case stands beside it in data/identification.json.

The symbols of capacities, sizes and levels (`qr-cap`, `qr-levels`, `dm`, `c128` and their like) are not about text:
`adapters.ELSEWHERE` says where they belong. The one kind of library case that is read here is the text a decoder
hands over, because our parser must take it as it comes.
"""

import json

import pytest
import zxingcpp

from registry.domain.labels import identity_key, read_label, say, say_warning
from registry.domain.labels.sayings import SAYINGS
from tests.outside import adapters

CASES = adapters.identification_cases()
HERE = [case for case in CASES if isinstance(case["input"], list) or adapters.group_of(case, adapters.GROUPS)]
READ = [case for case in HERE if case["expect"].get("syntax")]
PIECES = [
    case for case in CASES if isinstance(case["input"], str) and adapters.group_of(case, adapters.WHOLE)
    and adapters.group_of(case, adapters.GROUPS) not in ("aim-iso15434", "aim-not-a-prefix", "di-linear")
]  # fmt: skip
DECODED = [case for case in CASES if case["id"].startswith("lib-zx-") and "text_plain" in case["expect"]]


def _source(case):
    """Who says so, for the reader of a failure."""
    return case.get("source") or f"house rule ({case['provenance']})"


def _named(cases):
    return [pytest.param(case, id=f"{case['id']} [{_source(case)}]") for case in cases]


def _by_id(name):
    return next(case for case in CASES if case["id"] == name)


@pytest.mark.parametrize("case", _named(HERE))
def test_a_label_reads_as_its_source_says(case):
    told, expected = adapters.answer(case), dict(case["expect"])
    # The same joined identity is worked out for every scheme; the cases give it for some syntaxes only.
    if "identity" in expected and "uii" not in expected["identity"]:
        told["identity"].pop("uii", None)
    # A number that the source prints and that we refuse is there to be read by people.
    expected.pop("published_uii", None)
    assert {key: told.get(key) for key in expected} == expected, f"{case['id']}: {_source(case)}"


@pytest.mark.parametrize("case", _named(PIECES))
def test_a_piece_reads_alike_in_a_whole_scan(case):
    text, expected = adapters.WHOLE[adapters.group_of(case, adapters.WHOLE)](case)
    told = adapters.read_label(text)
    assert {key: told.get(key) for key in expected} == expected, f"{case['id']}: {_source(case)}"


@pytest.mark.parametrize("case", _named(READ))
def test_a_label_warns_of_nothing_its_source_does_not_mention(case):
    assert adapters.answer(case)["warnings"] == case["expect"].get("warnings", []), _source(case)


@pytest.mark.parametrize("case", _named([case for case in READ if "identity" not in case["expect"]]))
def test_a_text_without_an_identity_in_its_source_gets_none(case):
    assert adapters.answer(case)["identity"] == {}, _source(case)


@pytest.mark.parametrize("case", _named(DECODED))
def test_what_a_decoder_hands_over_reads_alike_in_both_its_forms(case):
    expect = case["expect"]
    prefix = expect.get("symbology_identifier", "]d1")
    plain, shown = read_label(prefix + expect["text_plain"]), read_label(expect["text_default"])
    if case["id"] == "lib-zx-gs-only":
        assert (plain.error, shown.syntax) == ("no_header", "plain"), _source(case)
    else:
        assert identity_key(plain.identity) is not None
        assert (plain.identity, plain.elements) == (shown.identity, shown.elements), _source(case)


@pytest.mark.parametrize("symbology", ["DataMatrix", "QRCode", "Code128"])
@pytest.mark.parametrize("name", ["env-12-c1", "env-05-giai", "env-dd-legacy", "env-two-formats", "uii-c2-17V"])
def test_a_printed_symbol_reads_back_as_the_same_label(name, symbology):
    case = _by_id(name)
    if symbology == "Code128" and len(case["input"]) > 60:
        symbology = "PDF417"
    more = {"force_square": True} if symbology == "DataMatrix" else {}
    symbol = zxingcpp.create_barcode(case["input"], zxingcpp.BarcodeFormat[symbology], **more)
    decoded = zxingcpp.read_barcode(symbol.to_image(scale=4), text_mode=zxingcpp.TextMode.Plain)
    seen, expected = read_label(decoded.symbology_identifier + decoded.text), read_label(case["input"])
    assert seen.symbology and seen.ok
    assert (seen.elements, seen.identity, seen.warnings) == (expected.elements, expected.identity, expected.warnings)


@pytest.mark.parametrize("wanted", ["DataMatrix", "QRCode", "Code128"])
def test_a_printed_gs1_symbol_reads_as_gs1(wanted):
    text = _by_id(f"lib-zx-gs1-{wanted}")["input"]
    symbol = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat[wanted], gs1=True)
    decoded = zxingcpp.read_barcode(symbol.to_image(scale=4), text_mode=zxingcpp.TextMode.Plain)
    label = read_label(decoded.symbology_identifier + decoded.text)
    assert (label.syntax, label.warnings) == ("gs1-elements", ())
    assert identity_key(label.identity) == ("sgtin", "", "09506000134352", "AB-0012")


def test_a_printed_gs1_symbol_with_a_wrong_digit_is_refused_though_the_printer_took_it():
    symbol = zxingcpp.create_barcode(
        _by_id("lib-zx-gs1-badcheck")["input"], zxingcpp.BarcodeFormat.QRCode, gs1=True, ec_level="Q"
    )
    decoded = zxingcpp.read_barcode(symbol.to_image(scale=4), text_mode=zxingcpp.TextMode.Plain)
    assert read_label(decoded.symbology_identifier + decoded.text).error == "check_digit"


def test_every_case_is_run_here_or_named_as_run_elsewhere():
    left = [case for case in CASES if case not in HERE]
    homeless = [case["id"] for case in left if adapters.group_of(case, adapters.ELSEWHERE) is None]
    assert homeless == []
    assert len(HERE) > 150 and len({case["id"] for case in CASES}) == len(CASES)


#: What a case of printing or of other people's programs has in place of a text: words about it, or a call.
NO_TEXT = ("qr-", "dm-", "c128-", "lib-zx-unknown-kw", "lib-zx-ec-percent", "lib-zx-macro", "lib-zx-nonascii", "lib-min-pixels", "lib-damage")  # fmt: skip
PRINTED = ("lib-zx-gs1-DataMatrix", "lib-zx-gs1-QRCode", "lib-zx-gs1-Code128", "lib-zx-gs1-badcheck")


def test_every_case_about_input_text_passes_the_reader_of_labels():
    """Read as it is, as a piece of a whole scan, as a decoder hands it over, as printed, or two beside each other."""
    read = {
        case["id"]
        for case in CASES
        if adapters.GROUPS.get(adapters.group_of(case, adapters.GROUPS)) is adapters.read_label
    }
    read |= {case["id"] for case in [*PIECES, *DECODED]} | {
        case["id"] for case in CASES if isinstance(case["input"], list)
    }
    read |= {*PRINTED, "uii-length-50", "qr-url-30"}
    left = {case["id"] for case in CASES} - read
    assert sorted(name for name in left if not name.startswith(NO_TEXT)) == []


MESSAGES = json.loads((adapters.DATA / "identification.json").read_text("utf-8"))["meta"]["messages"]


@pytest.mark.parametrize("error", MESSAGES)
def test_every_message_to_the_operator_has_its_two_sentences_and_loses_no_fact(error: str):
    facts = {name: f"«{name}»" for name in ("format", "qualifier", "expected", "missing")}
    told = " ".join(say(error, **facts))
    for name, mark in facts.items():
        assert mark in told or f"{{{name}}}" not in MESSAGES[error], (error, name)
    message, next_step = say(error, **facts)
    assert message.endswith(".") and next_step.endswith("."), error


def test_every_refusal_of_the_cases_has_its_sentence():
    wanted = {case["expect"]["error"] for case in HERE if case["expect"].get("error")}
    assert wanted <= SAYINGS.keys()
    for error in wanted:
        message, next_step = say(error, format="07", qualifier="01", expected="5", missing="01", sentence="x")
        assert message and next_step


def test_every_warning_of_the_cases_has_its_sentence():
    for case in HERE:
        for warning in case["expect"].get("warnings", []):
            assert say_warning(warning).endswith(".")
