"""Near matches: serials that differ only as people and readers err. They are listed beside a scan, never picked."""

import re
from collections.abc import Iterable

#: Characters that are mistaken for one another, as they are named to the operator.
_ALIKE = {"O/0": "Oo0", "1/I/l": "1IiLl", "S/5": "Ss5", "B/8": "Bb8", "Z/2": "Zz2"}
#: The hyphen on the keyboard and those that word processors put in its place.
HYPHENS = frozenset("-\u2010\u2011\u2012\u2013\u2014\u2015\u2043\u2212\ufe58\ufe63\uff0d")
_GROUP_OF = {character: name for name, group in _ALIKE.items() for character in group}
_FOLD = {ord(character): name for name, group in _ALIKE.items() for character in group}
_FOLD = {code: name[-1] if name[-1].isdigit() else name[0] for code, name in _FOLD.items()}
_FOLD |= {ord(hyphen): "-" for hyphen in HYPHENS}
_LEADING_ZEROS = re.compile(r"(?<![0-9])0+(?=[0-9])")


def _fold(text: str) -> str:
    return text.translate(_FOLD).upper()


def fold_key(text: str) -> str:
    """A key that all near matches of a text share, to be stored and indexed beside it.

    It is wider than the rule of `near_matches`: it drops every zero, so that leading zeros of a run of digits
    fall away wherever the run starts. Rows found by it are handed to `near_matches`, which decides.
    """
    return _fold(text).replace("0", "")


def near_matches(text: str, known: Iterable[str]) -> list[str]:
    """The texts of `known` that are not `text` but may be meant by it, in their order; each is named once.

    They differ in case, in O/0, 1/I/l, S/5, B/8 or Z/2, in the kind of hyphen, or in leading zeros of a run of
    digits. `known` is best narrowed by `fold_key` beforehand.
    """
    key = fold_key(text)
    return [other for other in dict.fromkeys(known) if fold_key(other) == key and differences(text, other)]


def differences(one: str, other: str) -> list[str]:
    """Why two texts are near matches, as warnings; none when they are equal or simply different.

    `differs_only_in_case` stands alone; otherwise `case`, `confusable:O/0` (and so on), `unicode_hyphen` and
    `leading_zeros` name everything that was overlooked.
    """
    if one == other:
        return []
    if _fold(one) == _fold(other):
        return _named(one, other)
    shorter, short_other = _LEADING_ZEROS.sub("", one), _LEADING_ZEROS.sub("", other)
    if _fold(shorter) == _fold(short_other):
        return [*_named(shorter, short_other), "leading_zeros"]
    return []


def _named(one: str, other: str) -> list[str]:
    if one.upper() == other.upper():
        return ["differs_only_in_case"] if one != other else []
    pairs = [(a, b) for a, b in zip(one, other, strict=False) if a != b]
    alike = [name for name in _ALIKE if any(_confused(pair) == name for pair in pairs)]
    names = [f"confusable:{name}" for name in alike]
    if any(set(pair) <= HYPHENS for pair in pairs):
        names.append("unicode_hyphen")
    if any(a.upper() == b.upper() for a, b in pairs):
        names.append("case")
    return names


def _confused(pair: tuple[str, str]) -> str | None:
    """The group two characters are confused in, unless they are one letter in two cases."""
    one, other = pair
    group = _GROUP_OF.get(one)
    return group if group == _GROUP_OF.get(other) and one.upper() != other.upper() else None
