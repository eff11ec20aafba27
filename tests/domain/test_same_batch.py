"""The same batch by hands: the same station or strap tester within a week (common practice, no source)."""

from registry.domain.same_batch import Handled, Kin, alike_by_day, reasons_not_of_batch


def day(number: int) -> str:
    return f"2026-05-{number:02d}T09:00:00.000000Z"


def test_a_half_handled_at_the_same_station_within_a_week_is_of_the_batch_and_later_is_not():
    mine = Handled("a", day(10), "Bench 2", "BT-04")
    others = [
        Handled("near", day(17), "Bench 2", "BT-09"),
        Handled("late", day(18), "Bench 2", "BT-04"),
        Handled("elsewhere", day(10), "Kit 1", "BT-04"),
        Handled("apart", day(10), "Kit 1", None),
    ]
    found = {(kin.half_id, kin.kinship) for kin in alike_by_day([mine, *others], {"a"})}
    assert found == {("near", "station"), ("elsewhere", "tester")}


def test_a_half_is_answered_for_only_by_what_the_record_says_it_shares():
    kin = [Kin("a", "delivery", "DN-7")]
    assert reasons_not_of_batch(kin, "a", "delivery", "half X") == []
    (reason,) = reasons_not_of_batch(kin, "a", "voyage", "half X")
    assert reason.code == "not_same_batch"
    assert "it shares: came in the same delivery" in reason.message
    assert [one.code for one in reasons_not_of_batch(kin, "b", "delivery", "half Y")] == ["not_same_batch"]
