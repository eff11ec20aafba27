"""Terms of contracts: which is strictest, and which make no sense."""

from registry.domain.contracts import Term, reasons_of_term, strictest


def term(reference: str, from_on: str = "2026-05-01", *, stops: bool = False, months: int | None = None) -> Term:
    return Term(reference, from_on, None, stops, months)


def test_the_shortest_interval_and_the_first_that_stops_hold():
    listed = [term("A", months=9), term("B", "2026-04-01", stops=True), term("C", months=6), term("D", stops=True)]
    stops, held = strictest(listed)
    assert (stops.reference, held.reference) == ("B", "C")
    assert strictest([]) == (None, None)
    assert held.say() == "contract C since 1 May 2026"
    assert (
        term("E", stops=True, months=1).demands()
        == "an overdue verification stops the vehicle; a verification holds 1 month"
    )


def test_a_term_that_ends_before_it_begins_or_demands_nothing_is_refused():
    assert reasons_of_term("2026-05-01", "2026-05-01", True, None) == []
    told = reasons_of_term("2026-05-02", "2026-05-01", False, None)
    assert [one.field for one in told] == ["until_on", "overdue_stops"]
