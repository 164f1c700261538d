"""What a piece is to heat: density, specific heat, conductivity, ice and enthalpy from its composition.

Components are water, protein, fat, carbohydrate, fibre and ash, with salt counted as ash; properties of each are quadratics
in degC (Choi and Okos). Temperatures here are in degC because the laws are written so, and a grid of them is what
`table` is asked for. Heat of melting is spread over the temperatures at which it is taken up: ice below the initial
freezing point, fat between the two ends of its melting.

Left out: pores (bread, foam), the heat of protein unfolding (order 5 J per g of protein), and water that boils.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange
from ingle.physics.matter_laws import COMPONENTS, Composition, MatterLaws
from ingle.physics.mixed_conductivity import joined
from ingle.physics.ranges import require_within

Floats = NDArray[np.float64]

@dataclass(frozen=True)
class Matter:
    """Thermal properties of one composition along a grid of temperatures, for a march. All arrays are of its length.

    Per volume means per volume of the piece at ``laws.reference_c``: a mesh keeps its cells while the meat swells by a
    percent, and so keeps its mass and its heat.
    """

    celsius: Floats  # [degC], rising
    conductivity: Floats  # by ``laws.conductivity`` [W/m/K]
    conductivity_low: Floats  # layers across the flow [W/m/K]
    conductivity_high: Floats  # layers along the flow [W/m/K]
    density: Floats  # at each temperature [kg/m3]
    heat_capacity: Floats  # apparent: with ice and fat that melt [J/m3/K]
    enthalpy: Floats  # above the first grid point [J/m3]
    ice: Floats  # per weight [1]
    mass_per_volume: float  # at the reference temperature [kg/m3]
    scatter: Floats  # of measured meat around the law, as a share of the conductivity [1]


def density(composition: Composition, laws: MatterLaws, celsius: ArrayLike) -> Floats:
    """Density of the piece without pores: masses and volumes add up. [kg/m3]

    Parameters
    ----------
    composition : Composition
    laws : MatterLaws
    celsius : array_like, shape (...)
        [degC]

    Raises
    ------
    OutOfRange
        Temperature outside ``laws.valid``.
    """
    t = _within(celsius, laws)
    return np.asarray(1.0 / sum(x / rho for x, rho in zip(_weights(composition, laws, t), _each(laws, "density", t), strict=True)))


def conductivity(composition: Composition, laws: MatterLaws, celsius: ArrayLike, how: str = "") -> Floats:
    """Thermal conductivity. [W/m/K]

    Parameters
    ----------
    composition, laws, celsius
        As `density`.
    how : {"parallel", "series", "levy"}, optional
        "parallel" lets heat run along all components side by side, "series" through one after the other: no arrangement of
        the same components lies outside the two. "levy" is Maxwell's and Eucken's form with Levy's weights, water and ice
        against all else. Left out: ``laws.conductivity``.

    Raises
    ------
    OutOfRange
        Temperature outside ``laws.valid``; a rule that is not known.
    """
    t = _within(celsius, laws)
    return joined(_volumes(composition, laws, t), np.array(_each(laws, "conductivity", t)), how or laws.conductivity)


def freezing_point(composition: Composition, laws: MatterLaws) -> float:
    """Temperature at which ice begins. [degC]

    The measured one where the composition carries it, else from solids and ash per water. Fat dissolves nothing and is left
    out of the solids.

    References
    ----------
    Pham 1996: t_f = -4.66 x_o/x_w - 46.4 x_a/x_w.
    """
    if composition.freezing_c is not None:
        return composition.freezing_c
    x = composition
    solids, ash = x.protein + x.carbohydrate + x.fibre, x.ash + x.salt
    return -(laws.freezing.per_solids * solids + laws.freezing.per_ash * ash) / x.water


def ice(composition: Composition, laws: MatterLaws, celsius: ArrayLike, form: str = "") -> Floats:
    """Ice per weight of the piece; 0 from the freezing point up. [1]

    Parameters
    ----------
    composition, laws, celsius
        As `density`.
    form : {"tchigeov", "raoult"}, optional
        "tchigeov" (below), or "raoult", that of an ideal solution with bound water left out: (x_w - x_b)(1 - t_f/t).
        Left out: ``laws.freezing.form``.

    Notes
    -----
    Tchigeov: x_ice = 1.105 x_w / (1 + 0.7138 / ln(t_f - t + 1)), for -45 degC to t_f. Never more than the water there is.
    """
    return _ice_and_slope(composition, laws, _within(celsius, laws), form)[0]


def enthalpy(composition: Composition, laws: MatterLaws, celsius: ArrayLike, *, fat_latent: float | None = None) -> Floats:
    """Heat content per weight, above that of unfrozen water and of solid fat at 0 degC. [J/kg]

    Parameters
    ----------
    composition, laws, celsius
        As `density`.
    fat_latent : float, optional
        Heat of melting of the fat [J/kg fat]; ``laws.fat.latent`` when not given.

    Notes
    -----
    Sum of the sensible heats, minus the heat that freezing has given off, plus the share of fat that has melted. The heat of
    fusion at t is that at 0 degC less the difference of the two specific heats, so it falls as it must when it gets colder.
    """
    return _heat(composition, laws, _within(celsius, laws), fat_latent)[0]


def specific_heat(composition: Composition, laws: MatterLaws, celsius: ArrayLike, *, fat_latent: float | None = None) -> Floats:
    """Apparent specific heat: slope of `enthalpy`, so with ice and fat that melt. [J/kg/K]"""
    return _heat(composition, laws, _within(celsius, laws), fat_latent)[1]


def sensible_heat(composition: Composition, laws: MatterLaws, celsius: ArrayLike) -> Floats:
    """Specific heat of the components alone, nothing melting. [J/kg/K]"""
    t = _within(celsius, laws)
    return np.asarray(sum(x * c for x, c in zip(_weights(composition, laws, t), _each(laws, "specific_heat", t), strict=True)))


def table(
    composition: Composition, laws: MatterLaws, celsius: ArrayLike, *, fat_latent: float | None = None
) -> Matter:
    """All properties along a grid of temperatures, for a march.

    Parameters
    ----------
    composition : Composition
    laws : MatterLaws
    celsius : array_like, shape (N,)
        Rising, N >= 2. [degC]
    fat_latent : float, optional
        As `enthalpy`.

    Raises
    ------
    OutOfRange
        A grid that does not rise, or leaves ``laws.valid``.
    """
    t = np.atleast_1d(_within(celsius, laws))
    if t.ndim != 1 or t.size < 2 or not (np.diff(t) > 0.0).all():
        raise OutOfRange(
            "a table needs at least two temperatures, each above the one before.", field="celsius", value=t.shape,
            limit="rising", remedy="Give the grid in rising order.",
        )  # fmt: skip
    held = float(density(composition, laws, laws.reference_c))
    h, c = _heat(composition, laws, t, fat_latent)
    volumes, each = _volumes(composition, laws, t), np.array(_each(laws, "conductivity", t))
    k, low, high = (joined(volumes, each, rule) for rule in (laws.conductivity, "series", "parallel"))
    frozen = _ice_and_slope(composition, laws, t, "")[0]
    scatter = np.where(frozen > 0.0, laws.scatter_frozen, laws.scatter)
    return Matter(t, k, low, high, density(composition, laws, t), held * c, held * (h - h[0]), frozen, held, scatter)


def _within(celsius: ArrayLike, laws: MatterLaws) -> Floats:
    return require_within(celsius, laws.valid, "temperature", "C", laws.source)


def _each(laws: MatterLaws, what: str, t: Floats) -> list[Floats]:
    """One property of water, ice and every other component at t."""
    found = [np.polyval(getattr(laws.components[name], what)[::-1], t) for name in COMPONENTS]
    if what == "specific_heat":
        found[0] = np.where(t < 0.0, np.polyval(laws.supercooled[::-1], t), found[0])
    return found


def _weights(composition: Composition, laws: MatterLaws, t: Floats) -> list[Floats]:
    """Share by weight of water, ice and every other component at t."""
    frozen = _ice_and_slope(composition, laws, t, "")[0]
    rest = [np.full_like(t, x) for x in composition.dry]
    return [composition.water - frozen, frozen, *rest]


def _volumes(composition: Composition, laws: MatterLaws, t: Floats) -> Floats:
    """Share by volume of each component, shape (components, ...)."""
    v = np.array([x / rho for x, rho in zip(_weights(composition, laws, t), _each(laws, "density", t), strict=True)])
    return np.asarray(v / v.sum(axis=0))


def _ice_and_slope(composition: Composition, laws: MatterLaws, t: Floats, form: str) -> tuple[Floats, Floats]:
    """Ice per weight and its slope with temperature. [1, 1/K]"""
    law, t_f = laws.freezing, freezing_point(composition, laws)
    rule = form or law.form
    cold = t < t_f
    if rule == "raoult":
        free = max(composition.water - law.bound_per_protein * composition.protein, 0.0)
        below = np.where(cold, t, 2.0 * t_f)
        return np.where(cold, free * (1.0 - t_f / below), 0.0), np.where(cold, free * t_f / below**2, 0.0)
    if rule != "tchigeov":
        raise OutOfRange(
            f"ice form {rule!r} is not tchigeov or raoult.", field="form", value=rule, limit=("tchigeov", "raoult"),
            remedy="Choose one of these.",
        )  # fmt: skip
    depth = np.where(cold, t_f - t, 1.0)
    log = np.log1p(depth)
    most = law.a * composition.water
    frozen = most * log / (log + law.b)
    slope = -most * law.b / (log + law.b) ** 2 / (1.0 + depth)
    full = frozen > composition.water
    frozen, slope = np.where(full, composition.water, frozen), np.where(full, 0.0, slope)
    return np.where(cold, frozen, 0.0), np.where(cold, slope, 0.0)


def _heat(composition: Composition, laws: MatterLaws, t: Floats, fat_latent: float | None) -> tuple[Floats, Floats]:
    """Enthalpy [J/kg] and its slope [J/kg/K]."""
    sums = [_integral(laws.components[name].specific_heat, t) for name in COMPONENTS]
    sums[0] = np.where(t < 0.0, _integral(laws.supercooled, t), sums[0])
    sums[1] = sums[1] - laws.freezing.latent
    weights = _weights(composition, laws, t)
    h = sum(x * s for x, s in zip(weights, sums, strict=True))
    c = sum(x * s for x, s in zip(weights, _each(laws, "specific_heat", t), strict=True))
    c = c + _ice_and_slope(composition, laws, t, "")[1] * (sums[1] - sums[0])
    low, high = laws.fat.melts
    latent = composition.fat * (laws.fat.latent if fat_latent is None else fat_latent)
    h = h + latent * np.clip((t - low) / (high - low), 0.0, 1.0)
    melting = (t >= low) & (t < high)
    return np.asarray(h), np.asarray(c + np.where(melting, latent / (high - low), 0.0))


def _integral(quadratic: tuple[float, float, float], t: Floats) -> Floats:
    a, b, c = quadratic
    return np.asarray(t * (a + t * (b / 2.0 + t * c / 3.0)))
