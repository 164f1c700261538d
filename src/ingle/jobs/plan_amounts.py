"""What a plan says of grams: the weighing of every box, and where each by-product goes, when and how kept."""

from __future__ import annotations

from dataclasses import replace

from ingle.ground import units
from ingle.jobs.plan_ahead import Doses
from ingle.planning.brief import Brief
from ingle.planning.parts import Part
from ingle.planning.plan import Flow, Thinned, Weighing
from ingle.planning.problem import Schedule
from ingle.planning.quantities import Quantities
from ingle.planning.spans import moment
from ingle.planning.tasks import Tasks


def weighings_of(parts: dict[str, Part], doses: Doses) -> tuple[Weighing, ...]:
    """What goes on the scale for every box that is not begun, as lines and as numbers. [g]"""
    found = []
    for (part, step), dose in doses.items():
        if dose.formula is None or dose.box.started is not None:
            continue
        f, mass = dose.formula, dose.base.skin_free_g
        box = f"{parts[part].short} {dose.box.names}".strip() + (f", box {step.partition('@')[2]}" if "@" in step else "")
        lines = (
            [f"{dose.packet.name}  {units.show_mass(f.grams['curing_salt'], f.step_g)}"]
            if f.grams["curing_salt"]
            else []
        )
        if f.premix is not None:
            lines = [f"premix {units.show_mass(f.premix.dose_g, f.premix.step_g)}: {f.premix.mixing}", f"on its jar: {f.premix.label}"]
        lines += [
            f"plain salt  {units.show_mass(f.grams['salt'], f.step_g)}",
            f"sugar  {units.show_mass(f.grams['sugar'], f.step_g)}",
        ]
        slow = max(dose.box.pieces, key=lambda p: (p.thickness_mm or 0.0) * (2 if p.skin != "none" else 1))
        found.append(
            Weighing(
                part,
                box,
                mass,
                dict(f.grams),
                f.step_g,
                f.ingoing.salt,
                f.ingoing.content.nitrite_as_sodium,
                dose.packet.name,
                tuple(lines),
                slow.thickness_mm if slow.skin == "none" else None,
                Thinned(f.premix.mixing, f.premix.label, f.premix.strength.nitrite) if f.premix else None,
                dose.base.whole_g,
                next((p.skin for p in dose.box.pieces if p.skin != "none"), "none"),
                dose.base.whole_g - mass if dose.base.skin_weighed else None,
                step=f"{part}.{step}",
            )
        )
    return tuple(found)


def flows_of(amounts: Quantities, tasks: Tasks, schedule: Schedule, brief: Brief) -> tuple[Flow, ...]:
    """By-products with the hours at which they are made and used, fresh or frozen."""
    at = {p.task: p for p in schedule.placed}
    taken = {c for c, yes in schedule.choices.items() if yes}
    found = []
    for flow in amounts.flows:
        frozen = any(
            (flow.item in c and (flow.to_part or "") in c) or (c.endswith(".frozen") and flow.item in c) for c in taken
        )
        ends = [at[i] for i in (flow_ends(flow, tasks)) if i in at]
        made = moment(brief.plan_from, ends[0].end_min) if ends else None
        used = moment(brief.plan_from, ends[1].start_min) if len(ends) > 1 else None
        found.append(replace(flow, made=made, used=used, way="frozen" if frozen and flow.to_part else flow.way))
    return tuple(found)


def flow_ends(flow: Flow, tasks: Tasks) -> tuple[str, ...]:
    """Task that makes a by-product and task that takes it, as the links of the problem have them."""
    for link in tasks.problem.links:
        before, after = link.before.partition(".")[0], link.after.partition(".")[0]
        if flow.to_part and before == flow.from_part and after == flow.to_part:
            return (link.before, link.after)
    return ()
