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
_TAKEN_WITHIN_MIN = 60  # out of the fridge: common practice
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
        frozen = (
            f"{flow.to_part}.{flow.item}.frozen"
            if give.keeps.frozen_min and kit.freezers and kit.fridges
            else None
        )
        if frozen:
            choices.append(frozen)
        found.append(_move(flow, give, (made, taken), kit, frozen))
    return tuple(found), tuple(choices)


def _fresh_link(give: Give, made: str, taken: str, unless: str | None) -> Link:
    keeps = give.keeps.fridge_min
    words = f"{give.name} keeps {span(keeps)} in the fridge" if keeps else f"{give.name} is made first"
    return Link(made, taken, 0, keeps, words, unless=unless)


def _move(flow: Flow, give: Give, ends: tuple[str, str], kit: Kit, frozen: str | None) -> Move:
    made, taken = ends
    litres = max(1, math.ceil(give.keeps.litres_per_kg * flow.amount_g / 1000 - 1e-9))
    move = Move(made, taken, (), (_fresh_link(give, made, taken, frozen),), {})
    if kit.fridges and give.keeps.fridge_min:
        move = _kept(move, flow, give, _in(kit.fridges, litres), frozen)
    if frozen:
        move = _frozen(move, flow, give, (_in(kit.freezers, litres), _in(kit.fridges, litres)), frozen)
    return move


def _kept(move: Move, flow: Flow, give: Give, fridge: Use, unless: str | None) -> Move:
    """It waits in the fridge, and takes room there, from the step that makes it to the one that takes it."""
    keeps = give.keeps.fridge_min or 0
    task = Task(
        f"{flow.to_part}.{flow.item}-keep",
        flow.to_part or "",
        f"Keep the {give.name}",
        0,
        keeps,
        uses=(fridge,),
        unless=unless,
        reason=f"{give.name} keeps {span(keeps)} in the fridge",
    )
    links = (
        Link(move.made, task.id, 0, 0, f"{give.name} goes into the fridge", unless=unless),
        Link(task.id, move.taken, 0, 0, f"{give.name} comes from the fridge", unless=unless),
    )
    return _with(move, (task,), links)


def _frozen(move: Move, flow: Flow, give: Give, cold: tuple[Use, Use], choice: str) -> Move:
    """Frozen soon after it is made, thawed just before it is taken; ``cold`` is freezer and fridge."""
    base, part = f"{flow.to_part}.{flow.item}", flow.to_part or ""
    thaws = max(_PACK_MIN, give.keeps.thaw_min or 0)
    freeze = Task(
        f"{base}-freeze",
        part,
        f"Freeze the {give.name}",
        _PACK_MIN,
        _PACK_MIN,
        hands_start_min=_PACK_MIN,
        waits_in=(cold[0],),
        next_id=f"{base}-thaw",
        only_if=choice,
        reason=f"Freeze the {give.name} takes {_PACK_MIN} min",
    )
    thaw = Task(
        f"{base}-thaw",
        part,
        f"Thaw the {give.name}",
        thaws,
        thaws + _THAWED_KEEPS_MIN,
        hands_start_min=_PACK_MIN,
        uses=(cold[1],),
        only_if=choice,
        reason=f"{give.name} thaws in {span(thaws)}",
    )
    soon = min(_FREEZE_WITHIN_MIN, give.keeps.fridge_min or _FREEZE_WITHIN_MIN)
    most = give.keeps.frozen_min or 0
    keeps = f"{give.name} keeps {span(most)} frozen"
    links = (
        Link(move.made, freeze.id, 0, soon, f"{give.name} is frozen within {span(soon)}", only_if=choice),
        Link(freeze.id, thaw.id, min(_FREEZE_LEAST_MIN, most), most, keeps, only_if=choice),
        Link(
            thaw.id,
            move.taken,
            0,
            _TAKEN_WITHIN_MIN,
            f"{give.name} is used when it is thawed",
            only_if=choice,
        ),
    )
    return _with(move, (freeze, thaw), links)


def _with(move: Move, tasks: tuple[Task, ...], links: tuple[Link, ...]) -> Move:
    steps = {
        t.id: StepSpec(t.id.rpartition(".")[2], t.name, Band(t.least_min, t.least_min, t.least_min))
        for t in tasks
    }
    return Move(move.made, move.taken, (*move.tasks, *tasks), (*move.links, *links), move.steps | steps)


def _in(cold: tuple[Cold, ...], litres: int) -> Use:
    return Use(cold[0].key, litres, None, tuple(c.key for c in cold[1:]))
