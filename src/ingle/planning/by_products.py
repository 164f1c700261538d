"""What one part makes for another, as tasks: kept in the fridge, or frozen and thawed.

A by-product has a longest time in the fridge. Where it may be frozen and there is a freezer, freezing is a
choice of the plan: two short visits in return for weeks.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from ingle.ground.things import Band
from ingle.planning.kit import Cold, Kit
from ingle.planning.parts import Give, Part, StepSpec
from ingle.planning.plan import Flow
from ingle.planning.problem import Link, Task, Use
from ingle.planning.quantities import Quantities
from ingle.planning.spans import span

_PACK_MIN = 5  # to pack and label, to take out: common practice
_FREEZE_WITHIN_MIN = 24 * 60  # common practice: what is frozen goes in fresh
_FREEZE_LEAST_MIN = 12 * 60  # frozen through: common practice
_THAWED_KEEPS_MIN = 24 * 60  # used within a day of thawing: common practice


@dataclass(frozen=True)
class Move:
    """One flow from the step that makes it to the step that takes it."""

    made: str  # task id
    taken: str
    tasks: tuple[Task, ...]
    links: tuple[Link, ...]
    steps: dict[str, StepSpec]


def moves(
    parts: Mapping[str, Part], quantities: Quantities, kit: Kit
) -> tuple[tuple[Move, ...], tuple[str, ...]]:
    """Every flow between parts, and the names of the choices to freeze."""
    found, choices = [], []
    for flow in quantities.flows:
        if flow.to_part is None or flow.amount_g <= 0:
            continue
        give = next(g for g in parts[flow.from_part].gives if g.item == flow.item)
        take = next(t for t in parts[flow.to_part].takes if t.item == flow.item)
        made, taken = f"{flow.from_part}.{give.at}", f"{flow.to_part}.{take.at}"
        if give.main:
            found.append(Move(made, taken, (), (_fresh_link(give, made, taken, None),), {}))
            continue
        frozen = f"{flow.to_part}.{flow.item}.frozen" if give.keeps.frozen_min and kit.freezers else None
        if frozen:
            choices.append(frozen)
        found.append(_move(flow, give, made, taken, kit, frozen))
    return tuple(found), tuple(choices)


def _fresh_link(give: Give, made: str, taken: str, unless: str | None) -> Link:
    keeps = give.keeps.fridge_min
    words = f"{give.name} keeps {span(keeps)} in the fridge" if keeps else f"{give.name} is made first"
    return Link(made, taken, 0, keeps, words, unless=unless)


def _move(flow: Flow, give: Give, made: str, taken: str, kit: Kit, frozen: str | None) -> Move:
    base = f"{flow.to_part}.{flow.item}"
    litres = max(1, math.ceil(give.keeps.litres_per_kg * flow.amount_g / 1000 - 1e-9))
    tasks, links, steps = [], [_fresh_link(give, made, taken, frozen)], {}
    if kit.fridges and give.keeps.fridge_min:
        keep = f"{base}-keep"
        tasks.append(
            Task(
                keep,
                flow.to_part,
                f"Keep the {give.name}",
                0,
                give.keeps.fridge_min,
                uses=(_in(kit.fridges, litres),),
                unless=frozen,
                reason=f"{give.name} keeps {span(give.keeps.fridge_min)} in the fridge",
            )
        )
        links += [
            Link(made, keep, 0, 0, f"{give.name} goes into the fridge", unless=frozen),
            Link(keep, taken, 0, 0, f"{give.name} comes from the fridge", unless=frozen),
        ]
        steps[keep] = _spec(f"{flow.item}-keep", f"Keep the {give.name}", give.keeps.fridge_min)
    if frozen:
        _freeze(flow, give, made, taken, kit, frozen, litres, tasks, links, steps)
    return Move(made, taken, tuple(tasks), tuple(links), steps)


def _freeze(
    flow: Flow,
    give: Give,
    made: str,
    taken: str,
    kit: Kit,
    choice: str,
    litres: int,
    tasks: list[Task],
    links: list[Link],
    steps: dict[str, StepSpec],
) -> None:
    freeze, thaw = f"{flow.to_part}.{flow.item}-freeze", f"{flow.to_part}.{flow.item}-thaw"
    thaws = max(_PACK_MIN, give.keeps.thaw_min or 0)
    tasks += [
        Task(
            freeze,
            flow.to_part,
            f"Freeze the {give.name}",
            _PACK_MIN,
            _PACK_MIN,
            hands_start_min=_PACK_MIN,
            waits_in=(_in(kit.freezers, litres),),
            next_id=thaw,
            only_if=choice,
            reason=f"Freeze the {give.name} takes {_PACK_MIN} min",
        ),
        Task(
            thaw,
            flow.to_part,
            f"Thaw the {give.name}",
            thaws,
            thaws + _THAWED_KEEPS_MIN,
            hands_start_min=_PACK_MIN,
            uses=(_in(kit.fridges, litres),) if kit.fridges else (),
            only_if=choice,
            reason=f"{give.name} thaws in {span(thaws)}",
        ),
    ]
    soon = min(_FREEZE_WITHIN_MIN, give.keeps.fridge_min or _FREEZE_WITHIN_MIN)
    links += [
        Link(made, freeze, 0, soon, f"{give.name} is frozen within {span(soon)}", only_if=choice),
        Link(
            freeze,
            thaw,
            _FREEZE_LEAST_MIN,
            give.keeps.frozen_min,
            f"{give.name} keeps {span(give.keeps.frozen_min or 0)} frozen",
            only_if=choice,
        ),
        Link(thaw, taken, 0, 60, f"{give.name} is used when it is thawed", only_if=choice),
    ]
    steps[freeze] = _spec(f"{flow.item}-freeze", f"Freeze the {give.name}", _PACK_MIN)
    steps[thaw] = _spec(f"{flow.item}-thaw", f"Thaw the {give.name}", thaws)


def _in(cold: tuple[Cold, ...], litres: int) -> Use:
    return Use(cold[0].key, litres, None, tuple(c.key for c in cold[1:]))


def _spec(key: str, name: str, lasts: int) -> StepSpec:
    return StepSpec(key, name, Band(lasts, lasts, lasts))
