"""Butter: from cream to butter and buttermilk, its salt, the cream's fat and warmth, and whether it may be called butter."""

from __future__ import annotations

from dataclasses import replace

from ingle.crafts import butter as craft
from ingle.ground import units
from ingle.ground.errors import BadBrief
from ingle.jobs.figures import Act, BenchAnswer, Care, Figure, Group, ends, record, spread
from ingle.safety.verdict import Verdict

NOT_CHECKED = ("how long butter and buttermilk keep",)
_FAT, _BAND, _BUTTERMILK = "balances.butterfat", "practice.butter.fat_per_butter", "practice.butter.fat_per_buttermilk"
_STALLED, _RIPEN = "practice.butter.stalled", "practice.butter.ripen_temperature_c"


def butter(
    *, fat_per_cream: float, cream_g: float | None = None, butter_g: float | None = None, fat_per_butter: float | None = None,
    fat_per_buttermilk: float | None = None, salt: float = 0.0, use: str = "table", standardise_to: float | None = None, with_fat: float | None = None,
    cream_c: float | None = None, churned_min: float = 0.0, heat_treatment: str = "pasteurised", ripen_c: float | None = None, weighed_g: float | None = None,
) -> BenchAnswer:  # fmt: skip
    """Reckon one churning, forward from the cream or back from the butter.

    Parameters
    ----------
    fat_per_cream, fat_per_butter, fat_per_buttermilk : float
        [g/g]; the last two, left out, are bands of practice and give the yield its spread.
    cream_g, butter_g : float
        One of them: the cream there is, or the finished butter that is wished, its salt in it. [g]
    salt : float
        Per salted butter. [g/g]
    use : str
        ``sale``: fat, water and milk solids are judged by the standard for butter.
    standardise_to, with_fat : float, optional
        The cream is first brought to this fat with milk or cream of that fat. [g/g]
    cream_c, churned_min, heat_treatment
        The cream in the churn: is it in the band, and should it have broken by now? [degC], [min]
    ripen_c : float, optional
        A cultured cream stands at this temperature. [degC]
    weighed_g : float, optional
        Butter that came, before salt: its overrun by weighing. [g]
    """
    if (cream_g is None) == (butter_g is None):
        raise BadBrief("Give the cream there is, or the butter that is wished: one of both.", field="cream", value="both" if cream_g is not None else "missing",
                       limit="one of both", remedy="Give the cream, like 1 kg.")  # fmt: skip
    if (standardise_to is None) != (with_fat is None):
        raise BadBrief("To standardise a cream takes two fats: the one wished and that of the milk.", field="standardise-to", value="one of them", limit="both",
                       remedy="Give both, like 36% and 3.5%.")  # fmt: skip
    churned = standardise_to if standardise_to is not None else fat_per_cream
    groups, mixed_g = [], cream_g
    if standardise_to is not None and cream_g is not None and with_fat is not None:
        mixed_g = craft.standardise(standardise_to, fat_per_cream, with_fat, first_g=cream_g).mix_g
    three = _ends(mixed_g, butter_g, churned, fat_per_butter, fat_per_buttermilk, salt)
    likely = three[1]
    if standardise_to is not None and with_fat is not None:
        groups.append(_standardised(craft.standardise(standardise_to, fat_per_cream, with_fat, mix_g=likely.cream_g)))
    finished = craft.salted(likely, salt)
    groups.append(_churned(three, salt))
    groups.append(_composition(likely, finished, fat_per_butter))
    if weighed_g is not None:
        groups.append(_weighed(weighed_g, likely.cream_g, churned))
    verdicts: tuple[Verdict, ...] = ()
    unseen: tuple[str, ...] = NOT_CHECKED
    if use == "sale":
        verdicts = tuple(_in_percent(v) for v in craft.judge_composition(finished))
        groups += _too_wet(finished)
    else:
        unseen = ("whether it may be sold as butter", *unseen)
    acts = _churning(cream_c, churned_min, heat_treatment)
    cares: tuple[Care, ...] = ()
    if ripen_c is not None:
        group, more = _ripened(ripen_c, likely.cream_g)
        groups.append(group)
        acts += more
        said = record(_STALLED)
        cares = (Care(f"{said['act']} {said['why']}", _STALLED),)
    told = "the buttermilk's and the butter's fat are bands of practice" if fat_per_butter is None and fat_per_buttermilk is None else ""
    return BenchAnswer(
        f"{units.show_mass(likely.cream_g)} of cream, {units.show_fraction(churned)} fat", tuple(groups), verdicts, acts, tuple(filter(None, (told,))),
        craft.NOT_MODELLED, unseen, cares,
    )  # fmt: skip


def _ends(cream_g: float | None, butter_g: float | None, fat: float, in_butter: float | None, in_buttermilk: float | None, salt: float) -> tuple[craft.Churned, ...]:
    """The churning with least, likely and most butter, where its fats are bands."""
    rich = spread(_BAND) if in_butter is None else (in_butter,) * 3
    lost = spread(_BUTTERMILK) if in_buttermilk is None else (in_buttermilk,) * 3
    pairs = ((rich[2], lost[2]), (rich[1], lost[1]), (rich[0], lost[0]))
    if cream_g is not None:
        return tuple(craft.churn(cream_g, fat, b, m) for b, m in pairs)
    assert butter_g is not None
    return tuple(craft.cream_for(butter_g * (1.0 - salt), fat, b, m) for b, m in pairs)


def _standardised(mix: craft.Standardised) -> Group:
    return Group("Standardise the cream", {
        "cream_in_mix_g": Figure("Cream", mix.first_g, "g", "balances.pearson_square"), "milk_in_mix_g": Figure("Milk or thinner cream", mix.second_g, "g", "balances.pearson_square"),
        "mix_g": Figure("Together", mix.mix_g, "g", "balances.pearson_square"),
    })  # fmt: skip


def _churned(three: tuple[craft.Churned, ...], salt: float) -> Group:
    low, likely, high = three
    from_cream = low.cream_g == high.cream_g
    mass = [craft.salted(e, salt).butter_g for e in three]
    found = {
        "cream_g": Figure("Cream to churn", likely.cream_g, "g", _FAT, *(() if from_cream else ends(high.cream_g, low.cream_g))),
        "butter_g": Figure("Butter, salted" if salt else "Butter", mass[1], "g", _FAT, *(ends(mass[0], mass[2]) if from_cream else ())),
        "buttermilk_g": Figure("Buttermilk", likely.buttermilk_g, "g", _FAT, *ends(*sorted((high.buttermilk_g, low.buttermilk_g)))),
    }
    if salt:
        grams = [craft.salted(e, salt).salt_g for e in three]
        found["salt_g"] = Figure("Salt to work in", grams[1], "g", _FAT, *(ends(grams[0], grams[2]) if from_cream else ()))
        found["salt_per_butter"] = Figure("Salt per butter", units.per_hundred(salt), "%", "practice.butter.salt_per_butter")
    return Group("Churn", found, "Weigh the butter that came, and take the salt by that weight." if salt else "")


def _composition(made: craft.Churned, finished: craft.Salted, told: float | None) -> Group:
    found = {
        "overrun": Figure("Overrun", units.per_hundred(made.overrun), "%", "balances.overrun"),
        "fat_recovered": Figure("Cream's fat in the butter", units.per_hundred(made.fat_recovered), "%", _FAT),
        "fat_per_butter": Figure("Fat in the butter", units.per_hundred(finished.fat_per_butter), "%", _BAND if told is None else _FAT),
        "water_per_butter": Figure("Water in the butter", units.per_hundred(finished.water_per_butter), "%", "dairy.plasma"),
        "snf_per_butter": Figure("Milk solids-not-fat", units.per_hundred(finished.snf_per_butter), "%", "dairy.plasma"),
    }
    if finished.salt_g:
        found["salt_in_water_phase"] = Figure("Salt in its water phase", units.per_hundred(finished.salt_in_water_phase), "%", "balances.water_phase")
    return Group("Composition", found)


def _weighed(butter_g: float, cream_g: float, fat: float) -> Group:
    """How much butter came of the fat that was churned: what it holds beside fat, less what the buttermilk took."""
    return Group("By weighing", {"overrun_weighed": Figure("Overrun of the churn", units.per_hundred(craft.overrun(butter_g, cream_g * fat)), "%", "balances.overrun_churn")},
                 "Below the overrun by composition: fat stayed in the buttermilk or the churn.")  # fmt: skip


def _too_wet(finished: craft.Salted) -> list[Group]:
    water = craft.water_to_work_out(finished.butter_g, finished.water_per_butter)
    return [Group("To be sold", {"work_out_g": Figure("Water to work out", water, "g", "balances.work_out")})] if water > 0 else []


def _in_percent(v: Verdict) -> Verdict:
    """The standard is printed in percent."""
    value, limit, low, high = (None if n is None else units.per_hundred(n) for n in (v.value, v.limit, v.low, v.high))
    return replace(v, unit="%", value=value, limit=limit, low=low, high=high)


def _churning(cream_c: float | None, minutes: float, heat_treatment: str) -> tuple[Act, ...]:
    if cream_c is None:
        return ()
    told = craft.churn_advice(cream_c, minutes, heat_treatment)
    return (Act(told.level, told.act or f"Churn it: {cream_c:g} C is in the band.", told.doubt, "practice.butter.churn_temperature_c"),)


def _ripened(celsius: float, cream_g: float) -> tuple[Group, tuple[Act, ...]]:
    told = craft.ripening(celsius)
    dose, rest = spread("practice.butter.culture_per_cream"), spread("practice.butter.crystallise_h")
    group = Group("Ripen the cream", {
        "culture_g": Figure("Culture to stir in", cream_g * dose[1], "g", "practice.butter.culture_per_cream", cream_g * dose[0], cream_g * dose[2]),
        "ripening_h": Figure(f"At {celsius:g} C", told.likely_h, "h", "dairy.ripening", told.earliest_h, told.latest_h),
        "crystallise_h": Figure("Then cold, until churned", rest[1], "h", "practice.butter.crystallise_h", rest[0], rest[2]),
    }, "The pH says when it is ripe, not the clock.")  # fmt: skip
    return group, () if told.usual else (Act("near", "Ripen between 18 and 22 C.", "outside it the hours are carried on by one culture's growth", _RIPEN),)
