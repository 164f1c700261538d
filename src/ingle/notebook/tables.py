"""The kitchen and what is traced in it: lots, pieces, batches, packs, and the links by which one went into another.

Lots, pieces, batches and packs share one numbering (``traced``), so that one table of links and one recursive question
follow anything forward and back.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON, CheckConstraint, ForeignKey, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from ingle.notebook.tables_base import Base, Corrected, Written

STATES = ("planned", "going", "done", "discarded")


class About(Base):
    """One row: which notebook this is."""

    __tablename__ = "about"
    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36))
    made_utc: Mapped[datetime]
    made_by: Mapped[str]  # version of ingle


class Kitchen(Base):
    """One kitchen, its zone and whose rules hold in it."""

    __tablename__ = "kitchen"
    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    name: Mapped[str] = mapped_column(unique=True)
    prefix: Mapped[str] = mapped_column(String(4), unique=True)  # first letters of every code
    zone: Mapped[str]
    rules: Mapped[list[str]] = mapped_column(JSON)  # [] = none named: the strictest
    use: Mapped[str]  # table | sale
    made_utc: Mapped[datetime]
    shows: Mapped[dict[str, Any]] = mapped_column(JSON, default=dict, server_default="{}")  # mass, temperature, kit: how it likes them


class Traced(Written, Base):
    """Anything that is followed: a lot, a piece, a batch, a pack."""

    __tablename__ = "traced"
    kind: Mapped[str] = mapped_column(String(8))
    kitchen_id: Mapped[int] = mapped_column(ForeignKey("kitchen.id"))
    code: Mapped[str]
    name: Mapped[str]
    note: Mapped[str] = mapped_column(default="")
    __mapper_args__ = {"polymorphic_on": "kind"}  # noqa: RUF012
    __table_args__: Any = (
        UniqueConstraint("kitchen_id", "code"),
        Index(None, "code"),
        Index(None, "kind", "at_utc"),
        CheckConstraint("kind IN ('lot', 'piece', 'batch', 'pack')", name="kind"),
    )


class Lot(Traced):
    """What came in at one time from one supplier."""

    __tablename__ = "lot"
    id: Mapped[int] = mapped_column(ForeignKey("traced.id"), primary_key=True)
    item: Mapped[str]
    supplier: Mapped[str] = mapped_column(default="")
    supplier_code: Mapped[str] = mapped_column(default="")
    received_on: Mapped[date | None]
    use_by: Mapped[date | None]
    best_before: Mapped[date | None]
    amount_g: Mapped[float | None]
    allergens: Mapped[list[str]] = mapped_column(JSON, default=list)
    __mapper_args__ = {"polymorphic_identity": "lot"}  # noqa: RUF012
    __table_args__: Any = (Index(None, "use_by"), CheckConstraint("amount_g > 0", name="amount"))


class Piece(Traced):
    """One actual cut, as it was weighed and measured green."""

    __tablename__ = "piece"
    id: Mapped[int] = mapped_column(ForeignKey("traced.id"), primary_key=True)
    green_weight_g: Mapped[float]
    thickness_mm: Mapped[float | None]
    width_mm: Mapped[float | None]
    length_mm: Mapped[float | None]
    shape: Mapped[str]
    skin: Mapped[str]
    skin_weight_g: Mapped[float | None]
    fat: Mapped[str]
    __mapper_args__ = {"polymorphic_identity": "piece"}  # noqa: RUF012
    __table_args__: Any = (CheckConstraint("green_weight_g > 0", name="weight"),)


class Batch(Traced):
    """Pieces or materials made together under one code, by one formula."""

    __tablename__ = "batch"
    id: Mapped[int] = mapped_column(ForeignKey("traced.id"), primary_key=True)
    part: Mapped[str]  # key of the part: "collar"
    craft: Mapped[str]  # cure | smoke | heat | butter | bread | sauce | ...
    plan_name: Mapped[str | None]
    state: Mapped[str] = mapped_column(String(10))
    ended_utc: Mapped[datetime | None]
    use_by: Mapped[date | None]
    formula: Mapped[dict[str, Any]] = mapped_column(JSON, default=dict)  # targets and grams, to do it again
    forecast: Mapped[dict[str, Any]] = mapped_column(JSON, default=dict)  # as it stood when the batch was laid in
    again_of_id: Mapped[int | None] = mapped_column(ForeignKey("batch.id"))
    __mapper_args__ = {"polymorphic_identity": "batch", "inherit_condition": id == Traced.id}  # noqa: RUF012
    __table_args__: Any = (
        Index(None, "state"),
        Index(None, "plan_name", "part"),
        CheckConstraint("state IN ('planned', 'going', 'done', 'discarded')", name="state"),
    )


class Pack(Traced):
    """Packs of one kind made at one time: what goes out."""

    __tablename__ = "pack"
    id: Mapped[int] = mapped_column(ForeignKey("traced.id"), primary_key=True)
    count: Mapped[int]
    net_weight_g: Mapped[float]  # of each
    use_by: Mapped[date | None]
    best_before: Mapped[date | None]
    storage: Mapped[str]
    label: Mapped[dict[str, Any]] = mapped_column(JSON, default=dict)  # facts printed on it
    __mapper_args__ = {"polymorphic_identity": "pack"}  # noqa: RUF012
    __table_args__: Any = (
        Index(None, "use_by"),
        CheckConstraint("count > 0", name="count"),
        CheckConstraint("net_weight_g > 0", name="weight"),
    )


class Link(Corrected, Base):
    """One thing went into another: lot into piece, piece into batch, batch into batch, batch into pack."""

    __tablename__ = "link"
    from_id: Mapped[int] = mapped_column(ForeignKey("traced.id"))
    to_id: Mapped[int] = mapped_column(ForeignKey("traced.id"))
    item: Mapped[str] = mapped_column(default="")
    amount_g: Mapped[float | None]
    __table_args__: Any = (
        Index(None, "from_id", "to_id"),
        Index(None, "to_id", "from_id"),
        CheckConstraint("from_id <> to_id", name="itself"),
    )


class Handed(Corrected, Base):
    """Packs that left: to whom, when, how many."""

    __tablename__ = "handed"
    pack_id: Mapped[int] = mapped_column(ForeignKey("pack.id"), index=True)
    to_whom: Mapped[str]
    contact: Mapped[str] = mapped_column(default="")
    count: Mapped[int]
    __table_args__: Any = (CheckConstraint("count > 0", name="count"),)
