"""Hours in bands of temperature, all added, beside the published most: bands are steps, nothing is drawn between them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from ingle.ground.tables import toml_table
from ingle.ground.units import HOUR_S
from ingle.safety import germs
from ingle.safety.conditions import Conditions
from ingle.safety.growth_answer import NOT_CHECKED
from ingle.safety.growth_record import GrowthRecord, time_in
from ingle.safety.growth_screen import screen
from ingle.safety.verdict import Verdict, level_of_max

_ACT = "Chill it now; if it is not cooked at once and eaten hot, throw it away."
_ACT_TOXIN = "Throw it away: cooking does not undo this poison."


def bands(germ: str) -> list[tuple[str, dict[str, Any]]]:
    """Records of one germ, from cold to warm."""
    return [(k, r) for k, r in toml_table("limits", "exposure.toml").items() if r.get("organism") == germs.require(germ)]


def hours_in(record: GrowthRecord, said: dict[str, Any]) -> float:
    """Hours of the worst place in one record's band."""
    return float(time_in(record, said["from_c"], said["to_c"]).max()) / HOUR_S


def judge(
    record: GrowthRecord, c: Conditions, organisms: Iterable[str], *, probe_error: float = 0.0, cooked: bool = False
) -> tuple[Verdict, ...]:
    """Every band a record enters, for germs that the places do not rule out by themselves.

    ``cooked``: it will be heated through before it is eaten; then only lines of germs whose poison outlasts the heat count, the
    others are told as advice.
    """
    out: list[Verdict] = []
    for germ in organisms:
        ruled = screen(germ, record, c, probe_error)
        if ruled.everywhere and ruled.factor != "temperature":
            continue
        for key, said in bands(germ):
            taken, most = hours_in(record, said), hours_in(record.warmer(probe_error), said)
            if max(taken, most) > 0:
                advice = cooked and not said["toxin"]
                out.append(_verdict(key, said, taken, most, "advice" if advice else "practice"))
    return tuple(out)


def judge_rule(record: GrowthRecord, rule: str, *, probe_error: float = 0.0) -> tuple[Verdict, ...]:
    """Lines for all germs together: ``out`` (out of the cold, home and trade), ``ready`` (raw, eaten so), ``come-up``.

    A line that holds only below or only above a temperature is left out where the record went the other way.
    """
    warmest = float(record.celsius.max())
    out = []
    for key, said in toml_table("limits", "exposure.toml").items():
        if said.get("rule") != rule or rule in ("degree-hours", "record"):
            continue
        if warmest > said.get("never_above_c", 1e9) or warmest <= said.get("ever_above_c", -1e9):
            continue
        out.append(_verdict(key, said, hours_in(record, said), hours_in(record.warmer(probe_error), said), said["kind"]))
    return tuple(out)


def _verdict(key: str, said: dict[str, Any], taken: float, most: float, kind: str) -> Verdict:
    limit = float(said["limit"]["max"])
    level = level_of_max(taken, limit, high=max(taken, most))
    act = "" if level == "within" else _ACT_TOXIN if said.get("toxin") else _ACT
    return Verdict(
        rule=f"exposure.{key}", title=said["about"], level=level, value=taken, limit=limit, unit="h", clause=said["clause"],
        source=said["source"], sure=said["sure"], kind=kind, high=max(taken, most), basis="all times added, in steps", act=act,
        doubt=said.get("doubt", ""), not_checked=NOT_CHECKED,
    )  # fmt: skip
