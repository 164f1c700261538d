"""What was planned, what was done, what was weighed in, what was seen. Only the planned side is ever changed."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, CheckConstraint, ForeignKey, Index, LargeBinary, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from ingle.notebook.tables_base import Base, Corrected, Written

KINDS = ("weight", "temperature", "ph", "water_activity", "humidity", "salt", "taste", "look", "note", "photo", "state")
TEXT_MOST = 4000


class PlanTaken(Written, Base):
    """A plan as it was taken in, whole; an older number stays."""

    __tablename__ = "plan_taken"
    kitchen_id: Mapped[int] = mapped_column(ForeignKey("kitchen.id"))
    name: Mapped[str]
    number: Mapped[int]
    content: Mapped[dict[str, Any]] = mapped_column(JSON)
    __table_args__ = (UniqueConstraint("kitchen_id", "name", "number", "uid"),)


class Step(Written, Base):
    """One step as now planned. Its uid comes from the plan's own step, so that a replan moves it and does not double it."""

    __tablename__ = "step"
    kitchen_id: Mapped[int] = mapped_column(ForeignKey("kitchen.id"))
    batch_id: Mapped[int | None] = mapped_column(ForeignKey("batch.id"), index=True)
    plan_name: Mapped[str | None]
    plan_number: Mapped[int | None]
    key: Mapped[str]  # "collar.cure"
    part: Mapped[str]
    name: Mapped[str]
    kind: Mapped[str]  # hands | waits | smoke | keeps
    planned_start_utc: Mapped[datetime | None]
    planned_end_utc: Mapped[datetime | None]
    state: Mapped[str] = mapped_column(String(8))  # planned | going | done | dropped; follows the rows of ``done``
    said: Mapped[dict[str, Any]] = mapped_column(JSON, default=dict)  # amounts, say, look_for, if_not, caution
    __table_args__ = (
        Index(None, "state", "planned_start_utc"),
        Index(None, "plan_name"),
        CheckConstraint("state IN ('planned', 'going', 'done', 'dropped')", name="state"),
    )


class Done(Corrected, Base):
    """A step begun, or done. ``at_utc`` is when it was done, or begun where there is no end yet."""

    __tablename__ = "done"
    step_id: Mapped[int] = mapped_column(ForeignKey("step.id"), index=True)
    began_utc: Mapped[datetime | None]
    ended_utc: Mapped[datetime | None]
    note: Mapped[str] = mapped_column(default="")
    __table_args__ = (Index(None, "at_utc"), CheckConstraint("ended_utc >= began_utc", name="order"))


class Photo(Written, Base):
    """A picture, kept in the notebook itself."""

    __tablename__ = "photo"
    sha256: Mapped[str] = mapped_column(String(64), index=True)
    media_type: Mapped[str]
    content: Mapped[bytes] = mapped_column(LargeBinary)


class Reading(Corrected, Base):
    """One thing seen at one time: a weight, a temperature, a pH, a taste. None = not noted."""

    __tablename__ = "reading"
    kitchen_id: Mapped[int] = mapped_column(ForeignKey("kitchen.id"))
    batch_id: Mapped[int | None] = mapped_column(ForeignKey("batch.id"))
    piece_id: Mapped[int | None] = mapped_column(ForeignKey("piece.id"), index=True)
    lot_id: Mapped[int | None] = mapped_column(ForeignKey("lot.id"), index=True)
    step_id: Mapped[int | None] = mapped_column(ForeignKey("step.id"), index=True)
    instrument_id: Mapped[int | None] = mapped_column(ForeignKey("instrument.id"), index=True)
    photo_id: Mapped[int | None] = mapped_column(ForeignKey("photo.id"))
    place: Mapped[str] = mapped_column(default="")  # "fridge", for a reading of no batch
    kind: Mapped[str] = mapped_column(String(14))
    weight_g: Mapped[float | None]
    temperature_c: Mapped[float | None]
    ph: Mapped[float | None]
    water_activity: Mapped[float | None]
    humidity_pct: Mapped[float | None]
    salt_g_per_100g: Mapped[float | None]
    probe_depth_mm: Mapped[float | None]
    text: Mapped[str] = mapped_column(default="")
    __table_args__ = (
        Index(None, "batch_id", "at_utc"),
        Index(None, "kitchen_id", "at_utc"),
        CheckConstraint(
            "weight_g IS NOT NULL OR temperature_c IS NOT NULL OR ph IS NOT NULL OR water_activity IS NOT NULL OR humidity_pct IS NOT NULL "
            "OR salt_g_per_100g IS NOT NULL OR photo_id IS NOT NULL OR text <> '' OR void",
            name="something",
        ),
        CheckConstraint("weight_g > 0", name="weight"),
        CheckConstraint("ph >= 0 AND ph <= 14", name="ph"),
        CheckConstraint("water_activity >= 0 AND water_activity <= 1", name="water_activity"),
    )


class Dose(Corrected, Base):
    """What was weighed in, for which piece or batch. A second dosing of the same piece is asked about first."""

    __tablename__ = "dose"
    batch_id: Mapped[int] = mapped_column(ForeignKey("batch.id"), index=True)
    piece_id: Mapped[int | None] = mapped_column(ForeignKey("piece.id"), index=True)
    lot_id: Mapped[int | None] = mapped_column(ForeignKey("lot.id"))  # of what was weighed in
    instrument_id: Mapped[int | None] = mapped_column(ForeignKey("instrument.id"))
    item: Mapped[str]  # "salt", "curing salt 6.25 %"
    weighed_g: Mapped[float]
    planned_g: Mapped[float | None]
    again: Mapped[bool] = mapped_column(default=False)  # "yes, a second time" was said
    __table_args__ = (CheckConstraint("weighed_g >= 0", name="weight"),)
