"""Allan curves and the terms read off them, on noise whose terms are known."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.inertial import (
    CannotCompute,
    allan_deviation,
    read_terms,
)
from registry.inertial.allan import averaging_counts, pure_slopes, relative_error

# --- Allan ------------------------------------------------------------------------------------------------------


@given(st.floats(1e-3, 1e3), st.floats(-1e3, 1e3), st.integers(0, 10**6))
def test_a_deviation_scales_with_the_rate_and_ignores_its_mean(scale, mean, seed):
    y = np.random.default_rng(seed).standard_normal(400)
    one, other = allan_deviation(y, 10.0), allan_deviation(scale * y + mean, 10.0)
    assert np.allclose(np.array(other.deviation), scale * np.array(one.deviation), rtol=1e-6)


def test_averaging_times_run_to_a_ninth_of_the_record():
    assert averaging_counts(9000)[-1] == 1000 and averaging_counts(9000)[:3] == [1, 2, 3]
    curve = allan_deviation(np.random.default_rng(0).standard_normal(9000), 100.0)
    assert curve.tau_s[-1] == pytest.approx(10.0) and curve.relative_sigma[-1] == pytest.approx(0.25)
    assert curve.at(1.0) == curve.deviation[curve.tau_s.index(1.0)]


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        ({"kind": "variance"}, "no deviation"),
        ({"tau_s": [0.015]}, "no whole number"),
        ({"tau_s": [6.0]}, "needs 1200 samples"),
        ({"tau_s": [4.0], "kind": "hdev"}, "needs 1200 samples"),
    ],
)
def test_times_that_do_not_fit_the_record_are_refused(options, sentence):
    with pytest.raises(CannotCompute, match=sentence):
        allan_deviation(np.random.default_rng(0).standard_normal(1000), 100.0, **options)


def test_records_that_are_no_record_are_refused():
    with pytest.raises(CannotCompute, match="2 of the 3"):
        allan_deviation([1.0, 2.0], 1.0)
    with pytest.raises(CannotCompute, match="not finite"):
        allan_deviation([1.0, math.nan, 2.0, 3.0], 1.0)
    with pytest.raises(CannotCompute, match="as long as the record"):
        relative_error(100, 100)


def noise(n, seed, white=0.0, flicker=0.0, walk=0.0):
    rng = np.random.default_rng(seed)
    x = rng.standard_normal(n) * white + np.cumsum(rng.standard_normal(n)) * walk
    if flicker:
        f = np.fft.rfftfreq(4 * n, 1.0)
        density = np.zeros_like(f)
        density[1:] = flicker**2 / (math.pi * f[1:])
        turn = rng.standard_normal(len(f)) + 1j * rng.standard_normal(len(f))
        x += np.fft.irfft(np.sqrt(density * n) * turn, 4 * n)[:n]
    return x


def test_white_noise_gives_its_walk_and_no_floor():
    terms = read_terms(allan_deviation(noise(50_000, 1, white=3.0), 1.0))
    assert terms.walk == pytest.approx(3.0 / 60, abs=3 * terms.sigma_walk) and terms.walk_unit == "deg/sqrt(h)"
    assert terms.floor is None and terms.bias_instability is None and terms.floor_at_most > 0
    assert "Floor not reached, at most" in terms.verdict and "8 to 12 h" in terms.next


def test_flicker_gives_a_floor_and_does_not_leak_into_the_walk():
    found = [read_terms(allan_deviation(noise(40_000, seed, white=4.0, flicker=1.0), 1.0)) for seed in range(6)]
    reached = [terms for terms in found if terms.floor is not None]
    assert len(reached) >= 2
    assert all(terms.bias_instability == pytest.approx(1.0, rel=0.2) for terms in reached)
    assert all(terms.white == pytest.approx(4.0, rel=0.02) for terms in found)


def test_a_rate_random_walk_and_a_ramp_are_read_off_their_slopes():
    walk = read_terms(allan_deviation(noise(60_000, 2, white=2.0, walk=0.02), 1.0))
    assert walk.random_walk_k == pytest.approx(0.02, rel=0.35)
    ramp = read_terms(allan_deviation(noise(20_000, 2, white=1.0) + 0.001 * np.arange(20_000), 1.0))
    assert ramp.ramp == pytest.approx(0.001, rel=0.1)


def test_an_accelerometers_walk_is_in_its_own_unit():
    terms = read_terms(allan_deviation(noise(20_000, 1, white=1e-3), 1.0, unit="m/s2"))
    assert terms.walk == pytest.approx(0.06, rel=0.05) and terms.walk_unit == "m/s/sqrt(h)"
    assert read_terms(allan_deviation(noise(20_000, 1, white=1e-3), 1.0, unit="g")).walk_unit == "g sqrt(s)"


def test_terms_are_not_read_off_other_curves_or_a_frozen_output():
    y = noise(5000, 1, white=1.0)
    for curve in (allan_deviation(y, 1.0, kind="mdev"), allan_deviation(y, 1.0, [1, 2, 4])):
        with pytest.raises(CannotCompute, match="ten averaging times"):
            read_terms(curve)
    with pytest.raises(CannotCompute, match="frozen"):
        read_terms(allan_deviation(np.full(5000, 2.0), 1.0))


def test_pure_slopes_meet_where_they_should():
    slopes = pure_slopes([1.0, 3.0], n=2.0, k=0.5, r=0.1)
    assert slopes.white[0] == 2.0 and slopes.rate_random_walk[1] == pytest.approx(0.5)
    assert slopes.ramp[1] == pytest.approx(0.3 / math.sqrt(2))
