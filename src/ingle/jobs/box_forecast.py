"""A cure that no plan laid in: its forecast, and the window of each piece, from what was written down of it.

It is worked out anew whenever a dose or a green weight of it is written or put right, and kept with the batch.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy.orm import Session

from ingle.crafts.cure.base import base_of
from ingle.crafts.cure.late import wish_of
from ingle.crafts.cure.thick import as_measured, assumed_words
from ingle.ground.errors import IngleError
from ingle.ground.things import Piece
from ingle.jobs.batch_facts import Facts, facts_of
from ingle.jobs.box_pieces import CHANCE, FRIDGE_C, window_dict, window_of
from ingle.notebook.models import Batch, Dose
from ingle.planning.doses import windows

NEVER_H = 1e9
ASKED = ("temperature_c", "ready_chance")  # kept beside the forecast, for the next time it is worked out


def tell(session: Session, batch: Batch | None) -> None:
    """Work the forecast of a batch out, where it is a cure that goes on and no step of a plan times it."""
    if batch is None or batch.craft != "cure" or batch.state not in ("planned", "going") or (batch.forecast or {}).get("step"):
        return
    before: dict[str, Any] = batch.forecast or {}
    facts = facts_of(session, [batch])[0]
    shares = shares_of(facts)
    basis = [[round(c.weight_g, 3), c.thickness_mm, c.skin, round(share, 6)] for c, share in zip(facts.cuts, shares, strict=True)] if shares else []
    if basis and before.get("of") == basis:
        return
    kept = {k: v for k, v in before.items() if k in (*ASKED, "log")}
    asked = {"temperature_c": FRIDGE_C, "ready_chance": CHANCE} | {k: before[k] for k in ASKED if before.get(k) is not None}
    told = forecast_of(facts.cuts, shares, **asked, wished=facts.batch.formula.get("salt_per_green_weight")) if shares else {}
    batch.forecast = {**kept, **told, "of": basis} if told else kept


def shares_of(facts: Facts) -> tuple[float, ...]:
    """Salt of each piece per its weight without skin [1]; () where one has none, or where what it got cannot be counted.

    A piece that was dosed by itself counts by its own dose; what was weighed in for the batch is shared by weight.
    """
    cuts, base = facts.cuts, facts.base
    if not cuts or base is None or any(d.item == "water" and d.weighed_g > 0 for d in facts.doses):
        return ()  # in a brine its water counts, and how much of it lies on which piece is not written
    salt = lambda doses: _salt(facts, doses)  # noqa: E731
    for_all = salt([d for d in facts.doses if d.piece_id is None])
    own = [salt([d for d in facts.doses if d.piece_id == p.id]) for p in facts.pieces]
    if for_all is None or any(o is None for o in own):
        return ()
    shares = tuple((o or 0.0) / base_of(c).skin_free_g + for_all / base.skin_free_g for o, c in zip(own, cuts, strict=True))
    return shares if all(s > 0.0 for s in shares) else ()


def _salt(facts: Facts, doses: Sequence[Dose]) -> float | None:
    """Salt in some doses [g]; None where a dose of them cannot be counted."""
    if not doses:
        return 0.0
    mix = replace(facts, doses=tuple(doses)).mix
    if mix is not None:
        return mix.salt
    return None if any(d.item == "premix" or d.item.startswith("curing-salt") for d in doses) else 0.0


def forecast_of(
    cuts: Sequence[Piece], shares: Sequence[float], *, temperature_c: float = FRIDGE_C, ready_chance: float = CHANCE, wished: float | None = None
) -> dict[str, Any]:
    """The forecast of a box as a batch keeps it: of the piece that is ready last, with the window of each where several lie in it.

    Parameters
    ----------
    shares : sequence of float
        Salt of each piece per weight without skin [1].
    wished : float, optional
        As the formula has it; left out: the dose, or what is usual where the dose is far above it.
    """
    asked = [(c, share, *wish_of(share, wished)) for c, share in zip(cuts, shares, strict=True)]
    try:
        each = windows([(c, share, min(wish, share)) for c, share, wish, _ in asked], temperature_c, ready_chance)
    except IngleError:  # outside what the model holds for: then nothing is promised
        return {}
    pulls = [ready.likely_h if excess else ready.at_chance[f"{ready_chance:g}"] for (_, ready), (*_, excess) in zip(each, asked, strict=True)]
    last = max(range(len(each)), key=lambda i: (pulls[i], each[i][1].latest_h))
    ready, pull = each[last][1], pulls[last]
    if ready.likely_h > NEVER_H:
        return {}
    told: dict[str, Any] = {
        "what": ready.what, "basis": f"{ready.basis}, {temperature_c:g} C", "pull_h": pull if pull < NEVER_H else None, "excess": asked[last][3],
        "quantiles_h": [h if h < NEVER_H else None for h in ready.quantiles_h], "window_h": window_of(ready), "assumed": _assumed(cuts),
    }  # fmt: skip
    return told | ({"pieces": _pieces(each)} if len(each) > 1 else {})


def _pieces(each: Sequence[tuple[Piece, Any]]) -> list[Mapping[str, Any]]:
    return [
        window_dict(p.name or f"piece {n}", p.weight_g, as_measured(p).thickness_mm or 0.0, p.thickness_mm is None, ready) for n, (p, ready) in enumerate(each, 1)
    ]  # fmt: skip


def _assumed(cuts: Sequence[Piece]) -> list[str]:
    """What was not measured or is not counted, by whose."""
    lines = [f"{c.name}: {line}" if len(cuts) > 1 and c.name else line for c in cuts for line in assumed_words(c)]
    fat = [c.name for c in cuts if c.fat != "none"]
    return [*lines, *([f"fat on top{'' if len(fat) == len(cuts) else ' of ' + ', '.join(fat)} is timed as lean; salt passes it more slowly"] if fat else [])]
