"""What the operator is told: one sentence for what is so and why, one for what to do next."""


class Unreadable(Exception):
    """The text cannot be read, for the reason `error` of SAYINGS, whose sentence `facts` fill. Stays in the package."""

    def __init__(self, error: str, **facts: str):
        self.error, self.facts = error, facts
        super().__init__(error)


_BY_HAND = "Scan again; if it repeats, type the maker, part and serial by hand."
_ONE_SCAN = "Clear the field and scan once."

SAYINGS: dict[str, tuple[str, str]] = {
    "empty": ("Nothing was read.", "Scan again."),
    "too_long": ("This is more text than one symbol holds: several scans ran together.", _ONE_SCAN),
    "no_header": (
        "The text has separators but no opening [)>, so its fields cannot be named. Nothing was stored.",
        _BY_HAND,
    ),
    "header_order": (
        "The opening of the label is out of order: [)>, RS, format and GS belong there. Nothing was stored.",
        "Scan again; if it repeats, type it by hand and report the label.",
    ),
    "format_not_supported": (
        "Label format {format} is not a part label; 05, 06 and 12 are.",
        "Look for another symbol on the part.",
    ),
    "controls_lost": (
        "The scanner dropped the separators, so the fields cannot be told apart. Nothing was stored.",
        "Use the camera, or set the scanner to send {{RS}}, {{GS}} and {{EOT}}.",
    ),
    "mixed_separators": (
        "The separators came in two spellings, so one of them may be part of a field. Nothing was stored.",
        "Check the scanner settings and scan again.",
    ),
    "spelled_separators": (
        "The separators came spelled out as {spelling}, which may also be part of a field. Nothing was stored.",
        "Use the camera, or name this spelling in the scanner settings.",
    ),
    "end_not_seen": ("The end of the label was not read; the last field may be cut short.", "Scan again."),
    "trailer_order": ("The end of the label is out of order.", "Scan again; if it repeats, type it by hand."),
    "data_after_end": ("There is text after the end of the label.", _ONE_SCAN),
    "two_labels": ("Two labels were scanned into one field.", "Clear the field and scan one at a time."),
    "empty_element": ("A field on the label is empty.", "Type the label by hand."),
    "empty_value": ("Field {qualifier} has no value.", "Scan again; if it repeats, type the label by hand."),
    "unknown_field": (
        "A field on the label does not start with a field name, so a separator may be lost. Nothing was stored.",
        _BY_HAND,
    ),
    "conflicting_values": (
        "Field {qualifier} appears twice with different values. Nothing was stored.",
        "Read the plate, type the label by hand and report it.",
    ),
    "qualifier_lower_case": (
        "The field names came in lower case, as they do when Caps Lock is on. Nothing was stored.",
        "Switch Caps Lock off and scan again.",
    ),
    "keyboard_layout": (
        "The scanner and this computer use different keyboard layouts. Nothing was stored.",
        "Set both to the same layout, or use the camera.",
    ),
    "no_serial": (
        "This label has no serial number, as on a bag or a box.",
        "Scan the label on the part.",
    ),
    "identity_incomplete": (
        "The label does not say {missing_in_words}.",
        "Choose it on screen; it will be marked as added by you.",
    ),
    "check_digit": (
        "The check digit of {qualifier} is wrong: {expected} is expected.",
        "Scan again; do not correct it by hand.",
    ),
    "value_too_long": (
        "Field {qualifier} is longer than its standard allows; a separator was probably lost.",
        _BY_HAND,
    ),
    "field_form": ("Field {qualifier} does not have the form its standard gives.", _BY_HAND),
    "bad_date": ("The date in field {qualifier} does not exist.", "Scan again; if it repeats, report the label."),
    "charset": ("Field {qualifier} holds a character that is not allowed there.", _BY_HAND),
    "qualifier_order": ("The fields of this web label are out of order.", _BY_HAND),
    "url_not_ours": ("This web address is not one of our labels. It was not opened.", "Scan the label on the part."),
    "code_misread": ("{sentence}", ""),
    "not_ascii": ("The text holds characters that no label prints.", "Scan the symbol; do not paste its text."),
    "control_in_value": ("A value holds a control character.", "Scan again."),
    "same_unit_twice": ("Both scans are the same unit.", "Scan the other half."),
}

#: What a warning means, for the place where the label is shown.
WARNINGS: dict[str, str] = {
    "legacy_format_dd": "The label uses the old format mark DD; it was read as format 12.",
    "tei_without_space": "The field names are not followed by a space, so a person must confirm the fields.",
    "eot_missing": "The last character of the label was lost; the fields are complete.",
    "format_trailer_missing": "The mark before the end of the label was lost; the fields are complete.",
    "needless_separator": "The label has a separator before its end.",
    "leading_separator": "The scanner sent a separator before the first field.",
    "repeated_field": "A field appears twice with the same value.",
    "possible_lost_separator": "The last field may hold two: no separator was seen. Compare it with the plate.",
    "typed_from_text": "This was read from the printed text, not from the symbol.",
    "gtin_padded": "The product number was filled to 14 digits with zeros.",
    "lot_not_in_identity": "The label names a part and a lot; the part identifies the unit.",
    "several_makers": "The label names several makers; the first in the order of the standard counts.",
    "cage_length": "A CAGE code has five characters; the one on this label has not.",
    "cage_letter": "A CAGE code never holds I or O; the one on this label does.",
    "duns_form": "A DUNS number has nine digits; the one on this label has not.",
    "bad_week": "The week on the label does not exist; it is kept as text.",
    "bad_date": "The date on the label does not exist; it is kept as text.",
    "bad_country": "The country on the label is not two letters; it is kept as text.",
    "bad_quantity": "The quantity on the label is not a number; it is kept as text.",
    "uii_over_50": "The joined identity is longer than 50 characters.",
    "over_78": "The text is longer than 78 characters, too long for a serial number.",
    "outer_space": "The value starts or ends with a space, which was kept.",
    "unicode_hyphen": "The text holds a typographic hyphen in place of the plain one.",
    "not_ascii": "The text holds characters beyond plain letters and digits. Compare it with the plate.",
    "differs_only_in_case": "The two differ in capitals only.",
    "case": "The two also differ in capitals.",
    "leading_zeros": "The two differ in leading zeros.",
    "confusable": "The two differ in characters that look alike: {pair}.",
}

_MISSING = {
    "01": "which product it is (field 01)",
    "1P or 1T": "the part number",
    "8011": "the serial number of the component (field 8011)",
    "enterprise": "the maker",
    "enterprise and 1P or 1T": "the maker and the part number",
    "serial": "the serial number",
}


def say(error: str, **facts: str) -> tuple[str, str]:
    """The two sentences of an error: what is so and why, and what to do next."""
    words = {"missing_in_words": _MISSING.get(facts.get("missing", ""), facts.get("missing", ""))}
    message, next_step = SAYINGS[error]
    return message.format(**facts, **words), next_step.format()


def say_warning(code: str) -> str:
    """The sentence of a warning; `confusable:O/0` names the characters."""
    name, _, pair = code.partition(":")
    return WARNINGS[name].format(pair=pair)
