"""What one record says of one content: a level, or why it cannot say."""

from __future__ import annotations

from typing import Any

from ingle.safety.limit_things import MOLAR, Limit
from ingle.safety.verdict import Verdict, level_of_max, level_of_min

INGOING = ("ingoing_green_weight", "ingoing_product")  # limits on what is added; all other bases are of what is left


def said_of(rule: Limit, value: float | None, spread: float, use: str) -> list[Verdict]:
    """A record's verdicts.

    Parameters
    ----------
    value : float or None
        What the mix holds, in the form the record counts [mg/kg]; None: nothing of it.
    spread : float
        Relative spread of ``value`` [1].
    use : str
        ``table`` or ``sale``.
    """
    unit = f"mg/kg as {rule.counted}" if rule.counted in MOLAR else "mg/kg"
    said: dict[str, Any] = {
        "rule": rule.rule,
        "title": rule.about,
        "unit": unit,
        "clause": rule.clause,
        "source": rule.source,
        "sure": rule.sure,
        "country": rule.country,
        "basis": rule.basis,
        "doubt": rule.doubt,
    }
    if rule.substance == "salt":
        least = rule.limit["min"]
        return [
            Verdict(
                **said,
                level="cannot_say",
                value=None,
                limit=least,
                kind="advice",
                act="Have the finished product analysed.",
            )
        ]
    if value is None:
        return []
    if not {"min", "required", "max"} & set(rule.limit):
        if rule.substance not in ("nitrite_any", "sodium_nitrite") or rule.sure == "gap":
            what = "no figure is known here" if rule.sure == "gap" else f"the rule is in words: {rule.printed}"
            return [
                Verdict(
                    **said,
                    level="cannot_say",
                    value=value,
                    limit=None,
                    not_checked=(what,),
                    act="Ask the authority named.",
                )
            ]
        return []
    if rule.basis not in INGOING:
        return [
            Verdict(
                **said,
                level="cannot_say",
                value=None,
                limit=rule.maximum,
                not_checked=("what is left cannot be shown by calculation; only an analysis of the product can",),
            )
        ]
    low, high = value * (1 - spread), value * (1 + spread)
    found = []
    if rule.maximum is not None:
        level = level_of_max(value, rule.maximum, low, high)
        if rule.maximum == 0 and value > 0:
            level = "over"
        act = ""
        if level == "over":
            act = "Not for sale at this dose." if use == "sale" else "Over a limit for food that is sold: weigh less."
        found.append(Verdict(**said, level=level, value=value, limit=rule.maximum, low=low, high=high, act=act))
    for key in ("min", "required"):
        if key in rule.limit:
            least = rule.limit[key]
            level = level_of_min(value, least, low)
            said_again = said | {"rule": f"{rule.rule}.{key}", "title": f"{rule.about}: at least"}
            found.append(
                Verdict(
                    **said_again,
                    level=level,
                    value=value,
                    limit=least,
                    low=low,
                    high=high,
                    kind="advice",
                    act="Asked of inspected plants; no duty at home." if level == "over" else "",
                )
            )
    return found
