"""Install, remove, swap: what is taken, what is refused, and in which words."""

from tests.cast import World


def test_a_pair_goes_into_an_empty_bay(either: World):
    done = either.install("p1")
    assert done.entry.act == "install_pair"
    assert not done.again


def test_halves_of_different_pairs_are_refused_naming_both_partners_and_their_places(either: World):
    either.install("p1")
    told = either.refused("install_pair", "10 09:30", bay="teasel B", sensor="p1 s", electronics="p2 e")
    assert "in Teasel, bay A, since 10 May 2026" in told["mixed_pair"]
    assert "at North shed, shelf 2" in told["mixed_pair"]


def test_the_same_act_twice_is_one_entry(either: World):
    sent = either.sent("install_pair", "10 09:00", bay="teasel A", sensor="p1 s", electronics="p1 e")
    first, second = either.send(sent), either.send(sent)
    assert (first.again, second.again) == (False, True)
    assert first.entry == second.entry
