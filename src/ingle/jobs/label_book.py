"""A pack's facts from the notebook: what went into its batches, as it was weighed in."""

from __future__ import annotations

from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.crafts.cure.mix import curing_salt
from ingle.ground.errors import BadBrief
from ingle.jobs.batch_facts import facts_of
from ingle.jobs.label import Ingredient, Pack
from ingle.jobs.label_file import NO_NUTRIENTS, salt_of
from ingle.jobs.label_foods import nutrients_of
from ingle.notebook import kitchens
from ingle.notebook.models import Batch, Kitchen, Link, Lot, Piece, Traced
from ingle.notebook.models import Pack as PackRow
from ingle.notebook.rows import stands, uid_of
from ingle.notebook.store import Notebook
from ingle.planning.part_file import load_parts


def pack_of(notebook: Notebook, code: str, *, link: str = "") -> tuple[Pack, int, str]:
    """The facts of a pack, how many were made, and the country whose rules its label follows ("" = none said, and the kitchen names several or none).

    ``label`` of the pack may hold ``rules``, ``operator``, ``exempt``, ``area_cm2``, ``longest_mm``, ``finished_g``, ``per_100g`` (ingredient
    to nutrients [g]), ``foods`` (ingredient to a key of the shipped table), ``french`` (ingredient to its French name), ``name_fr``,
    ``storage_fr``, ``one_language``, ``serving_g``, ``serving_words`` and ``serving_words_fr``.

    Raises
    ------
    BadBrief
        Something went in whose amount was not written: its place in the list is not known.
    """
    with notebook.look() as session:
        row: PackRow = kitchens.traced(session, code, ("pack",))
        home = session.get_one(Kitchen, row.kitchen_id)
        said: dict[str, Any] = row.label
        known: dict[str, dict[str, float]] = {n: nutrients_of(key, f"label.foods.{n}") for n, key in said.get("foods", {}).items()}
        known |= {n: known.get(n, {}) | given for n, given in said.get("per_100g", {}).items()}
        french: dict[str, str] = said.get("french", {})
        found = [
            Ingredient(name, grams, allergens, known.get(name, _of_salt(name, strength)), strength, french.get(name, ""))
            for name, grams, allergens, strength in _summed([line for batch in _batches(session, row) for line in _went_in(session, batch)])
        ]  # fmt: skip
        day, kind = (row.use_by, "use_by") if row.use_by else (row.best_before, "best_before")
        words = {k: str(said.get(k, "")) for k in _WORDS}
        facts = Pack(
            row.name, row.code, row.net_weight_g, tuple(found), day, kind, kitchens.local(home, row.at_utc), row.storage,
            finished_g=said.get("finished_g"), area_cm2=float(said.get("area_cm2", 200.0)), link=link, serving_g=said.get("serving_g"),
            longest_mm=said.get("longest_mm"), **words,
        )  # fmt: skip
        return facts, row.count, str(said.get("rules", "")) or (home.rules[0] if len(home.rules) == 1 else "")


_WORDS = ("operator", "exempt", "name_fr", "storage_fr", "one_language", "serving_words", "serving_words_fr")
Line = tuple[str, float, tuple[str, ...], float | None]


def _summed(lines: list[Line]) -> list[Line]:
    """One line for what stands in several: two pieces of one cut are one ingredient."""
    whole: dict[tuple[str, float | None], Line] = {}
    for name, grams, allergens, strength in lines:
        _, before, known, _ = whole.get((name, strength), (name, 0.0, (), strength))
        whole[name, strength] = (name, before + grams, tuple(dict.fromkeys((*known, *allergens))), strength)
    return list(whole.values())


def _batches(session: Session, pack: PackRow) -> list[Batch]:
    asked = select(Batch).join(Link, Link.from_id == Batch.id).where(Link.to_id == pack.id, stands(Link)).order_by(Batch.id)
    return list(session.scalars(asked))


def _went_in(session: Session, batch: Batch) -> list[tuple[str, float, tuple[str, ...], float | None]]:
    """Name, grams, allergens, and nitrite of a curing salt, of all that went into a batch."""
    (facts,) = facts_of(session, [batch])
    told: list[tuple[str, float, tuple[str, ...], float | None]] = []
    for piece, green in zip(facts.pieces, facts.greens, strict=True):
        lot = _lot_of(session, piece)
        told.append((lot.item if lot else _bought_as(batch) or piece.name, green, tuple(lot.allergens) if lot else (), None))
    dosed = {d.lot_id for d in facts.doses}
    for dose in facts.doses:
        name, _, strength = dose.item.partition("@")
        lot = session.get(Lot, dose.lot_id) if dose.lot_id else None
        nitrite = curing_salt(strength).nitrite if strength else None
        if dose.weighed_g > 0:
            told.append((name.replace("-", " "), dose.weighed_g, tuple(lot.allergens) if lot else (), nitrite))
    for source, way in _straight_in(session, batch):
        if isinstance(source, Piece) or source.id in dosed:
            continue
        if way.amount_g is None:
            raise BadBrief(
                f"How much of {source.name} ({source.code}) went into {batch.code} is not written: its place in the list is not known.",
                field="ingredients", value=source.code, limit="an amount", remedy="Write the amount with the link, or print from a label file.",
            )  # fmt: skip
        if isinstance(source, Batch):
            inner = _went_in(session, source)
            whole = sum(g for _, g, _, _ in inner)
            told += [(n, g * way.amount_g / whole, a, s) for n, g, a, s in inner] if whole else [(source.name, way.amount_g, (), None)]
        else:
            allergens = tuple(source.allergens) if isinstance(source, Lot) else ()
            told.append((source.item if isinstance(source, Lot) else source.name, way.amount_g, allergens, None))
    return told


def _bought_as(batch: Batch) -> str:
    """What the pieces of a planned batch are bought as: a piece's own name, like "A", says nothing on a label."""
    part = load_parts().get(batch.part) if batch.plan_name else None
    take = next((t for t in part.takes if t.pieces), None) if part else None
    return take.item.replace("-", " ") if take else ""


def for_table(notebook: Notebook, code: str) -> bool:
    """Whether the kitchen that packed it cooks for its own table."""
    with notebook.look() as session:
        row: PackRow = kitchens.traced(session, code, ("pack",))
        return session.get_one(Kitchen, row.kitchen_id).use == "table"


def said_of(notebook: Notebook, code: str) -> dict[str, Any]:
    """What was said for a pack's label, and of a pack of which nothing was said the operator of the last that had one."""
    with notebook.look() as session:
        row: PackRow = kitchens.traced(session, code, ("pack",))
        if row.label:
            return dict(row.label)
        before = session.scalars(select(PackRow).where(PackRow.kitchen_id == row.kitchen_id, PackRow.id != row.id).order_by(PackRow.id.desc()).limit(20))
        last = next((p.label for p in before if p.label.get("operator")), {})
        return {k: last[k] for k in ("operator", "rules") if k in last}


def say(notebook: Notebook, code: str, facts: dict[str, Any], *, uid: str | None = None, who: str = "") -> None:
    """Keep what is printed on a pack's label beside its name, weight and dates; the keys are those of `pack_of`."""
    known = uid_of(uid)
    notebook.write(lambda s: kitchens.say_label(s, kitchens.traced(s, code, ("pack",)), known, facts, who=who))


def batch_of(notebook: Notebook, code: str) -> str:
    """The code of the first batch a pack was made of."""
    with notebook.look() as session:
        return next((b.code for b in _batches(session, kitchens.traced(session, code, ("pack",)))), "")


def _straight_in(session: Session, batch: Batch) -> list[tuple[Traced, Link]]:
    ways = session.scalars(select(Link).where(Link.to_id == batch.id, stands(Link)).order_by(Link.id))
    return [(session.get_one(Traced, w.from_id), w) for w in ways]


def _lot_of(session: Session, piece: Piece) -> Lot | None:
    asked = select(Lot).join(Link, Link.from_id == Lot.id).where(Link.to_id == piece.id, stands(Link)).order_by(Lot.id)
    return session.scalars(asked).first()


def _of_salt(name: str, strength: float | None) -> dict[str, float] | None:
    """Salt and curing salt by their chemistry; others are not known here."""
    return {**NO_NUTRIENTS, "salt": salt_of(strength or 0.0)} if strength is not None or name == "salt" else None
