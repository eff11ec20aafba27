"""What ends on a voyage, read from the record: the term of a contract, a loan, a paper; of the vehicle and of what sits in it."""

import pytest

from registry.domain.fit_endings import CODES
from registry.domain.voyages import read_voyage
from registry.models.seeks import EVER
from registry.queries.fleet import vehicles_at
from tests.acts.stage import Stage

AT = "2026-05-19T12:00:00.000000Z"


def told(
    stage: Stage, until: str = "2026-06-20", known: int = EVER, since: str = "2026-05-21"
) -> list[tuple[str, str | None]]:
    (state,) = vehicles_at(stage.db, AT, known, [stage.ids["teasel"]], voyage=read_voyage(since, until))
    return [(one.fact, one.bay) for one in state.findings if one.code in CODES]


@pytest.fixture
def bound(stages: Stage) -> Stage:
    """Teasel is bound to a contract to 1 June, lent to 10 June, and crosses a border with a licence to 5 June; p1 sits in it
    and goes along with a carnet to 3 June."""
    stages.install("p1", "teasel A", "10 09:00")
    term = {
        "vehicle": "teasel",
        "reference": "C-7",
        "from_on": "2026-05-01",
        "until_on": "2026-06-01",
        "overdue_stops": True,
    }
    stages.do("bind_contract", "12 09:00", by="piet", **term)
    loan = {"vehicle": "teasel", "partner": "Lowmoor Survey", "answers": "piet", "return_on": "2026-06-10"}
    stages.do("enter_loan", "12 09:00", by="piet", **loan)
    goes = {"from_country": "Norland", "to_country": "Sudland", "crosses_on": "2026-05-28"}
    stages.do(
        "plan_crossing", "12 09:00", by="piet", vehicle="teasel", licence="L-1", licence_expires_on="2026-06-05", **goes
    )
    stages.do("plan_crossing", "12 09:00", by="piet", half="p1 s", carnet="N-2", carnet_expires_on="2026-06-03", **goes)
    return stages


def test_everything_that_ends_on_the_voyage_is_told_in_order(bound: Stage):
    assert told(bound) == [
        ("Contract C-7 ends on 1 June 2026, on the voyage", None),
        ("The carnet N-2 of the crossing Norland to Sudland expires on 3 June 2026, on the voyage", "A"),
        ("The licence L-1 of the crossing Norland to Sudland expires on 5 June 2026, on the voyage", None),
        ("The vehicle is to be back from Lowmoor Survey on 10 June 2026, on the voyage", None),
    ]


def test_a_shorter_voyage_is_told_less_and_an_earlier_log_nothing(bound: Stage):
    assert told(bound, "2026-05-31") == []
    assert [fact[:12] for fact, _bay in told(bound, "2026-06-04")] == ["Contract C-7", "The carnet N"]
    assert told(bound, known=bound.size() - 4) == []
