"""The same act, spelt as a form sends it and as words on the command line."""

import io
import json
from typing import Any

from registry.acts.act import ACTS
from tests.acts.examples import EXAMPLES, example
from tests.cast import World
from tests.samples import CONTENTS

#: What the doors fill in by themselves.
OWN = ("act", "version", "id", "happened_at")


def as_form(fields: dict[str, Any]) -> dict[str, Any]:
    """Form entries, `list-0-field` for rows of a list, one line a thing for things that are scanned."""
    told: dict[str, Any] = {}
    for name, value in fields.items():
        if name in OWN:
            continue
        if name == "private":
            told |= {f"private__{inner}": text for inner, text in value.items()}
        elif name == "files":
            told[name] = [(io.BytesIO(CONTENTS[file["name"]]), file["name"]) for file in value]
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            told |= {
                f"{name}__{number}__{inner}": _local(text)
                for number, row in enumerate(value)
                for inner, text in row.items()
            }
        elif isinstance(value, list):
            told[name] = value if _is_choice(fields["act"], name) else "\n".join(value)
        elif isinstance(value, bool):
            told[name] = "y" if value else None
        else:
            told[name] = str(value)
    if "happened_at" in fields:
        told["happened_at"] = _local(fields["happened_at"])
    return told


def _local(text: Any) -> str:
    """An instant as a date-time field sends it: UTC is written beside the field."""
    return text.removesuffix("Z") if isinstance(text, str) and text[4:5] == "-" and "T" in text else str(text)


def _is_choice(act: str, field: str) -> bool:
    return field not in ACTS[act].references


def as_words(fields: dict[str, Any]) -> list[str]:
    """The words of `pairbook act NAME FIELD=VALUE … --at INSTANT`."""
    words = [fields["act"]]
    for name, value in fields.items():
        if name in OWN:
            continue
        if name == "private":
            words += [f"private.{inner}={text}" for inner, text in value.items()]
        elif isinstance(value, list):
            words.append(f"{name}={json.dumps(value)}")
        else:
            words.append(f"{name}={json.dumps(value) if isinstance(value, bool) else value}")
    return [*words, *(["--at", fields["happened_at"]] if "happened_at" in fields else [])]


__all__ = ["EXAMPLES", "World", "as_form", "as_words", "example"]
