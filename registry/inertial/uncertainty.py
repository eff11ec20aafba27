"""Measurement uncertainty: parts to a combined one, its degrees of freedom, and the factor for a coverage (GUM)."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from registry.inertial.inputs import Numbers, number, series
from registry.inertial.methods import method
from registry.inertial.quantiles import normal_factor, t_factor
from registry.inertial.refusal import CannotCompute

#: Half-width over standard uncertainty of the shapes people know (JCGM 100:2008 4.3.7, 4.3.9, H.1.3.4).
SHAPES = {"rectangular": math.sqrt(3), "triangular": math.sqrt(6), "arcsine": math.sqrt(2)}


def from_half_width(half_width: float, shape: str = "rectangular") -> float:
    """Standard uncertainty of limits ±a: a/sqrt 3, a/sqrt 6 or a/sqrt 2."""
    if shape not in SHAPES:
        raise CannotCompute(f"“{shape}” is no shape.", f"Choose one of {', '.join(SHAPES)}.")
    return number(half_width, "The half-width", least=0) / SHAPES[shape]


def from_resolution(step: float) -> float:
    """Standard uncertainty of a display that steps by `step`: step/sqrt 12 (F.2.2.1)."""
    return from_half_width(number(step, "The step", least=0) / 2)


def from_expanded(expanded: float, k: float = 2.0) -> float:
    """Standard uncertainty of a certificate that states U and k (4.3.3)."""
    return number(expanded, "The expanded uncertainty", least=0) / number(k, "The coverage factor", above=0)


def from_interval(half_width: float, level: float, dof: float | None = None) -> float:
    """Standard uncertainty of a stated interval at a level: normal, or t with stated degrees of freedom (4.3.4)."""
    return number(half_width, "The half-width", least=0) / (
        normal_factor(level) if dof is None else t_factor(level, dof)
    )


def from_readings(readings: Numbers) -> tuple[float, float, int]:
    """Mean, standard uncertainty of the mean, and degrees of freedom of n >= 2 repeated readings (4.2)."""
    x = series(readings, "The readings", least=2)
    return float(x.mean()), float(x.std(ddof=1)) / math.sqrt(len(x)), len(x) - 1


@dataclass(frozen=True, slots=True)
class Part:
    """One line of a budget: what, standard uncertainty, sensitivity, degrees of freedom (infinite for a known limit).

    `shared` names a reference that other parts or other results hang on: parts of one name add straight.
    """

    name: str
    u: float
    sensitivity: float = 1.0
    dof: float = math.inf
    shared: str = ""

    @property
    def contribution(self) -> float:
        return self.sensitivity * self.u


@dataclass(frozen=True, slots=True)
class Combined:
    """A combined standard uncertainty and its expanded one: value ± `expanded` with `k` covers `coverage`."""

    u: float
    dof: float
    k: float
    expanded: float
    coverage: float
    parts: tuple[Part, ...]
    unit: str
    verdict: str
    next: str
    method: str


def effective_dof(contributions: Numbers, dofs: Numbers, u: float | None = None) -> float:
    """Welch-Satterthwaite (G.2b): u⁴ / sum(u_i⁴/nu_i); infinite when no part has finite degrees of freedom."""
    total = math.hypot(*contributions) if u is None else u
    spread = sum(c**4 / nu for c, nu in zip(contributions, dofs, strict=True) if c and math.isfinite(nu))
    return total**4 / spread if spread else math.inf


def whole_dof(dof: float) -> int:
    """Degrees of freedom as t tables take them: to a tenth, then cut (JCGM 100 G.4.1, H.1.6)."""
    return max(1, math.floor(round(dof, 1)))


def combine(parts: list[Part], *, coverage: float | None = None, unit: str = "") -> Combined:
    """Root-sum-square of independent parts, straight sums within a shared reference (JCGM 100 5.1.2, 5.2.2).

    k is 2 without a `coverage`, else the normal or t factor at the effective degrees of freedom, written to a tenth
    and then cut to a whole number, as the guide's own examples do (19.0 -> 19, 16.75 -> 16).
    Raises CannotCompute without parts or with an uncertainty under zero.
    """
    if not parts:
        raise CannotCompute("The budget has no line.", "Enter at least the repeatability and the reference.")
    for part in parts:
        number(part.u, f"The uncertainty of {part.name}", least=0)
        if not part.dof > 0:
            raise CannotCompute(f"The degrees of freedom of {part.name} must be over zero.")
    groups: dict[str, float] = {}
    alone = []
    for part in parts:
        if part.shared:
            groups[part.shared] = groups.get(part.shared, 0.0) + part.contribution
        else:
            alone.append(part.contribution)
    u = math.hypot(*alone, *groups.values())
    dof = effective_dof([part.contribution for part in parts], [part.dof for part in parts], u)
    if coverage is None:
        k, covers = 2.0, 0.9545
    else:
        k = normal_factor(coverage) if math.isinf(dof) else t_factor(coverage, whole_dof(dof))
        covers = coverage
    largest = max(parts, key=lambda part: abs(part.contribution))
    return Combined(
        u,
        dof,
        k,
        k * u,
        covers,
        tuple(parts),
        unit,
        f"± {k * u:.3g} {unit}".strip() + f" (k = {k:.2f}, {covers:.0%}).",
        f"The largest line is {largest.name}: a better one helps most.",
        method("uncertainty"),
    )


@dataclass(frozen=True, slots=True)
class Propagated:
    """A value from a model of several inputs: contributions, combined u, and u with the second-order terms."""

    value: float
    u: float
    dof: float
    contributions: dict[str, float]
    second_order: dict[str, float]
    u_second_order: float
    method: str


def propagate(
    model: Callable[..., float], inputs: Mapping[str, tuple[float, float]], dofs: Mapping[str, float] | None = None
) -> Propagated:
    """Law of propagation of JCGM 100 5.1.2 with its second-order terms, by differences one standard uncertainty wide.

    `inputs` maps each argument of `model` to (value, u), independent; `dofs` their degrees of freedom. Differences
    are exact for products of inputs; a strongly bent model needs Monte Carlo (JCGM 101) instead.
    """
    centre = {name: value for name, (value, _) in inputs.items()}
    widths = {name: number(u, f"The uncertainty of {name}", least=0) for name, (_, u) in inputs.items()}

    def at(**shift: float) -> float:
        return float(model(**{name: value + shift.get(name, 0.0) for name, value in centre.items()}))

    value = at()
    first = {name: (at(**{name: u}) - at(**{name: -u})) / 2 for name, u in widths.items()}
    second = _second_order(at, widths, first)
    u = math.hypot(*first.values())
    squared = u**2 + sum(second.values())
    known = dofs or {}
    return Propagated(
        value=value,
        u=u,
        dof=effective_dof(list(first.values()), [known.get(name, math.inf) for name in first], u),
        contributions={name: abs(part) for name, part in first.items()},
        second_order={name: math.sqrt(abs(part)) for name, part in second.items() if abs(part) > 1e-9 * (u**2 or 1)},
        u_second_order=math.sqrt(max(0.0, squared)),
        method=method("uncertainty"),
    )


def _second_order(at: Callable[..., float], widths: dict[str, float], first: dict[str, float]) -> dict[str, float]:
    """[f_ij²/2 + f_i f_ijj] u_i² u_j² over all ordered pairs, gathered per unordered pair (5.1.2, note)."""
    terms: dict[str, float] = {}
    centre = at()
    for i, ui in widths.items():
        for j, uj in widths.items():
            if i == j:
                bend = at(**{i: ui}) + at(**{i: -ui}) - 2 * centre
                third = (at(**{i: 2 * ui}) - 2 * at(**{i: ui}) + 2 * at(**{i: -ui}) - at(**{i: -2 * ui})) / 2
            else:
                corners = [at(**{i: a * ui, j: b * uj}) for a, b in ((1, 1), (1, -1), (-1, 1), (-1, -1))]
                bend = (corners[0] - corners[1] - corners[2] + corners[3]) / 4
                third = (corners[0] + corners[1] - 2 * at(**{i: ui}) - corners[2] - corners[3] + 2 * at(**{i: -ui})) / 2
            name = " x ".join(sorted((i, j)))
            terms[name] = terms.get(name, 0.0) + bend**2 / 2 + first[i] * third
    return terms
