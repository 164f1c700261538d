"""Bread: a formula scaled to loaves, dough or flour, with what a preferment brings; and a dough taken apart that was mixed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ingle.crafts import bread as craft
from ingle.ground import units
from ingle.ground.errors import BadBrief
from ingle.jobs.figures import BenchAnswer, Figure, Group, record

NOT_CHECKED = ("how strong the flour is and how much water it takes", "when it is proved: see the dough")
_PERCENT, _LOSS, _LOAF, _SCALED = "balances.bakers_percentage", "balances.bake_loss", "practice.bread.loaf_per_dough", "practice.bread.scaled_per_mixed"
_BUTTERMILK = "balances.buttermilk_water"


def bread(
    *, loaf_g: float | None = None, pieces: int = 1, dough_g: float | None = None, flour_g: float | None = None, hydration: float = 0.65, salt: float = 0.02,
    preferment: float = 0.0, share_of: str = "flour", preferment_hydration: float = 1.0, others: Mapping[str, float] | None = None, buttermilk: bool = False,
    baked: tuple[float, float] | None = None,
) -> BenchAnswer:  # fmt: skip
    """Weights for a formula of baker's percentages.

    Parameters
    ----------
    loaf_g, dough_g, flour_g : float
        One of them: a cooled loaf of which ``pieces`` are wished, all the dough, or all the flour, the preferment's in it. [g]
    hydration, salt, others : float, mapping
        Per all flour. [g/g]
    preferment, share_of, preferment_hydration
        Share of all flour that is fermented before (``flour``), or the preferment's weight per all flour (``weight``); its water per its flour.
    buttermilk : bool
        In place of the water of the final mix.
    baked : (g, g), optional
        Dough and cooled loaf of one bake of yours: its loss stands beside the band.
    """
    if sum(v is not None for v in (loaf_g, dough_g, flour_g)) != 1:
        raise BadBrief("How much is wished is not said in one way.", field="loaf", value="loaf, dough, flour", limit="one of them",
                       remedy="Give the weight of a loaf, of all the dough, or of all the flour.")  # fmt: skip
    formula = {"flour": 1.0, "water": hydration, "salt": salt, **(others or {})}
    whole = None if loaf_g is None else craft.dough_for(loaf_g, pieces)
    dough_g = dough_g if whole is None else whole.mix_g
    mass = dough_g if dough_g is not None else (flour_g or 0.0) * sum(formula.values())
    all_ = craft.scale(formula, mass)
    before = craft.preferment_of(all_["flour"], preferment, preferment_hydration, share_of)
    left = craft.final_mix(all_["flour"], all_["water"], before)
    groups = []
    if before.weight_g:
        groups.append(Group("Preferment, mixed before", {
            "preferment_g": Figure("All of it", before.weight_g, "g", _PERCENT), "preferment_flour_g": Figure("Flour in it", before.flour_g, "g", _PERCENT),
            "preferment_water_g": Figure("Water in it", before.water_g, "g", _PERCENT),
        }))  # fmt: skip
    groups.append(_mix(left, all_, buttermilk))
    if whole is not None:
        groups.append(_loaves(whole, baked))
    groups.append(_percentages(all_, left.prefermented_per_flour))
    return BenchAnswer(_asked(loaf_g, pieces, mass), tuple(groups), not_modelled=craft.NOT_MODELLED if loaf_g is not None else (), not_checked=NOT_CHECKED)


def bread_made(
    flour_g: float, water_g: float, salt_g: float = 0.0, *, preferments: Sequence[tuple[float, float]] = (), buttermilk_g: float = 0.0,
    others: Mapping[str, float] | None = None,
) -> BenchAnswer:  # fmt: skip
    """Baker's percentages of a dough from what went into it; ``preferments`` are (g, water per flour), ``others`` in g."""
    told = craft.totals(
        flour_g, water_g, salt_g, [craft.Preferment(g, h) for g, h in preferments], other_liquid_g=buttermilk_g, water_per_liquid=record(_BUTTERMILK)["value"]
    )
    more = craft.percentages({"flour": told.flour_g, **(others or {})}, ["flour"])
    found = {
        "hydration": Figure("Hydration", units.per_hundred(told.water_per_flour), "%", _PERCENT),
        "salt_per_flour": Figure("Salt per flour", units.per_hundred(told.salt_per_flour), "%", _PERCENT),
        "prefermented_per_flour": Figure("Flour of the preferment", units.per_hundred(told.prefermented_per_flour), "%", _PERCENT),
    }
    found |= {f"{_key(name)}_per_flour": Figure(f"{_capital(name)} per flour", units.per_hundred(share), "%", _PERCENT) for name, share in more.items() if name != "flour"}
    weights = {
        "flour_g": Figure("All flour", told.flour_g, "g", _PERCENT), "water_g": Figure("All water", told.water_g, "g", _BUTTERMILK if buttermilk_g else _PERCENT),
        "dough_g": Figure("All the dough", told.dough_g + sum((others or {}).values()), "g", _PERCENT),
    }  # fmt: skip
    return BenchAnswer(f"a dough of {units.show_mass(flour_g)} flour and {units.show_mass(water_g)} water, taken apart", (Group("Baker's percentages", found), Group("Weights", weights)),
                       not_checked=NOT_CHECKED)  # fmt: skip


def _asked(loaf_g: float | None, pieces: int, dough_g: float) -> str:
    if loaf_g is None:
        return f"{units.show_mass(dough_g)} of dough"
    return f"{pieces} loaves of {units.show_mass(loaf_g)}, cooled" if pieces > 1 else f"a loaf of {units.show_mass(loaf_g)}, cooled"


def _loaves(whole: craft.LoafYield, baked: tuple[float, float] | None) -> Group:
    low, high = whole.dough_piece_low_g, whole.dough_piece_high_g
    found = {
        "dough_piece_g": Figure("Scale each piece at", whole.dough_piece_g, "g", _LOAF, low, high),
        "dough_g": Figure("Dough to mix", whole.mix_g, "g", _SCALED),
    }
    if baked is not None:
        loss = craft.bake_loss(*baked)
        found["own_loss"] = Figure("Your own loss in baking", units.per_hundred(loss), "%", _LOSS)
        if loss < 1.0:
            found["own_piece_g"] = Figure("By your own loss, scale at", whole.loaf_g / (1.0 - loss), "g", _LOSS)
    return Group("Loaves", found, "For a promised weight scale at the upper figure: it loses most then.")


def _mix(left: craft.FinalMix, all_: Mapping[str, float], buttermilk: bool) -> Group:
    found = {"mix_flour_g": Figure("Flour", left.flour_g, "g", _PERCENT), "mix_water_g": Figure("Water", left.water_g, "g", _PERCENT)}
    note = ""
    if buttermilk:
        water = record(_BUTTERMILK)["value"]
        sour = craft.buttermilk_for_water(left.water_g, water)
        found["mix_water_g"] = Figure("Water", 0.0, "g", _PERCENT)
        found["buttermilk_g"] = Figure("Buttermilk for the water", sour, "g", _BUTTERMILK)
        note = f"Its solids make the dough {sour * (1.0 - water):.0f} g heavier."
    if left.preferment.weight_g:
        found["mix_preferment_g"] = Figure("Preferment", left.preferment.weight_g, "g", _PERCENT)
    found |= {f"mix_{_key(k)}_g": Figure(_capital(k), g, "g", _PERCENT) for k, g in all_.items() if k not in ("flour", "water")}
    return Group("Final mix", found, note)


def _percentages(all_: Mapping[str, float], before: float) -> Group:
    flour = all_["flour"]
    found = {"flour_g": Figure("All flour, 100 %", flour, "g", _PERCENT), "water_g": Figure("All water", all_["water"], "g", _PERCENT)}
    found |= {"hydration": Figure("Hydration", units.per_hundred(all_["water"] / flour), "%", _PERCENT)}
    found |= {f"{_key(k)}_per_flour": Figure(_capital(k), units.per_hundred(g / flour), "%", _PERCENT) for k, g in all_.items() if k not in ("flour", "water")}
    if before:
        found["prefermented_per_flour"] = Figure("Flour of the preferment", units.per_hundred(before), "%", _PERCENT)
    return Group("Baker's percentages", found)


def _key(name: str) -> str:
    return name.strip().lower().replace(" ", "_").replace("-", "_")


def _capital(name: str) -> str:
    return name[:1].upper() + name[1:]
