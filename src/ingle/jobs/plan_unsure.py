"""What a plan says of things that no forecast of it carries: a freezer's cold, meat that is eaten uncooked, brine that was poured off."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from ingle.ground.tables import toml_table
from ingle.jobs.plan_ahead import Doses
from ingle.planning.kit import Kit
from ingle.planning.parts import Part
from ingle.planning.problem import Placed, Task
from ingle.safety.verdict import Verdict

_SPREAD = 1.645  # 5 and 95 % of a normal spread
_POURED = "how much salt went with the liquid that was poured off"
_BAG = "that it lies in a bag: it is timed as in a lidded box, turned and with its liquid kept"


def frozen_verdicts(tasks: Sequence[Task], placed: Mapping[str, Placed], kit: Kit) -> list[Verdict]:
    """Each freezer that the plan uses, beside the temperature up to which days frozen are no more than days of quality."""
    keys = {key for t in tasks if t.id in placed for key in _stands(t, placed[t.id])}
    said = toml_table("limits", "keeping.toml")["frozen-quality"]
    limit = said["limit"]["max"]
    found = []
    for freezer in (f for f in kit.freezers if f.key in keys):
        off = _SPREAD * freezer.sd_c
        high = freezer.temperature_c + off
        level = "over" if freezer.temperature_c > limit else "near" if high > limit else "within"
        found.append(
            Verdict(
                rule=f"freezer.{freezer.key}", title=f"{freezer.name}: cold enough for the days that part files give", level=level,
                value=freezer.temperature_c, low=freezer.temperature_c - off, high=high, limit=limit, unit="C", clause=said["clause"], source=said["source"],
                sure=said["sure"], kind="practice", doubt=said["doubt"], act="" if level == "within" else f"Set it colder, to {limit - off:.0f} C.",
            )
        )  # fmt: skip
    return found


def _stands(task: Task, p: Placed) -> tuple[str, ...]:
    """Where a step and its wait stand."""
    return p.places or tuple(u.kit for u in (*task.uses, *task.waits_in))


def uncooked_verdicts(parts: Mapping[str, Part], doses: Doses) -> list[Verdict]:
    """A cure that is eaten uncooked: its salt is timed, its hurdles are not known before they are measured."""
    found = []
    for part, step in doses:
        cure = parts[part].cure
        if cure is None or cure.cooked:
            continue
        said = toml_table("limits", "hurdles.toml")["food-code-b-14"]
        found.append(
            Verdict(
                rule=f"uncooked@{part}.{step}", title=f"{parts[part].name}, eaten uncooked: {said['about']}", level="cannot_say", value=None,
                limit=said["limit"]["max"], unit=said["limit"]["unit"], clause=said["clause"], source=said["source"], sure=said["sure"], kind="practice",
                act="Measure its water activity and its pH before it is eaten, and ask how it keeps; or cook it.",
                not_checked=("water activity and pH at every place of the piece", "trichinae and other parasites"),
            )
        )  # fmt: skip
    return found


def begun_unsure(ready: Verdict, doses: Doses, key: tuple[str, str]) -> Verdict:
    """A box that is begun otherwise than it is timed: its verdict on being ready says so, or says nothing."""
    begun = doses[key].box.begun
    if any(b.liquid == "poured off" for b in begun):
        return replace(
            ready, level="cannot_say", not_checked=(*ready.not_checked, _POURED), act="Salt went with the liquid: fry a slice from the middle and taste it before the pull.",
        )  # fmt: skip
    return replace(ready, not_checked=(*ready.not_checked, _BAG)) if any(b.box is False for b in begun) else ready
