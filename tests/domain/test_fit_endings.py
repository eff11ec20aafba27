"""What ends on a voyage besides verification: told once, as a note, and only what is in force now and over before the end."""

import pytest

from registry.domain.acceptances import Acceptance
from registry.domain.findings import Finding
from registry.domain.fit import findings, verdict
from registry.domain.fit_endings import of_acceptances, of_endings, of_paper
from registry.domain.fit_facts import Ending, VehicleFacts
from registry.domain.voyages import read_voyage
from registry.errors import Offer

AT = "2026-05-10T12:00:00.000000Z"
VOYAGE = read_voyage("2026-05-15", "2026-05-29")


def facts(*endings: Ending, voyage=VOYAGE, acceptances=()) -> VehicleFacts:
    return VehicleFacts("v", "Teasel", at=AT, voyage=voyage, endings=endings, acceptances=acceptances)


def term(on: str) -> Ending:
    return Ending(
        "term_ends", "Contract C-1", "ends on", on, "No contract then.", 7, Offer("bind_contract", "Bind it", {})
    )


@pytest.mark.parametrize(
    ("on", "words"),
    [
        ("2026-05-09", None),  # over already
        ("2026-05-14", "14 May 2026, before the voyage begins"),
        ("2026-05-15", "15 May 2026, on the voyage"),
        ("2026-05-28", "28 May 2026, on the voyage"),
        ("2026-05-29", None),  # a day ends at 24:00 UTC: it holds to the last moment
    ],
)
def test_a_term_that_ends_before_the_voyage_does_is_a_note(on: str, words: str | None):
    found = of_endings(facts(term(on)))
    assert [one.fact for one in found] == ([f"Contract C-1 ends on {words}"] if words else [])
    assert all((one.severity, one.seq, one.offer.act) == ("note", 7, "bind_contract") for one in found)


def test_without_a_voyage_nothing_ends_on_it():
    assert of_endings(facts(term("2026-05-20"), voyage=None)) == []


def test_a_paper_is_a_reminder_and_changes_no_verdict():
    """handling.md, section 7: a reminder, never a rule."""
    paper = of_paper("the crossing Norland to Sudland", "licence", "L-1", "2026-05-20", 9, "c", None)
    (found,) = of_endings(facts(paper))
    assert found.fact == "The licence L-1 of the crossing Norland to Sudland expires on 20 May 2026, on the voyage"
    assert (found.severity, found.told) == ("note", "Reminder only. Ask your export officer.")
    assert verdict(findings(facts(paper))) == verdict(findings(facts()))


def accepted(to_on: str, from_on: str = "2026-05-01") -> Acceptance:
    return Acceptance(
        "a", "A", "alignment_missing", None, 5, "Bay A: no alignment", "Rosa", "fine", "2026-05-01T08:00:00.000000Z", from_on, to_on, 8
    )  # fmt: skip


def test_an_acceptance_that_ends_on_the_voyage_is_told_while_its_finding_stands():
    stands = Finding("care", "alignment_missing", "Bay A: no alignment", "", 5, "A")
    (found,) = of_acceptances(facts(acceptances=(accepted("2026-05-20"),)), [stands])
    assert found.fact == "The acceptance of “Bay A: no alignment” ends on 20 May 2026, on the voyage"
    assert found.offer.fields["evidence"] == 5
    for one in (accepted("2026-05-29"), accepted("2026-05-20", "2026-05-15")):
        assert of_acceptances(facts(acceptances=(one,)), [stands]) == []
    assert of_acceptances(facts(acceptances=(accepted("2026-05-20"),)), []) == []
