"""Reading labels: what a scanner sent or a person typed, turned into the unit it names, or into a clear refusal.

Pure: no row, clock or network. Nothing is corrected and nothing is guessed; where a text may mean several things,
all of them are candidates and a person chooses.
"""

from registry.domain.labels.completion import complete, same_unit
from registry.domain.labels.identity import Identity, IdentityKey, identity_key
from registry.domain.labels.label import Candidate, Element, Label
from registry.domain.labels.near import differences, fold_key, near_matches
from registry.domain.labels.reading import read_label
from registry.domain.labels.sayings import say, say_warning

__all__ = [
    "Candidate",
    "Element",
    "Identity",
    "IdentityKey",
    "Label",
    "complete",
    "differences",
    "fold_key",
    "identity_key",
    "near_matches",
    "read_label",
    "same_unit",
    "say",
    "say_warning",
]
