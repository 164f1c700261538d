"""The rind's balance: how fast water and heat of every node change, and what leaves at each.

Nodes stand on the skin's two faces and between them; the layer of fat below has cells of its own. Water moves by diffusion in
the frame of the dry matter (the skin is taken not to shrink); steam leaves where it forms, as the heat allows, but only the
water above ``laws.held``: below it the skin is taken as tight until it has puffed or leaks. The fat layer's own water only boils off,
and to the skin's water that layer is a resistance.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ingle.ground.units import ZERO_CELSIUS_K
from ingle.physics.rind_laws import GAS_CONSTANT, Around, RindLaws, Rinds, activity, obstruction, pressure

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Slab:
    """Rinds cut into nodes: members M, nodes N of which the first S are skin. Contents per m3."""

    skin: int
    width: Floats  # (M, N) what each node stands for [m]
    gap: Floats  # (M, N - 1) between neighbours [m]
    outer: Floats  # (M, 1) from the last node to the lower face [m]
    dry: Floats  # (M, N) dry matter [kg/m3]
    protein: Floats  # (M, N)
    fat: Floats  # (M, N)
    salt: Floats  # (M, N)
    water: Floats  # (M, N) at the start
    bypass: Floats  # (M, 1) of the fat layer to water: thickness over (obstruction times its water) [m4/kg]
    diffusivity: Floats  # (M, 1)
    activation: Floats  # (M, 1)
    leaks: Floats  # (M,) water per dry matter that boiled off inside, at which the skin leaks [kg/kg]
    is_skin: Floats  # (N,)


def slab(rinds: Rinds, laws: RindLaws, skin: int = 11, fat: int = 3) -> Slab:
    """Cut rinds into nodes, finer towards the faces; no fat cells where no member has a fat layer."""
    s = laws.stuff
    layers = fat if np.any(rinds.fat_layer > 0.0) else 0
    edge = 0.5 * (1.0 - np.cos(np.pi * np.linspace(0.0, 1.0, skin)))
    place = 0.6 * edge + 0.4 * np.linspace(0.0, 1.0, skin)
    gap = np.diff(place)
    width = np.zeros(skin)
    width[:-1] += 0.5 * gap
    width[1:] += 0.5 * gap
    L, F = rinds.thickness[:, None], np.maximum(rinds.fat_layer, 1e-5)[:, None]
    cell = F / max(layers, 1) * np.ones((1, layers))
    wide = np.hstack([L * width, cell])
    gaps = np.hstack([L * gap, *([0.5 * cell[:, :1], cell[:, 1:]] if layers else [])])
    outer = 0.5 * cell[:, :1] if layers else np.zeros_like(L)
    w, f, z = rinds.water, rinds.fat, rinds.salt
    p = 1.0 - w - f - z
    density = 1.0 / (w / 1000.0 + f / s.fat_density + (p + z) / s.protein_density)
    wf, pf = laws.fat_water, 0.1 * (1.0 - laws.fat_water)
    dense = 1.0 / (wf / 1000.0 + (1.0 - wf - pf) / s.fat_density + pf / s.protein_density)

    def spread(of_skin: Floats, of_fat: float) -> Floats:
        return np.hstack([np.tile(of_skin[:, None], skin), np.full((len(w), layers), of_fat)])

    through = float(obstruction(np.asarray(wf * dense / 1000.0))) * wf * dense
    return Slab(
        skin=skin, width=wide, gap=gaps, outer=outer,
        dry=spread(density * (1.0 - w), dense * (1.0 - wf)), protein=spread(density * p, dense * pf),
        fat=spread(density * f, dense * (1.0 - wf - pf)), salt=spread(density * z, 0.0), water=spread(density * w, dense * wf),
        bypass=rinds.fat_layer[:, None] / through,
        diffusivity=rinds.diffusivity[:, None], activation=rinds.activation[:, None],
        leaks=np.broadcast_to(np.asarray(rinds.leaks, float), L[:, 0].shape),
        is_skin=np.r_[np.ones(skin), np.zeros(layers)],
    )  # fmt: skip


def heat_of(celsius: Floats, water: Floats, body: Slab, laws: RindLaws) -> Floats:
    """Heat content above 0 degC with fat solid. [J/m3]"""
    s = laws.stuff
    c = s.protein_heat * (body.dry - body.fat) + s.fat_heat * body.fat + s.water_heat * water
    return np.asarray(c * celsius + body.fat * s.fat_latent * np.clip(celsius / s.fat_melts, 0.0, 1.0))


def celsius_of(heat: Floats, water: Floats, body: Slab, laws: RindLaws) -> Floats:
    """Temperature from heat and water: the inverse of `heat_of`. [degC]"""
    s = laws.stuff
    c = s.protein_heat * (body.dry - body.fat) + s.fat_heat * body.fat + s.water_heat * water
    melt = body.fat * s.fat_latent
    molten = (heat - melt) / c
    melting = heat / (c + melt / s.fat_melts)
    return np.asarray(np.where(molten >= s.fat_melts, molten, np.where(melting > 0.0, melting, heat / c)))


def rates(
    water: Floats, heat: Floats, open_: Floats, body: Slab, around: Around, laws: RindLaws
) -> tuple[Floats, Floats, Floats, Floats]:
    """Change of every node, and what leaves there.

    Parameters
    ----------
    water, heat : ndarray, shape (..., M, N)
        [kg/m3], [J/m3]
    open_ : ndarray, shape (M, N)
        1 where the skin has puffed or leaks and lets all steam out.

    Returns
    -------
    tuple of ndarray, shape (..., M, N)
        Change of water [kg/m3/s] and heat [W/m3]; water [kg/m2/s] and heat [W/m2] that leave the rind at the node.
    """
    S, s, carried, air = body.skin, laws.stuff, laws.carried, laws.air
    wet = np.maximum(water, 0.0)
    t = celsius_of(heat, wet, body, laws)
    T = t + ZERO_CELSIUS_K
    # between nodes: heat by conduction and with the water that moves
    k = (
        s.water_conductivity * wet / 1000.0 + s.protein_conductivity * (body.dry - body.fat) / s.protein_density
        + s.fat_conductivity * body.fat / s.fat_density
    )  # fmt: skip
    k_mid = 2.0 * k[..., 1:] * k[..., :-1] / (k[..., 1:] + k[..., :-1])
    D = _pace(t, body, laws)
    share = _share(0.5 * (water[..., 1:S] + water[..., : S - 1]), body, laws)
    moved = np.zeros_like(k_mid)
    moved[..., : S - 1] = (
        0.5 * (D[..., 1:S] + D[..., : S - 1]) * obstruction(share) * (water[..., : S - 1] - water[..., 1:S]) / body.gap[:, : S - 1]
    )
    mid = 0.5 * (t[..., 1:] + t[..., :-1])
    carried_heat = k_mid * (t[..., :-1] - t[..., 1:]) / body.gap + moved * s.water_heat * mid
    # at the faces
    aw = np.where(body.is_skin > 0, activity(wet, body.salt, np.maximum(body.protein, 1e-9), t, laws), np.where(wet > 0, 1.0, 0.0))
    equal = aw * pressure(t, laws.vapour)
    h, Ta, pv = _column(around.convection), _column(around.air_c), _column(around.vapour_pressure)
    Tm = 0.5 * (T + Ta + ZERO_CELSIUS_K)
    film = h * air.gas_constant * Tm / (air.pressure * air.specific_heat * air.lewis ** (2.0 / 3.0)) / (air.vapour_gas_constant * Tm)
    gone = np.zeros_like(water)
    gone[..., :1] += around.top * film[..., :1] * (equal[..., :1] - pv)
    b = slice(S - 1, S)
    through = body.bypass / D[..., b] * pressure(t[..., b], laws.vapour)
    gone[..., b] += around.bottom * (equal[..., b] - pv) / (1.0 / film[..., b] + through)
    warm = np.zeros_like(water)
    warm[..., :1] += _warming(t[..., :1], h, Ta, 0.0, k[..., :1], around, laws)
    warm[..., -1:] += _column(around.bottom_heat) * _warming(t[..., -1:], h, Ta, body.outer, k[..., -1:], around, laws)
    # boiling
    latent = carried.latent - (s.water_heat - carried.vapour_heat) * t
    above = np.maximum(np.log(np.maximum(equal, 1.0) / air.pressure), 0.0) * air.vapour_gas_constant * T**2 / latent
    c = s.protein_heat * (body.dry - body.fat) + s.fat_heat * body.fat + s.water_heat * wet
    kept = np.where((body.is_skin > 0) & (open_ < 0.5), laws.held * body.dry, 0.0)
    relax = np.where(open_ < 0.5, laws.relax, laws.relax_puffed)
    boiled = np.minimum(c * above / latent, np.maximum(wet - kept, 0.0)) / relax
    out = gone + boiled * body.width
    out_heat = out * (carried.latent + carried.vapour_heat * t) - warm
    change, change_heat = -out, -out_heat
    change[..., 1:] += moved
    change[..., :-1] -= moved
    change_heat[..., 1:] += carried_heat
    change_heat[..., :-1] -= carried_heat
    return change / body.width, change_heat / body.width, out, out_heat


def _pace(t: Floats, body: Slab, laws: RindLaws) -> Floats:
    """Diffusivity of water that nothing obstructs. [m2/s]"""
    T, ref = t + ZERO_CELSIUS_K, laws.d_ref_c + ZERO_CELSIUS_K
    return np.asarray(body.diffusivity * np.exp(-body.activation / GAS_CONSTANT * (1.0 / T - 1.0 / ref)))


def _share(water: Floats, body: Slab, laws: RindLaws) -> Floats:
    """Share of the volume that is water, between the first nodes of the skin. [1]"""
    n, s = water.shape[-1], laws.stuff
    wet = np.maximum(water, 0.0) / 1000.0
    solid = (body.dry - body.fat)[:, :n] / s.protein_density + body.fat[:, :n] / s.fat_density
    return np.asarray(wet / (wet + solid))


def _warming(t: Floats, h: Floats, air_c: Floats, depth: Floats | float, k: Floats, around: Around, laws: RindLaws) -> Floats:
    """Heat that comes in at a face, by air and walls, through ``depth`` of the rind. [W/m2]"""
    T, Tw = t + ZERO_CELSIUS_K, air_c + ZERO_CELSIUS_K
    e = laws.carried.emissivity * laws.carried.stefan_boltzmann * around.radiation
    film = h + e * (Tw**2 + T**2) * (Tw + T)
    return np.asarray((air_c - t) / (1.0 / film + depth / k))


def _column(x: Floats | float) -> Floats:
    a = np.asarray(x, dtype=float)
    return a[:, None] if a.ndim else a
