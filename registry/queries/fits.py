"""Fit to deploy as plain values, the same over JSON and at the command line."""

from typing import Any

from registry.domain.findings import Finding
from registry.domain.fit import VERDICTS
from registry.domain.voyages import Voyage
from registry.queries.fleet import VehicleState


def question_record(at: str, known_on: str | None, voyage: Voyage | None, use: str | None) -> dict[str, Any]:
    """What was asked."""
    over = {"from": voyage.since, "until": voyage.until} if voyage else None
    return {"at": at, "known_on": known_on, "voyage": over, "use": use}


def fit_record(vehicle: VehicleState) -> dict[str, Any]:
    """The verdict on one vehicle, every finding, and what was accepted by name with how that stands."""
    return {
        "code": vehicle.code,
        "name": vehicle.name,
        "site": vehicle.site,
        "severity": vehicle.severity,
        "verdict": VERDICTS[vehicle.severity],
        "findings": [_finding(one) for one in vehicle.findings],
        "acceptances": [
            {
                "id": one.acceptance.id,
                "bay": one.acceptance.bay,
                "finding": one.acceptance.finding,
                "fact": one.acceptance.fact,
                "by": one.acceptance.who,
                "reason": one.acceptance.reason,
                "accepted_at": one.acceptance.accepted_at,
                "from_on": one.acceptance.from_on,
                "to_on": one.acceptance.to_on,
                "evidence": one.acceptance.evidence,
                "entry": one.acceptance.seq,
                "stands": one.stands,
            }
            for one in vehicle.acceptances
        ],
    }


def _finding(one: Finding) -> dict[str, Any]:
    told: dict[str, Any] = {name: getattr(one, name) for name in ("severity", "code", "bay", "use", "fact", "told")}
    told |= {"evidence": one.seq, "accepted_by": one.accepted.who if one.accepted else None}
    offers = {"clears": one.offer, "accepts": one.answer}
    acts = {name: {"act": offer.act, **offer.fields} if offer else None for name, offer in offers.items()}
    return told | {"acceptance": one.acceptance_told or None, **acts}
