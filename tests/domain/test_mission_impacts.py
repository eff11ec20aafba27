"""Impacts of a mission: the worst answer is told first, and a line nobody answered comes before one that can be used."""

from registry.domain.mission_impacts import MissionImpact, worst_first


def line(answer: str | None, error_m: str | None = None) -> MissionImpact:
    told = {"of": "pair p1", "unnamed": "pair p1", "reason": "bad", "found_at": "2026-05-09", "listed_at": "2026-05-09"}
    rest = {"heading_deg": None, "words": "", "answered_at": None, "answered_by": None, "entries": (1,)}
    return MissionImpact(id="i", line_id="l", answer=answer, error_m=error_m, **told, **rest)


def test_the_worst_answer_comes_first_and_of_usable_ones_the_one_that_costs_most():
    lines = [line("not_affected"), line("usable", "9.5"), line("usable", "46.123"), line(None), line("withdrawn")]
    assert [one.answer_said for one in worst_first(lines)] == [
        "Affected, withdrawn.",
        "Found bad, not answered yet.",
        "Affected, usable with a stated uncertainty: 46.1 m.",
        "Affected, usable with a stated uncertainty: 9.5 m.",
        "Not affected.",
    ]
