"""The rows an impact leaves, whoever found it: an act of its own, or a verification that failed."""

from dataclasses import asdict
from typing import Any

from registry.acts import seats
from registry.acts.act import Case
from registry.acts.entry import Add, Effect, Entry, no_moment
from registry.domain.impacts import SUBJECTS, Use, Window
from registry.models.impact_lists import use_columns
from registry.models.impact_uses import found_bad


def counted(case: Case, subject: str, id_: str, good_on: str | None = None) -> dict[str, Any]:
    """Window and uses of what was found bad at the case’s instant, as an entry keeps them."""
    window, uses = found_bad(case.db, subject, id_, case.at, case.now, good_on=good_on)
    return {"subject": subject, **kept(window, uses)}


def kept(window: Window, uses: list[Use]) -> dict[str, Any]:
    return {"window": asdict(window), "uses": [asdict(use) for use in uses]}


def vehicle_of_half(case: Case, half_id: str, pairing_id: str | None = None) -> str | None:
    """The vehicle a half sits in now, if it does and, when a pair is meant, in that pair."""
    stay = seats.stay_of_half(case.db, half_id, case.now)
    if stay is None or pairing_id not in (None, stay.pairing_id):
        return None
    return seats.bay_facts(case.db, stay.bay_id, case.now).vehicle_id


def impact_rows(
    entry: Entry, id_: str, found: dict[str, Any], subject_id: str, told: dict[str, Any], holds: list[str]
) -> list[Effect]:
    """The impact with its window, its lines, and the holds that wait for them. `told` are columns of the impact."""
    row = dict.fromkeys(SUBJECTS) | {found["subject"]: subject_id}
    base = {"id": id_, "shown_by_id": None, "good_on": None, "heading_deg": None, "opened_by_id": entry.by}
    made: list[Effect] = [
        Add("impact", {**base, **row, **told, **entry.moment("found")}),
        window_row(entry, id_, found["window"]),
    ]
    made += line_rows(entry, id_, found["uses"])
    made += [
        Add("impact_hold", {"id": entry.derived(f"impact-hold:{number}"), "impact_id": id_, "hold_id": hold})
        for number, hold in enumerate(holds)
    ]
    return made


def window_row(entry: Entry, impact_id: str, window: dict[str, Any]) -> Add:
    row = {"id": entry.derived("impact-window"), "impact_id": impact_id, **window}
    return Add("impact_window", {**row, **entry.moment("counted")})


def line_rows(entry: Entry, impact_id: str, uses: list[dict[str, Any]]) -> list[Effect]:
    made: list[Effect] = []
    for number, use in enumerate(uses, 1):
        told = {name: use[name] for name in ("kind", "told", "starts_on", "ends_on")}
        row = {"id": entry.derived(f"impact-line:{number}"), "impact_id": impact_id, **told, **use_columns(use)}
        made.append(Add("impact_line", {**row, **entry.moment("listed"), **no_moment("dropped")}))
    return made
