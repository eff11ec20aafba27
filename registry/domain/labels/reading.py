"""The order in which a scan is tried: envelope, our own address, web link, GS1, printed brackets, plain text."""

import unicodedata
from collections.abc import Iterable

from registry.domain.codes import code_in_url, looks_like_code, read_code
from registry.domain.labels import gs1, wedge
from registry.domain.labels.aim import Aim, split_aim
from registry.domain.labels.envelope import split_message
from registry.domain.labels.fields import DATA_IDENTIFIERS, check_value, read_data_element, read_fields
from registry.domain.labels.identity import LONGEST_UII, derive_identity, identity_key, warnings_about
from registry.domain.labels.label import Candidate, Draft, Label
from registry.domain.labels.near import HYPHENS
from registry.domain.labels.sayings import Unreadable
from registry.domain.labels.weblinks import is_address, read_digital_link

#: The most characters any symbol holds: digits in the largest QR symbol (ISO/IEC 18004).
LONGEST_TEXT = 7089
#: What is trimmed from typed text. `str.strip` would also take RS and GS, which mean something here.
_OUTER = " \t\r\n\u00a0\u202f"
_BREAKS = ("\r", "\n", "\t")


def read_label(text: str, *, hosts: Iterable[str] = (), typed: bool = False, family: str | None = None) -> Label:
    """Read one scan or typed text. Never raises on text, never asks the network, never guesses or corrects.

    `hosts` are the hosts whose `/I/` addresses are ours, former ones included. `typed` says that a person typed
    the text: both ends are trimmed. `family` names how this scanner spells GS in GS1 symbols (a key of
    `wedge.FAMILIES`); a text with an envelope shows its own spelling. The order of the attempts, the spellings and
    the rules are those of ISO/IEC 15434, ISO/IEC 15418, ISO/IEC 15424, MIL-STD-130N and GS1, as far as public
    documents give them.
    """
    draft = Draft(text)
    try:
        return _read(draft, hosts, typed, family)
    except Unreadable as why:
        return draft.refused(why)


def _read(draft: Draft, hosts: Iterable[str], typed: bool, family: str | None) -> Label:
    body = wedge.strip_end(draft.text)
    if typed:
        body = body.strip(_OUTER)
    aim = split_aim(body)
    draft.symbology = aim.symbology
    if not aim.data.strip(_OUTER):
        raise Unreadable("empty")
    if len(aim.data) > LONGEST_TEXT:
        raise Unreadable("too_long")
    if aim.symbology and aim.symbology in aim.data:
        raise Unreadable("two_labels")
    wedge.refuse_other_layout(aim.data)
    _refuse_broken_opening(aim)
    if aim.data.startswith(wedge.OPENING):
        return _read_envelope(aim.data, draft)
    if is_address(aim.data):
        return _read_address(aim.data, hosts, draft)
    if aim.gs1:
        return _read_gs1(aim.data, family, draft)
    if aim.symbology is None and (elements := gs1.read_brackets(aim.data)):
        draft.syntax, draft.elements = "gs1-hri", elements
        draft.warn("typed_from_text")
        gs1.check_elements(draft)
        return _with_identity(draft)
    return _read_plain(aim, draft)


def _refuse_broken_opening(aim: Aim) -> None:
    """Refuse text with the marks of an envelope whose opening does not stand first."""
    place = aim.data.find(wedge.OPENING)
    if place > 0:
        headers = (family.header for family in wedge.FAMILIES.values())
        whole = any(header.match(aim.data, place) for header in headers)
        raise Unreadable("two_labels" if whole else "header_order")
    if place == 0 or aim.gs1 or not set(aim.data) & {wedge.RS, wedge.GS, wedge.EOT}:
        return
    raise Unreadable("header_order" if sorted(aim.data[:3]) == sorted(wedge.OPENING) else "no_header")


def _read_envelope(text: str, draft: Draft) -> Label:
    draft.syntax = "iso15434"
    draft.family, normal = wedge.normalise(text)
    formats, warnings = split_message(normal)
    draft.format = "+".join(indicator for indicator, _ in formats)
    draft.warn(*warnings)
    for indicator, content in formats:
        _refuse_strange_characters(content.replace(wedge.GS, ""))
        if indicator == "DD":
            draft.warn("legacy_format_dd")
        if indicator == "05":
            _read_gs1_format(content, draft)
        else:
            read_fields(content, draft, as_text=indicator != "06")
    return _with_identity(draft)


def _read_gs1_format(content: str, draft: Draft) -> None:
    if not content:
        raise Unreadable("empty_element")
    start = len(draft.elements)
    gs1.split_elements(content, draft)
    gs1.check_elements(draft, start)


def _read_gs1(data: str, family: str | None, draft: Draft) -> Label:
    draft.syntax = "gs1-elements"
    if family in wedge.FAMILIES:
        data = wedge.FAMILIES[family].normal(data)
    elif spelling := wedge.spelling_of_gs(data):
        raise Unreadable("spelled_separators", spelling=spelling)
    # Some readers send the FNC1 that opens the symbol as GS, too.
    if data.startswith(wedge.GS):
        data = data[1:]
        draft.warn("leading_separator")
    _refuse_strange_characters(data.replace(wedge.GS, ""))
    gs1.split_elements(data, draft)
    gs1.check_elements(draft)
    if gs1.separator_may_be_lost(data, draft.elements):
        draft.warn("possible_lost_separator")
    return _with_identity(draft)


def _read_address(text: str, hosts: Iterable[str], draft: Draft) -> Label:
    _refuse_strange_characters(text)
    try:
        marked = code_in_url(text, hosts)
    except ValueError as misread:
        raise Unreadable("code_misread", sentence=str(misread)) from None
    if marked:
        draft.syntax = "own-url"
        return draft.finished(code=marked.code, copy=marked.copy)
    if not read_digital_link(text, draft):
        raise Unreadable("url_not_ours")
    return _with_identity(draft)


def _with_identity(draft: Draft) -> Label:
    """Judge what the fields have in common, and finish with the identity they give."""
    fields: dict[str, str] = {}
    for qualifier, value in draft.elements:
        if fields.setdefault(qualifier, value) != value:
            raise Unreadable("conflicting_values", qualifier=qualifier)
    if len(fields) < len(draft.elements):
        draft.warn("repeated_field")
    if any(value != value.strip(" ") for value in fields.values()):
        draft.warn("outer_space")
    if "tei_without_space" in draft.warnings:
        # Where name and value part is then a convention, not a fact: the fields are shown and a person decides.
        draft.candidates.extend(Candidate("field", e.value, e.qualifier) for e in draft.elements)
        return draft.finished(needs_person=True)
    identity = derive_identity(fields)
    draft.warn(*warnings_about(identity, fields))
    return draft.finished(identity=identity, needs_person=identity_key(identity) is None)


def _read_plain(aim: Aim, draft: Draft) -> Label:
    """A bare text. It may be a serial, one field of a label or one of our codes: a person or the record decides."""
    text = aim.data
    draft.syntax, draft.needs_person = "plain", True
    if aim.retail:
        raise Unreadable("no_serial")
    _refuse_hidden_characters(text)
    if text != text.strip(_OUTER):
        draft.warn("outer_space")
    if set(text) & HYPHENS - {"-"}:
        draft.warn("unicode_hyphen")
    if not all(c.isascii() or c in HYPHENS for c in text):
        draft.warn("not_ascii")
    if len(text) > LONGEST_UII:
        draft.warn("over_78")
    draft.candidates.append(Candidate("plain", text))
    draft.candidates.extend(_as_field(text) + _as_code(text))
    return draft.finished()


def _as_field(text: str) -> list[Candidate]:
    """The text as one field, when it starts with a known identifier and has the form that goes with it.

    Of the single letters only S is offered: the others begin far too many serial numbers.
    """
    try:
        element = read_data_element(text)
    except Unreadable:
        return []
    offered = element.qualifier == "S" or (len(element.qualifier) > 1 and element.qualifier in DATA_IDENTIFIERS)
    return [Candidate("field", element.value, element.qualifier)] if offered and not check_value(element) else []


def _as_code(text: str) -> list[Candidate]:
    if not looks_like_code(text):
        return []
    try:
        return [Candidate("code", read_code(text))]
    except ValueError:
        return []


def _refuse_strange_characters(text: str) -> None:
    """Labels with fields hold printable ASCII and nothing else."""
    if any(c < " " or c == "\x7f" for c in text):
        raise Unreadable("control_in_value")
    if not text.isascii():
        raise Unreadable("not_ascii")


def _refuse_hidden_characters(text: str) -> None:
    """Plain text may hold any letter, but none that cannot be seen: two texts that look alike would differ."""
    inner = text.strip("".join(_BREAKS))
    if any(mark in inner for mark in _BREAKS):
        raise Unreadable("two_labels")
    categories = {unicodedata.category(c) for c in text}
    if "Cc" in categories:
        raise Unreadable("control_in_value")
    if categories & {"Cf", "Cs", "Co", "Cn", "Zl", "Zp"}:
        raise Unreadable("not_ascii")
