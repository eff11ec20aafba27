"""The plan of a site: defaults, what a site sets, which goes first, and what is no value of a figure."""

import pytest

from registry.domain.plans import ITEMS, KeptPlan, Plan, PlanFigure, fault_of_value, in_order, is_looser, say_value


def figure(value: str, site: str | None, name: str = "strap_below_mohm") -> PlanFigure:
    return PlanFigure(name, value, site, "2026-05-01T00:00:00.000000Z", "why", "plan, issue 2", 7)


@pytest.mark.parametrize("name", ITEMS)
def test_every_default_is_a_value_of_its_figure_and_not_looser_than_itself(name: str):
    default = ITEMS[name].default
    assert default is None or fault_of_value(name, default) is None
    assert not is_looser(name, default)
    assert ITEMS[name].source and ITEMS[name].why


def test_a_site_goes_before_all_sites_and_all_sites_before_the_default():
    everywhere, own = figure("20", None), figure("10", "shed")
    assert in_order([own, everywhere]).value("strap_below_mohm") == "10"
    assert in_order([everywhere]).value("strap_below_mohm") == "20"
    assert Plan().value("strap_below_mohm") == "35"
    assert in_order([own]).source("strap_below_mohm") == "plan, issue 2 (the site’s plan since 1 May 2026)"
    assert in_order([everywhere]).source("strap_below_mohm") == "plan, issue 2 (the plan of all sites since 1 May 2026)"


def test_what_an_entry_kept_is_what_it_is_judged_by_again():
    kept = in_order([figure("10", "shed")]).record(("strap_below_mohm", "garment_for_strap"))
    again = KeptPlan(kept=kept)
    assert (again.value("strap_below_mohm"), again.allows("garment_for_strap")) == ("10", False)
    assert again.source("strap_below_mohm") == kept["strap_below_mohm"]["source"]


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("strap_below_mohm", "0"), ("strap_below_mohm", "-5"), ("strap_below_mohm", "NaN"), ("strap_below_mohm", "Infinity"), ("strap_below_mohm", "ten"),
        ("strap_below_mohm", "1e9"), ("signoff_holds_h", "7.5"), ("signoff_holds_h", "200"), ("mat_check_months", "1.5"), ("garment_for_strap", "maybe"),
    ],
)  # fmt: skip
def test_what_is_no_value_is_told(name: str, value: str):
    assert fault_of_value(name, value)


@pytest.mark.parametrize(
    ("name", "value", "looser"),
    [
        ("strap_below_mohm", "35.1", True), ("strap_below_mohm", "10", False), ("strap_least_mohm", "0.5", True), ("strap_least_mohm", "1", False),
        ("garment_for_strap", "yes", True), ("insulator_far_cm", "20", True), ("ioniser_decay_below_s", "9", False), ("leak_hold_min", "10", True),
    ],
)  # fmt: skip
def test_what_is_less_careful_than_the_default_is_seen(name: str, value: str, looser: bool):
    assert is_looser(name, value) == looser


def test_values_are_told_with_their_unit():
    assert say_value("strap_below_mohm", "35") == "35 MΩ"
    assert (say_value("garment_for_strap", "no"), say_value("ioniser_decay_below_s", None)) == ("no", "not set")
