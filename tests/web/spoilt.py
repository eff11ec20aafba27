"""What people, scanners and programs send wrongly, and the sentence each fault is told in: one table for every door."""

from typing import Any, NamedTuple

from tests.web.doors import Doors


class Spoilt(NamedTuple):
    """A lawful act with one field spoilt: `text` in place of `field`, refused as `code` with `says` in its sentence."""

    act: str
    field: str
    text: str
    code: str
    says: str
    status: int = 422


TEXTS = [
    Spoilt(
        "place_hold",
        "reason",
        "x" * 4001,
        "wrong_form",
        "What you saw: This is 4,001 characters long; at most 4,000 are kept.",
    ),
    Spoilt(
        "place_hold",
        "reason",
        "x" * 500_000,
        "wrong_form",
        "What you saw: This is 500,000 characters long; at most 4,000 are kept.",
    ),
    Spoilt(
        "place_hold",
        "reason",
        "a\x00b",
        "wrong_form",
        "What you saw: This holds a control character (U+0000). Take it out.",
    ),
    Spoilt("place_hold", "reason", "a\x1bb", "wrong_form", "This holds a control character (U+001B). Take it out."),
    Spoilt("place_hold", "reason", "a\u202eb", "wrong_form", "This holds a control character (U+202E). Take it out."),
    Spoilt("place_hold", "reason", "  \n ", "wrong_form", "What you saw: This is empty. Leave it out or fill it in."),
    Spoilt(
        "add_site", "site", "South\nquay", "wrong_form", "Name: This holds a control character (U+000A). Take it out."
    ),
    Spoilt("place_hold", "cause", "magic", "wrong_form", "Cause: choose one of"),
    Spoilt("add_bay", "letter", "AB", "wrong_form", "Letter: "),
]
INSTANTS = [
    Spoilt(
        "note_fault",
        "happened_at",
        "1969-12-31T23:59:59Z",
        "wrong_form",
        "1969-12-31T23:59:59Z is before 2000, when no record of this kind can begin. Look at the year.",
    ),
    Spoilt(
        "note_fault", "happened_at", "2999-01-01T00:00:00Z", "wrong_form", "lies in the far future. Look at the year."
    ),
    Spoilt(
        "note_fault",
        "happened_at",
        "2026-05-20T12:05:01Z",
        "in_the_future",
        "is 5 minutes ahead of this registry’s clock (20 May 2026, 12:00 UTC).",
        409,
    ),
    Spoilt(
        "note_fault",
        "happened_at",
        "2027-05-20T12:00:00Z",
        "in_the_future",
        "is 365 days ahead of this registry’s clock",
        409,
    ),
    Spoilt(
        "note_fault",
        "happened_at",
        "2026-05-18T09:00:00-00:00",
        "wrong_form",
        "The offset -00:00 means that the local time is not known. Enter Z for UTC.",
    ),
    Spoilt("note_fault", "happened_at", "2026-02-30T09:00:00Z", "wrong_form", "is not a day and time that exists."),
    Spoilt(
        "note_fault",
        "happened_at",
        "2026-05-18T09:00:60Z",
        "wrong_form",
        "This is a leap second, which cannot be kept. Enter the second before it.",
    ),
    Spoilt(
        "note_fault", "happened_at", "2026-05-18T09:00:00+25:00", "wrong_form", "is not a day and time that exists."
    ),
    Spoilt(
        "note_fault",
        "happened_at",
        "20260518T090000+0000",
        "wrong_form",
        "Give the instant with its offset, like 2026-05-04T09:12:00+02:00.",
    ),
    Spoilt("record_training", "trained_on", "2026-02-30", "wrong_form", "2026-02-30 is not a day that exists."),
    Spoilt(
        "record_training",
        "trained_on",
        "1969-01-01",
        "wrong_form",
        "is not a day this registry can hold. Look at the year.",
    ),
    Spoilt("record_training", "trained_on", "1 May 2026", "wrong_form", "This is a day: give it like 2026-05-04."),
    Spoilt(
        "record_training",
        "trained_on",
        "2026-05-21",
        "in_the_future",
        "21 May 2026 has not come yet. Enter the day the training was had.",
        409,
    ),
]
FIGURES = [
    Spoilt(
        "record_leak_test",
        "start_mbar",
        "7,5",
        "wrong_form",
        "'7,5' is not a figure. Write digits with a point, like 7.2.",
    ),
    Spoilt("record_leak_test", "start_mbar", "1e3", "wrong_form", "'1e3' is not a figure."),
    Spoilt("record_leak_test", "start_mbar", "NaN", "wrong_form", "'NaN' is not a figure."),
    Spoilt("record_leak_test", "start_mbar", "٧٥٠", "wrong_form", "is not a figure."),
    Spoilt("record_leak_test", "start_mbar", "9" * 400, "wrong_form", "is not a figure."),
    Spoilt(
        "record_leak_test", "start_mbar", "2001", "wrong_form", "2001 is too high; the most that makes sense is 2000."
    ),
    Spoilt("record_leak_test", "start_c", "-41", "wrong_form", "-41 is too low; the least that makes sense is -40."),
    Spoilt("record_leak_test", "hold_min", "0", "wrong_form", "0 is too low; it must be more than 0."),
    Spoilt("add_site", "offset_min", "12.5", "wrong_form", "Minutes east of UTC: this must be a whole number."),
    Spoilt(
        "add_site",
        "offset_min",
        "1440",
        "wrong_form",
        "Minutes east of UTC: this number must be less than or equal to 1439.",
    ),
    Spoilt("add_site", "offset_min", "9" * 60, "wrong_form", "Minutes east of UTC: this must be a whole number."),
]
LABELS = [
    Spoilt("note_fault", "half", "K0000000", "unreadable_label", "fails its check character: one letter was misread."),
    Spoilt("note_fault", "half", "{unborne}", "unknown_label", "No half in the registry bears"),
    Spoilt("note_fault", "half", "KIIIIIII", "unreadable_label", "I is never in one of our codes; is it a one?"),
    Spoilt("note_fault", "half", "{teasel A}", "unknown_label", "is a bay, not a half. Scan the half."),
    Spoilt("note_fault", "half", "S-pI", "unknown_label", "Near it: sensor half"),
    Spoilt("note_fault", "half", "https://elsewhere.example/I/{p1 s}", "foreign_address", ""),
    Spoilt(
        "note_fault",
        "half",
        "javascript:alert(1)",
        "unknown_label",
        "No half in the registry bears “javascript:alert(1)”.",
    ),
    Spoilt("note_fault", "half", "[)>06", "unreadable_label", ""),
    Spoilt(
        "note_fault", "half", "x" * 1001, "wrong_form", "This is 1,001 characters long; no label holds more than 1,000."
    ),
    Spoilt("note_fault", "half", "'; DROP TABLE half; --", "unknown_label", "No half in the registry bears"),
    Spoilt("note_fault", "half", "019e0000-0000-7000-8000-000000000000", "unknown_label", "No half has the id"),
    Spoilt(
        "accept_type",
        "unit_type",
        "Thistle",
        "unknown_label",
        "No unit type is called “Thistle”. Known: Ardlune Reed, Ardlune Rush, Ardlune Sedge.",
    ),
    Spoilt("move_vehicle", "vehicle", "{p1 s}", "unknown_label", "is a half, not a vehicle. Scan the vehicle."),
    Spoilt("open_housing", "housing", "nowhere", "unknown_label", "No housing is called “nowhere”."),
    Spoilt(
        "release_hold",
        "hold",
        "nothing",
        "unknown_label",
        "“nothing” is not the id of a hold. Choose it on the page it stands on.",
    ),
    Spoilt(
        "install_pair", "sensor", "https://pairbook.example/i/{p5 s}/2", "copy_label", "This is copy 2 of the label of"
    ),
]
EVERYWHERE = TEXTS + INSTANTS + FIGURES + LABELS

#: What only a program can send: values of other types.
TYPES: list[tuple[str, str, Any, str, str]] = [
    ("place_hold", "reason", 7, "wrong_form", "What you saw: This is text: send it in quotes."),
    ("place_hold", "reason", None, "wrong_form", "What you saw: This is text: send it in quotes."),
    ("place_hold", "reason", ["a"], "wrong_form", "What you saw: This is text: send it in quotes."),
    ("place_hold", "reason", {"a": 1}, "wrong_form", "What you saw: This is text: send it in quotes."),
    ("place_hold", "pair", 7, "wrong_form", "Pair: This is the text of a label: send it in quotes."),
    ("note_fault", "half", True, "wrong_form", "Half: This is the text of a label: send it in quotes."),
    (
        "note_fault",
        "happened_at",
        1779280000,
        "wrong_form",
        "Done at: This is an instant: send text like 2026-05-04T09:12:00+02:00.",
    ),
    ("record_training", "trained_on", 20260501, "wrong_form", "Trained on: This is a day: send text like 2026-05-04."),
    (
        "record_leak_test",
        "start_mbar",
        7.5,
        "wrong_form",
        'This is a figure: send it as text, like "7.2", so that no digit is lost.',
    ),
    (
        "record_leak_test",
        "start_mbar",
        True,
        "wrong_form",
        'This is a figure: send it as text, like "7.2", so that no digit is lost.',
    ),
    ("record_leak_test", "electronics_on", "yes", "wrong_form", "Electronics were on: this must be true or false."),
    ("add_site", "offset_min", "60", "wrong_form", "Minutes east of UTC: this must be a whole number."),
    ("add_site", "offset_min", 1.5, "wrong_form", "Minutes east of UTC: this must be a whole number."),
    ("move_halves", "halves", "K1", "wrong_form", "Halves: this must be a list."),
    ("move_halves", "halves", [], "wrong_form", "Halves: give at least 1."),
    ("move_halves", "halves", ["x"] * 201, "wrong_form", "Halves: at most 200 can be given at once."),
    ("move_halves", "halves", [["x"]], "wrong_form", "Halves: This is the text of a label: send it in quotes."),
    ("amend_times", "changes", ["x"], "wrong_form", "Changes: this must be an object with named fields."),
    (
        "amend_times",
        "changes",
        [{"act": "x", "instant": "installed", "at": "2026-05-10T09:00:00Z"}],
        "wrong_form",
        "An act’s id is a UUID of version 7 in lower case.",
    ),
    ("note_fault", "id", "0" * 36, "wrong_form", "Act id: An act’s id is a UUID of version 7 in lower case."),
    ("note_fault", "id", 7, "wrong_form", "Act id: An act’s id is a UUID of version 7 in lower case."),
    ("note_fault", "seen", -1, "wrong_form", "Log size seen: this number must be greater than or equal to 0."),
    ("note_fault", "seen", 2**53, "wrong_form", ""),
    ("note_fault", "words", "\ud800", "wrong_form", "a text is broken"),
    ("add_person", "private", "Lise", "missing_field", "“Name” is missing."),
    (
        "add_person",
        "private",
        {"name": "\ud800"},
        "wrong_form",
        "Name: This holds half a character, which cannot be kept. Type it again.",
    ),
    (
        "add_person",
        "private",
        {"name": "Lise", "shoe": 42},
        "unknown_field",
        "“shoe” is not a field here. The fields are: badge, name.",
    ),
    ("note_fault", "private", {"name": "Lise"}, "unknown_field", "note_fault has no private part."),
    (
        "note_fault",
        "colour",
        "red",
        "unknown_field",
        "“colour” is not a field here. The fields are: half, happened_at, id, seen, words.",
    ),
    ("note_fault", "x" * 1_000_000, 1, "unknown_field", "is not a field here."),
]


def spelt(doors: Doors, text: str) -> str:
    """`{p1 s}` is that half's code; `{unborne}` a good code that nothing bears."""
    from registry.domain.codes import draw_code

    if "{unborne}" in text:
        return draw_code("Z", lambda n: 7 % n)
    for name in ("p1 s", "p5 s", "teasel A"):
        text = text.replace("{" + name + "}", doors.code(name)) if "{" + name + "}" in text else text
    return text


def shown(case: Spoilt) -> str:
    return f"{case.act} {case.field} {case.text[:24]!r}"
