"""What script may sound and shake beside a verdict (static/tones.js); the words on the page say the same."""

from registry.queries.tray import Tray

WHOLE, STOPS, READ, NOTHING = "whole", "stops", "read", ""
_NEVER_JOINED = ("mixed", "same_kind", "former")


def tone_of_tray(lying: Tray) -> str:
    """Of what lies on the bench: whole when every half has its partner there."""
    if lying.held or lying.verdict in _NEVER_JOINED:
        return STOPS
    whole = lying.verdict == "whole" or (lying.verdict == "heap" and lying.heap and not lying.heap.apart)
    return WHOLE if whole else READ if lying.things else NOTHING


def tone_of_seat(lying: Tray | None) -> str:
    """Of what was scanned in place: whole only when it may be signed. A copy of a label proves no place."""
    if lying is None:
        return NOTHING
    if lying.not_two_halves and lying.verdict not in _NEVER_JOINED:
        return READ
    return STOPS if lying.not_accepted or lying.verdict != "whole" else tone_of_tray(lying)


def tone_of_lift(lying: Tray | None, recorded: bool) -> str:
    """Of what was lifted: whole when it is what the record has there."""
    if lying is None:
        return NOTHING
    return WHOLE if recorded else READ if lying.not_two_halves else STOPS
