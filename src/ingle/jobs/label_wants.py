"""What a pack must be to be labelled at all, and what a country's rules ask for that it does not say."""

from __future__ import annotations

from ingle.ground.errors import BadBrief, OutOfRange
from ingle.jobs.label_nutrition import Panel, per_serving, unknown_nutrients
from ingle.jobs.label_pack import DATE_KINDS, Pack
from ingle.jobs.label_words import declared, in_french
from ingle.safety.label_rules import LabelRules

OR_HOME = "Or print a home label: --home."
_GRAMS = ("fat", "carbohydrate", "protein", "salt", "fibre", "alcohol")


def check(pack: Pack) -> None:
    """Weights and values that can be.

    Raises
    ------
    BadBrief
        No name, no lot, a kind of date that is not known.
    OutOfRange
        A weight, a serving or nutrients that cannot be.
    """
    if not pack.name.strip() or not pack.lot.strip():
        what = "name" if not pack.name.strip() else "lot"
        raise BadBrief(f"the label has no {what}.", field=what, value="", remedy=f"Give its {what}.")
    if not 0 < pack.net_g < 1e6:
        raise OutOfRange("net weight lies between 0 and 1,000 kg.", field="net", value=f"{pack.net_g:g} g", limit="above 0 g")
    for one in pack.ingredients:
        if not one.grams > 0:
            raise OutOfRange(f"{one.name} weighs nothing.", field="ingredients", value=f"{one.grams:g} g", limit="above 0 g")
        total = sum(v for k, v in (one.per_100g or {}).items() if k in _GRAMS)
        if one.per_100g and (min(one.per_100g.values()) < 0 or total > 105):
            raise OutOfRange(
                f"100 g of {one.name} would hold {total:.4g} g of fat, carbohydrate, fibre, protein and salt.",
                field="per_100g", value=f"{total:.4g} g", limit="0 to 100 g", remedy="Give the values per 100 g.",
            )  # fmt: skip
    if pack.date_kind not in DATE_KINDS:
        raise BadBrief(f"date kind {pack.date_kind!r} is not known.", field="date_kind", value=pack.date_kind, limit=", ".join(DATE_KINDS))
    if pack.serving_g is not None and not 0 < pack.serving_g <= pack.net_g:
        raise OutOfRange(
            f"a serving of {pack.serving_g:g} g does not come out of a pack of {pack.net_g:g} g.", field="serving", value=f"{pack.serving_g:g} g",
            limit=f"above 0 to {pack.net_g:g} g", remedy="Give what one person takes, at most the pack.",
        )  # fmt: skip
    went_in = sum(i.grams for i in pack.ingredients)
    if pack.finished_g is not None and went_in and not 0.05 * went_in < pack.finished_g <= 1.5 * went_in:
        raise OutOfRange(
            f"{pack.finished_g:g} g came of {went_in:g} g.", field="finished", value=f"{pack.finished_g:g} g", limit=f"up to {1.5 * went_in:g} g",
            remedy="Give the weight of the whole batch as it is packed.",
        )  # fmt: skip


def require(pack: Pack, found: LabelRules, declaration: Panel) -> None:
    """Refuse while something the rules ask for is missing, and say what.

    Raises
    ------
    BadBrief
        Something is missing, a date of a kind the country does not have, or a text in its second language.
    """
    order = tuple(found.records["particulars"]["order"])
    have = {
        "ingredients": bool(pack.ingredients), "date": pack.date is not None, "storage": bool(pack.storage), "operator": bool(pack.operator),
        "nutrition": bool(declaration.rows) or bool(pack.exempt),
    }  # fmt: skip
    missing = [k for k in order if not have.get(k, True)]
    if missing:
        raise BadBrief(
            f"a label for sale needs {', '.join(missing)}.", field=missing[0], value="missing", limit=", ".join(order),
            remedy=" ".join((*(("Give them.",) if missing != ["nutrition"] else ()), *(_about_nutrition(pack, found) if "nutrition" in missing else ()), OR_HOME)),
        )  # fmt: skip
    refused = found.records["date"].get("refused", {}).get(pack.date_kind)
    if pack.date is not None and refused:
        raise BadBrief(refused, field=pack.date_kind, value=str(pack.date), limit="best_before", remedy="Give the date as best_before.")
    _require_french(pack, found)


def _about_nutrition(pack: Pack, found: LabelRules) -> tuple[str, ...]:
    """What is not known, and when none is asked for."""
    unknown, told = unknown_nutrients(pack, found), []
    if unknown:
        told.append(f"Not known: {'; '.join(unknown)}.")
    if per_serving(found) and pack.serving_g is None:
        told.append("A serving is asked for (serving), like 50g.")
    told.append("Nutrition can be left out where a reason is given (exempt).")
    if "exempt" in found.records:
        about = found.records["exempt"]["about"]
        told.append(f"{about[:1].upper()}{about[1:]}.")
    return tuple(told)


def _require_french(pack: Pack, found: LabelRules) -> None:
    if "fr" not in found.records.get("languages", {}).get("asks", ()) or pack.one_language:
        return
    lacks = [k for k, given in (("name", pack.name_fr), ("storage", pack.storage_fr)) if not given]
    lacks += [one.name for one in declared(pack, found) if not in_french(one, found)]
    if pack.serving_words and not pack.serving_words_fr and not pack.exempt:
        lacks.append("serving_words")
    if lacks:
        raise BadBrief(
            f"a label for sale stands in English and French. French is missing of: {', '.join(lacks)}.", field="name_fr", value="missing",
            limit="name_fr, storage_fr, name_fr of each ingredient",
            remedy="Write them; or the reason why one language is enough (one_language), like food sold in one place only.",
        )  # fmt: skip
