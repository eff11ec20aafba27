"""Sightings: what was found in a bay against what the record has there, and which ends are told of a difference."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from registry.domain.matches import Half
from registry.domain.units import KINDS


@dataclass(frozen=True, slots=True)
class Difference:
    """One end of a difference: a bay that holds something else than recorded, or a half that is not where it should be."""

    bay: str | None
    half: str | None
    words: str


def differences(
    here: str,
    here_words: str,
    expected: Mapping[str, Half],
    found: Mapping[str, Half],
    bays: Mapping[str, str],
    places: Mapping[str, str],
) -> list[Difference]:
    """Every end to tell. `bays` is half -> the bay the record has it in, `places` half -> where in words.

    Nothing is moved by it: the record stands until an act settles each end.
    """
    if set(expected) == set(found):
        return []
    seen = " and ".join(half.say() for half in found.values()) or "nothing"
    kept = " and ".join(half.say() for half in expected.values()) or "nothing"
    ends = [Difference(here, None, f"{here_words}: the record has {kept}; sighted was {seen}.")]
    for id_, half in found.items():
        if id_ not in expected:
            ends.append(
                Difference(
                    bays.get(id_),
                    id_,
                    f"{half} was sighted in {here_words}; the record has it {places.get(id_, 'nowhere')}.",
                )
            )
    for id_, half in expected.items():
        if id_ not in found:
            ends.append(Difference(here, id_, f"{half} was not sighted in {here_words}, where the record has it."))
    return ends


def two_of_a_kind(halves: Iterable[Half]) -> tuple[Half, ...]:
    """Different halves of one kind among those that were scanned in one bay: it holds one of each, so somebody must say which."""
    by: dict[str, dict[str, Half]] = {kind: {} for kind in KINDS}
    for one in halves:
        by[one.kind][one.id] = one
    return next((tuple(alike.values()) for alike in by.values() if len(alike) > 1), ())


def say_two_of_a_kind(kind: str, named: Iterable[str]) -> str:
    """`Both are sensor halves: HTEX YA3X and HHFV DHBJ. A bay holds one of each kind.`"""
    listed = list(named)
    both = "Both" if len(listed) == 2 else f"All {len(listed)}"
    return f"{both} are {kind} halves: {' and '.join(listed)}. A bay holds one of each kind."
