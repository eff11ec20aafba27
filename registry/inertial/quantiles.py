"""Factors and limits of the normal, t and chi-square distributions, as the verdicts use them."""

from statistics import NormalDist

from registry.inertial.inputs import number


def normal_factor(coverage: float) -> float:
    """k with P(|x| < k sigma) = coverage: 1.96 at 0.95."""
    return NormalDist().inv_cdf((1 + number(coverage, "The coverage", above=0, most=1 - 1e-12)) / 2)


def t_factor(coverage: float, dof: float) -> float:
    """k of the t distribution, two-sided: 3.18 at 0.95 with 3 degrees of freedom."""
    from scipy.special import stdtrit

    return float(stdtrit(number(dof, "Degrees of freedom", above=0), (1 + coverage) / 2))


def t_tail(t: float, dof: float) -> float:
    """P(|T| > |t|), two-sided."""
    from scipy.special import stdtr

    return float(2 * stdtr(dof, -abs(t)))


def chi_square_limit(level: float, dof: float) -> float:
    """x with P(chi² < x) = level: 7.81 at 0.95 with 3."""
    from scipy.special import chdtri

    return float(chdtri(dof, 1 - level))


def chi_square_tail(chi2: float, dof: float) -> float:
    """P(chi² > x)."""
    from scipy.special import chdtrc

    return float(chdtrc(dof, chi2))
