"""Does a part agree with itself, and with the parts it is cooked with?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from graphlib import CycleError, TopologicalSorter

from ingle.ground.errors import OutOfRange
from ingle.planning.parts import Part, StepSpec, main_give
from ingle.planning.values import nearest, refuse, unknown

_BALANCE = 0.03  # takes times yield must come to 1 within this


def check_part(part: Part) -> None:
    """Refuse a part that contradicts itself.

    Raises
    ------
    BadBrief
        A name used twice or not known, steps that wait for each other, no main product.
    OutOfRange
        Masses that do not add up, hands longer than their step.
    """
    _unique("step", (s.key for s in part.steps))
    _unique("takes", (t.item for t in part.takes))
    _unique("gives", (g.item for g in part.gives))
    keys = tuple(s.key for s in part.steps)
    _known("takes", "at", [t.at for t in part.takes], keys, "a step of this part")
    _known("gives", "at", [g.at for g in part.gives], keys, "a step of this part")
    _known(
        "gives",
        "of",
        [g.of for g in part.gives],
        ("all", *(t.item for t in part.takes)),
        "taken by this part",
    )
    for i, step in enumerate(part.steps):
        _check_step(f"step[{i}]", step, part)
    _one_main(part)
    _pieces(part)
    _balance(part)
    _keeps(part)
    _no_circle(part)


def _unique(what: str, names: Iterable[str]) -> None:
    for name, count in Counter(names).items():
        if count > 1:
            refuse(
                what,
                f"{name!r} is given {count} times.",
                value=name,
                limit="once",
                remedy=f"Give every entry of {what} its own name.",
            )


def _known(table: str, key: str, words: list[str], known: tuple[str, ...], what: str) -> None:
    for i, word in enumerate(words):
        if word not in known:
            unknown(f"{table}[{i}].{key}", word, known, what)


def _check_step(path: str, step: StepSpec, part: Part) -> None:
    own = tuple(s.key for s in part.steps)
    for i, after in enumerate(step.after):
        if "." not in after.step and after.step not in own:
            unknown(f"{path}.after[{i}].step", after.step, own, "a step of this part")
    hands = step.hands_start_min + step.hands_end_min
    if step.lasts is not None and hands > step.lasts.likely:
        refuse(
            f"{path}.hands",
            f"{hands} min of hands do not fit {step.lasts.likely:g} min.",
            value=f"{hands} min",
            limit=f"{step.lasts.likely:g} min",
            remedy="Shorten the hands or lengthen the step.",
            kind=OutOfRange,
        )
    if step.roast is not None:
        _check_roast(path, step, part)
    followers = [s.key for s in part.steps if any(a.step == step.key for a in s.after)]
    if step.waits_in and len(followers) > 1:
        refuse(
            f"{path}.waits_in",
            f"ends at which of {', '.join(followers)}?",
            value=step.key,
            limit="one next step",
            remedy="Let one step follow, or give the wait a step of its own.",
        )
    items = (*(t.item for t in part.takes), *(g.item for g in part.gives))
    for i, use in enumerate((*step.kit, *step.waits_in)):
        if use.of is not None and use.of not in items:
            unknown(f"{path}.kit[{i}].of", use.of, items, "taken or given by this part")


def _check_roast(path: str, step: StepSpec, part: Part) -> None:
    """A forecast of the core needs the core, the heat, and something whose thickness is known."""
    asks = (
        (step.core_c is None, "core", 'Write core = "71C": what the middle shall reach.'),
        (all(u.mode_c is None for u in step.kit), "kit", 'Write kit = [{ use = "oven", mode = "180C" }].'),
        (
            step.roast is not None and step.roast.thickness_mm is None and not any(t.pieces for t in part.takes),
            "lasts.thickness",
            'Write thickness = "20mm" of what lies in the oven, or pieces = true at what is taken.',
        ),
    )
    for missing, key, remedy in asks:
        if missing:
            refuse(
                f"{path}.{key}",
                "is missing, and the forecast of the core asks for it.",
                value=None,
                limit='with forecast = "cook"',
                remedy=remedy,
            )


def _one_main(part: Part) -> None:
    mains = [g.item for g in part.gives if g.main]
    if len(mains) != 1:
        refuse(
            "gives",
            f"{len(mains)} of {len(part.gives)} are main.",
            value=mains,
            limit="one",
            remedy="Write main = true at the one product that goes on the plate.",
        )
    if main_give(part).skin:
        refuse(
            "gives",
            "the skin of the pieces cannot be the main product.",
            value=mains[0],
            limit="a by-product",
            remedy="Take skin = true out, or make the skin a part of its own.",
        )


def _pieces(part: Part) -> None:
    pieced = [t for t in part.takes if t.pieces]
    if len(pieced) > 1:
        refuse(
            "takes",
            "more than one item is given as pieces.",
            value=[t.item for t in pieced],
            limit="one",
            remedy="Keep pieces = true at one item.",
        )
    skins = [g for g in part.gives if g.skin]
    skinned = [t for t in pieced if t.skinned]
    if len(skins) > 1 or (skins and not skinned) or any(t.skinned and not t.pieces for t in part.takes):
        refuse(
            "gives",
            "skin = true needs one item with pieces = true and skinned = true.",
            value=[g.item for g in skins],
            limit="one skin",
            remedy="Write skinned = true at the item the skin is cut from, or take skin = true out.",
        )


def _balance(part: Part) -> None:
    takes = {t.item: t.per_kg_out_g / 1000 for t in part.takes}
    total = sum(takes.values())
    for i, give in enumerate(part.gives):
        base = total if give.of == "all" else takes[give.of]
        if give.main and abs(base * give.share.likely - 1) > _BALANCE:
            refuse(
                f"gives[{i}].yield.likely",
                f"{base:g} kg times {give.share.likely:g} is {base * give.share.likely:.3f} kg, not 1 kg.",
                value=give.share.likely,
                limit=f"{1 / base:.3f} within 3 %",
                remedy="Mend the yield or the amounts taken until 1 kg comes out.",
                kind=OutOfRange,
            )
    given = sum((total if g.of == "all" else takes[g.of]) * g.share.likely for g in part.gives)
    if given > total * (1 + _BALANCE) and all(g.share.likely <= 1 for g in part.gives):
        refuse(
            "gives",
            f"together come to {given:.3f} kg out of {total:.3f} kg taken.",
            value=f"{given:.3f} kg",
            limit=f"{total:.3f} kg",
            remedy="Lower a yield: more cannot come out than goes in.",
            kind=OutOfRange,
        )


def _keeps(part: Part) -> None:
    for i, give in enumerate(part.gives):
        keeps = give.keeps
        if keeps.frozen_min is not None and (keeps.thaw_min is None or keeps.fridge_min is None):
            refuse(
                f"gives[{i}].keeps.thaw",
                "is missing: what is frozen is thawed, and waits in the fridge first.",
                value=None,
                limit='thaw = "12h", fridge = "3d"',
                remedy="Write fridge and thaw beside frozen.",
            )


def _no_circle(part: Part) -> None:
    before = {s.key: {a.step for a in s.after if "." not in a.step} for s in part.steps}
    try:
        TopologicalSorter(before).prepare()
    except CycleError as why:
        circle = " -> ".join(why.args[1])
        refuse(
            "step",
            f"these wait for each other in a circle: {circle}.",
            value=circle,
            limit="a first step",
            remedy="Take one after out.",
        )


def check_together(parts: Mapping[str, Part], keys: Iterable[str]) -> None:
    """Refuse parts that lean on parts, items or steps there are not.

    ``parts`` is every part known, ``keys`` those of the meal.
    """
    for key in keys:
        part = parts[key]
        for i, take in enumerate(part.takes):
            if take.from_part is None:
                continue
            maker = parts.get(take.from_part)
            if maker is None and take.bought is None:
                unknown(f"{key}: takes[{i}].from", take.from_part, tuple(parts), "a part known here")
            if maker is not None and take.item not in (g.item for g in maker.gives):
                unknown(
                    f"{key}: takes[{i}].item",
                    take.item,
                    tuple(g.item for g in maker.gives),
                    f"given by {maker.key}",
                )
        for i, step in enumerate(part.steps):
            for j, after in enumerate(step.after):
                other, _, name = after.step.rpartition(".")
                if other and other in parts and name not in (s.key for s in parts[other].steps):
                    unknown(
                        f"{key}: step[{i}].after[{j}].step",
                        name,
                        tuple(s.key for s in parts[other].steps),
                        f"a step of {other}",
                    )


def find(parts: Mapping[str, Part], key: str, field: str) -> Part:
    """The part a brief asks for, or a refusal with the nearest."""
    if key not in parts:
        close = nearest(key, tuple(parts))
        refuse(
            field,
            f"{key!r} is not a part known here.",
            value=key,
            limit=tuple(parts),
            remedy=f"Did you mean {close}?"
            if close
            else f"Known: {', '.join(parts) or 'none'}. Or write its part file into your parts folder.",
        )
    return parts[key]
