"""What `today` answers as keys and values: ``--json`` of the command, and the interface (docs/schema/notebook.md)."""

from __future__ import annotations

from typing import Any

from ingle.jobs.today_things import Task, Today


def today_dict(told: Today) -> dict[str, Any]:
    """Times are ISO 8601 with the kitchen's offset."""
    return {
        "now": told.now.isoformat(), "kitchen": told.kitchen, "zone": told.zone, "notebook": told.notebook,
        "next": None if told.next is None else _task(told.next),
        "tasks": [_task(t) for t in told.tasks],
        "waiting": [
            {
                "name": w.name, "step": w.key, "step_id": w.step_id, "part": w.part, "batch": w.batch, "since": w.since.isoformat(),
                "until": w.until.isoformat(), "ready": [t.isoformat() for t in w.ready],
                "pieces": [p.as_dict() for p in w.pieces],
            }
            for w in told.waiting
        ],
        "needs": [
            {"level": n.level, "what": n.what, "act": n.act, "by": n.by.isoformat() if n.by else None, "kind": n.kind, "ref": n.ref}
            for n in told.needs
        ],
        "going": [{"code": c, "name": n, "pieces": [p.as_dict() for p in told.boxes.get(c, ())]} for c, n in told.going],
        "plans_not_in_notebook": list(told.plans),
    }  # fmt: skip


def _task(t: Task) -> dict[str, Any]:
    return {
        "at": t.at.isoformat(), "until": t.until.isoformat(), "cook": t.cook, "verb": t.verb, "step": t.key, "step_id": t.step_id, "part": t.part,
        "plan": t.plan, "batch": t.batch, "state": t.state, "visit": t.visit, "amounts": list(t.amounts), "say": list(t.say), "look_for": t.look_for,
        "caution": list(t.caution),
    }  # fmt: skip
