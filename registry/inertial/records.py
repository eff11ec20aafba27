"""A result as plain data: what is stored, sent as JSON and compared later."""

import math
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from typing import Any

import numpy as np


def as_record(result: Any) -> Any:
    """The result as dicts, lists, numbers, text and None. NaN and infinity become None: JSON has neither.

    Field names carry the units, so a stored record can be read without the code that made it.
    """
    if is_dataclass(result) and not isinstance(result, type):
        return {f.name: as_record(getattr(result, f.name)) for f in fields(result)}
    if isinstance(result, dict):
        return {str(key): as_record(value) for key, value in result.items()}
    if isinstance(result, (list, tuple, set, frozenset)):
        return [as_record(value) for value in result]
    if isinstance(result, np.ndarray):
        return as_record(result.tolist())
    if isinstance(result, Enum):
        return result.value
    if isinstance(result, date):
        return result.isoformat()
    if isinstance(result, (np.bool_, np.integer, np.floating)):
        return as_record(result.item())
    if isinstance(result, float) and not math.isfinite(result):
        return None
    return result


def floats(array: Any) -> Any:
    """Nested tuples of plain floats: small arrays inside frozen results, so that equal results compare equal."""
    return tuple(floats(part) for part in array) if np.ndim(array) else float(array)
