"""The first notebook."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from ingle.notebook.migrations.guards import append_only, never_delete

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

UTC_TIME = sa.DateTime(timezone=True)


def upgrade() -> None:
    """All tables, and the triggers that keep what was written."""
    op.create_table(
        "about",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("made_utc", UTC_TIME, nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_about"))
    )
    op.create_table(
        "kitchen",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("prefix", sa.String(length=4), nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("rules", sa.JSON(), nullable=False),
        sa.Column("use", sa.Text(), nullable=False),
        sa.Column("made_utc", UTC_TIME, nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_kitchen")),
        sa.UniqueConstraint("name", name=op.f("uq_kitchen_name")),
        sa.UniqueConstraint("prefix", name=op.f("uq_kitchen_prefix")),
        sa.UniqueConstraint("uid", name=op.f("uq_kitchen_uid"))
    )
    op.create_table(
        "limit_in_force",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("rule", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("country", sa.Text(), nullable=False),
        sa.Column("side", sa.String(length=3), nullable=False),
        sa.Column("value", sa.Double(), nullable=True),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("basis", sa.Text(), nullable=False),
        sa.Column("clause", sa.Text(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("source_title", sa.Text(), nullable=False),
        sa.Column("sure", sa.Text(), nullable=False),
        sa.Column("doubt", sa.Text(), nullable=False),
        sa.Column("read_on", sa.Date(), nullable=False),
        sa.Column("ingle_version", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_limit_in_force")),
        sa.UniqueConstraint("uid", name=op.f("uq_limit_in_force_uid"))
    )
    op.create_table(
        "photo",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("media_type", sa.Text(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("at_utc", UTC_TIME, nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("written_utc", UTC_TIME, nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photo")),
        sa.UniqueConstraint("uid", name=op.f("uq_photo_uid"))
    )
    op.create_index(op.f("ix_photo_sha256"), "photo", ["sha256"], unique=False)
    op.create_table(
        "instrument",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("kitchen_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("serial", sa.Text(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("resolution", sa.Double(), nullable=True),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("in_use", sa.Boolean(), nullable=False),
        sa.Column("at_utc", UTC_TIME, nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("written_utc", UTC_TIME, nullable=False),
        sa.ForeignKeyConstraint(["kitchen_id"], ["kitchen.id"], name=op.f("fk_instrument_kitchen_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_instrument")),
        sa.UniqueConstraint("kitchen_id", "name", name=op.f("uq_instrument_kitchen_id_name")),
        sa.UniqueConstraint("uid", name=op.f("uq_instrument_uid"))
    )
    op.create_table(
        "plan_taken",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("kitchen_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("content", sa.JSON(), nullable=False),
        sa.Column("at_utc", UTC_TIME, nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("written_utc", UTC_TIME, nullable=False),
        sa.ForeignKeyConstraint(["kitchen_id"], ["kitchen.id"], name=op.f("fk_plan_taken_kitchen_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_plan_taken")),
        sa.UniqueConstraint("kitchen_id", "name", "number", "uid", name=op.f("uq_plan_taken_kitchen_id_name_number_uid")),
        sa.UniqueConstraint("uid", name=op.f("uq_plan_taken_uid"))
    )
    op.create_table(
        "traced",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("kind", sa.String(length=8), nullable=False),
        sa.Column("kitchen_id", sa.Integer(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("at_utc", UTC_TIME, nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("written_utc", UTC_TIME, nullable=False),
        sa.CheckConstraint("kind IN ('lot', 'piece', 'batch', 'pack')", name=op.f('ck_traced_kind')),
        sa.ForeignKeyConstraint(["kitchen_id"], ["kitchen.id"], name=op.f("fk_traced_kitchen_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_traced")),
        sa.UniqueConstraint("kitchen_id", "code", name=op.f("uq_traced_kitchen_id_code")),
        sa.UniqueConstraint("uid", name=op.f("uq_traced_uid"))
    )
    op.create_index(op.f("ix_traced_code"), "traced", ["code"], unique=False)
    op.create_index(op.f("ix_traced_kind_at_utc"), "traced", ["kind", "at_utc"], unique=False)
    op.create_table(
        "batch",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("part", sa.Text(), nullable=False),
        sa.Column("craft", sa.Text(), nullable=False),
        sa.Column("plan_name", sa.Text(), nullable=True),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("ended_utc", UTC_TIME, nullable=True),
        sa.Column("use_by", sa.Date(), nullable=True),
        sa.Column("formula", sa.JSON(), nullable=False),
        sa.Column("forecast", sa.JSON(), nullable=False),
        sa.Column("again_of_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("state IN ('planned', 'going', 'done', 'discarded')", name=op.f('ck_batch_state')),
        sa.ForeignKeyConstraint(["again_of_id"], ["batch.id"], name=op.f("fk_batch_again_of_id")),
        sa.ForeignKeyConstraint(["id"], ["traced.id"], name=op.f("fk_batch_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_batch"))
    )
    op.create_index(op.f("ix_batch_plan_name_part"), "batch", ["plan_name", "part"], unique=False)
    op.create_index(op.f("ix_batch_state"), "batch", ["state"], unique=False)
    op.create_table(
        "instrument_check",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("instrument_id", sa.Integer(), nullable=False),
        sa.Column("reference", sa.Text(), nullable=False),
        sa.Column("expected", sa.Double(), nullable=False),
        sa.Column("found", sa.Double(), nullable=False),
        sa.Column("tolerance", sa.Double(), nullable=False),
        sa.Column("passed", sa.Boolean(), nullable=False),
        sa.Column("act", sa.Text(), nullable=False),
        sa.Column("at_utc", UTC_TIME, nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("written_utc", UTC_TIME, nullable=False),
        sa.Column("void", sa.Boolean(), nullable=False),
        sa.Column("corrects_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["corrects_id"], ["instrument_check.id"], name=op.f("fk_instrument_check_corrects_id")),
        sa.ForeignKeyConstraint(["instrument_id"], ["instrument.id"], name=op.f("fk_instrument_check_instrument_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_instrument_check")),
        sa.UniqueConstraint("corrects_id", name=op.f("uq_instrument_check_corrects_id")),
        sa.UniqueConstraint("uid", name=op.f("uq_instrument_check_uid"))
    )
    op.create_index(op.f("ix_instrument_check_instrument_id"), "instrument_check", ["instrument_id"], unique=False)
    op.create_table(
        "link",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("from_id", sa.Integer(), nullable=False),
        sa.Column("to_id", sa.Integer(), nullable=False),
        sa.Column("item", sa.Text(), nullable=False),
        sa.Column("amount_g", sa.Double(), nullable=True),
        sa.Column("at_utc", UTC_TIME, nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("written_utc", UTC_TIME, nullable=False),
        sa.Column("void", sa.Boolean(), nullable=False),
        sa.Column("corrects_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("from_id <> to_id", name=op.f("ck_link_itself")),
        sa.ForeignKeyConstraint(["corrects_id"], ["link.id"], name=op.f("fk_link_corrects_id")),
        sa.ForeignKeyConstraint(["from_id"], ["traced.id"], name=op.f("fk_link_from_id")),
        sa.ForeignKeyConstraint(["to_id"], ["traced.id"], name=op.f("fk_link_to_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_link")),
        sa.UniqueConstraint("corrects_id", name=op.f("uq_link_corrects_id")),
        sa.UniqueConstraint("uid", name=op.f("uq_link_uid"))
    )
    op.create_index(op.f("ix_link_from_id_to_id"), "link", ["from_id", "to_id"], unique=False)
    op.create_index(op.f("ix_link_to_id_from_id"), "link", ["to_id", "from_id"], unique=False)
    op.create_table(
        "log_file",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("kitchen_id", sa.Integer(), nullable=False),
        sa.Column("instrument_id", sa.Integer(), nullable=True),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("source_sha256", sa.String(length=64), nullable=False),
        sa.Column("parquet", sa.Text(), nullable=False),
        sa.Column("parquet_sha256", sa.String(length=64), nullable=False),
        sa.Column("rows", sa.Integer(), nullable=False),
        sa.Column("first_utc", UTC_TIME, nullable=True),
        sa.Column("last_utc", UTC_TIME, nullable=True),
        sa.Column("understood", sa.JSON(), nullable=False),
        sa.Column("at_utc", UTC_TIME, nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("written_utc", UTC_TIME, nullable=False),
        sa.CheckConstraint("rows >= 0", name=op.f("ck_log_file_rows")),
        sa.ForeignKeyConstraint(["instrument_id"], ["instrument.id"], name=op.f("fk_log_file_instrument_id")),
        sa.ForeignKeyConstraint(["kitchen_id"], ["kitchen.id"], name=op.f("fk_log_file_kitchen_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_log_file")),
        sa.UniqueConstraint("source_sha256", name=op.f("uq_log_file_source_sha256")),
        sa.UniqueConstraint("uid", name=op.f("uq_log_file_uid"))
    )
    op.create_index(op.f("ix_log_file_instrument_id"), "log_file", ["instrument_id"], unique=False)
    op.create_index(op.f("ix_log_file_kitchen_id_first_utc"), "log_file", ["kitchen_id", "first_utc"], unique=False)
    op.create_table(
        "lot",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("item", sa.Text(), nullable=False),
        sa.Column("supplier", sa.Text(), nullable=False),
        sa.Column("supplier_code", sa.Text(), nullable=False),
        sa.Column("received_on", sa.Date(), nullable=True),
        sa.Column("use_by", sa.Date(), nullable=True),
        sa.Column("best_before", sa.Date(), nullable=True),
        sa.Column("amount_g", sa.Double(), nullable=True),
        sa.Column("allergens", sa.JSON(), nullable=False),
        sa.CheckConstraint("amount_g > 0", name=op.f("ck_lot_amount")),
        sa.ForeignKeyConstraint(["id"], ["traced.id"], name=op.f("fk_lot_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lot"))
    )
    op.create_index(op.f("ix_lot_use_by"), "lot", ["use_by"], unique=False)
    op.create_table(
        "pack",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("net_weight_g", sa.Double(), nullable=False),
        sa.Column("use_by", sa.Date(), nullable=True),
        sa.Column("best_before", sa.Date(), nullable=True),
        sa.Column("storage", sa.Text(), nullable=False),
        sa.Column("label", sa.JSON(), nullable=False),
        sa.CheckConstraint("count > 0", name=op.f("ck_pack_count")),
        sa.CheckConstraint("net_weight_g > 0", name=op.f("ck_pack_weight")),
        sa.ForeignKeyConstraint(["id"], ["traced.id"], name=op.f("fk_pack_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pack"))
    )
    op.create_index(op.f("ix_pack_use_by"), "pack", ["use_by"], unique=False)
    op.create_table(
        "piece",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("green_weight_g", sa.Double(), nullable=False),
        sa.Column("thickness_mm", sa.Double(), nullable=True),
        sa.Column("width_mm", sa.Double(), nullable=True),
        sa.Column("length_mm", sa.Double(), nullable=True),
        sa.Column("shape", sa.Text(), nullable=False),
        sa.Column("skin", sa.Text(), nullable=False),
        sa.Column("skin_weight_g", sa.Double(), nullable=True),
        sa.Column("fat", sa.Text(), nullable=False),
        sa.CheckConstraint("green_weight_g > 0", name=op.f("ck_piece_weight")),
        sa.ForeignKeyConstraint(["id"], ["traced.id"], name=op.f("fk_piece_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_piece"))
    )
    op.create_table(
        "dose",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("batch_id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=True),
        sa.Column("lot_id", sa.Integer(), nullable=True),
        sa.Column("instrument_id", sa.Integer(), nullable=True),
        sa.Column("item", sa.Text(), nullable=False),
        sa.Column("weighed_g", sa.Double(), nullable=False),
        sa.Column("planned_g", sa.Double(), nullable=True),
        sa.Column("again", sa.Boolean(), nullable=False),
        sa.Column("at_utc", UTC_TIME, nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("written_utc", UTC_TIME, nullable=False),
        sa.Column("void", sa.Boolean(), nullable=False),
        sa.Column("corrects_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("weighed_g >= 0", name=op.f("ck_dose_weight")),
        sa.ForeignKeyConstraint(["batch_id"], ["batch.id"], name=op.f("fk_dose_batch_id")),
        sa.ForeignKeyConstraint(["corrects_id"], ["dose.id"], name=op.f("fk_dose_corrects_id")),
        sa.ForeignKeyConstraint(["instrument_id"], ["instrument.id"], name=op.f("fk_dose_instrument_id")),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name=op.f("fk_dose_lot_id")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_dose_piece_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_dose")),
        sa.UniqueConstraint("corrects_id", name=op.f("uq_dose_corrects_id")),
        sa.UniqueConstraint("uid", name=op.f("uq_dose_uid"))
    )
    op.create_index(op.f("ix_dose_batch_id"), "dose", ["batch_id"], unique=False)
    op.create_index(op.f("ix_dose_piece_id"), "dose", ["piece_id"], unique=False)
    op.create_table(
        "handed",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("pack_id", sa.Integer(), nullable=False),
        sa.Column("to_whom", sa.Text(), nullable=False),
        sa.Column("contact", sa.Text(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("at_utc", UTC_TIME, nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("written_utc", UTC_TIME, nullable=False),
        sa.Column("void", sa.Boolean(), nullable=False),
        sa.Column("corrects_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("count > 0", name=op.f("ck_handed_count")),
        sa.ForeignKeyConstraint(["corrects_id"], ["handed.id"], name=op.f("fk_handed_corrects_id")),
        sa.ForeignKeyConstraint(["pack_id"], ["pack.id"], name=op.f("fk_handed_pack_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_handed")),
        sa.UniqueConstraint("corrects_id", name=op.f("uq_handed_corrects_id")),
        sa.UniqueConstraint("uid", name=op.f("uq_handed_uid"))
    )
    op.create_index(op.f("ix_handed_pack_id"), "handed", ["pack_id"], unique=False)
    op.create_table(
        "log_probe",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("log_id", sa.Integer(), nullable=False),
        sa.Column("batch_id", sa.Integer(), nullable=True),
        sa.Column("column", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("at_utc", UTC_TIME, nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("written_utc", UTC_TIME, nullable=False),
        sa.ForeignKeyConstraint(["batch_id"], ["batch.id"], name=op.f("fk_log_probe_batch_id")),
        sa.ForeignKeyConstraint(["log_id"], ["log_file.id"], name=op.f("fk_log_probe_log_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_log_probe")),
        sa.UniqueConstraint("uid", name=op.f("uq_log_probe_uid"))
    )
    op.create_index(op.f("ix_log_probe_batch_id"), "log_probe", ["batch_id"], unique=False)
    op.create_index(op.f("ix_log_probe_log_id"), "log_probe", ["log_id"], unique=False)
    op.create_table(
        "step",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("kitchen_id", sa.Integer(), nullable=False),
        sa.Column("batch_id", sa.Integer(), nullable=True),
        sa.Column("plan_name", sa.Text(), nullable=True),
        sa.Column("plan_number", sa.Integer(), nullable=True),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("part", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("planned_start_utc", UTC_TIME, nullable=True),
        sa.Column("planned_end_utc", UTC_TIME, nullable=True),
        sa.Column("state", sa.String(length=8), nullable=False),
        sa.Column("said", sa.JSON(), nullable=False),
        sa.Column("at_utc", UTC_TIME, nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("written_utc", UTC_TIME, nullable=False),
        sa.CheckConstraint("state IN ('planned', 'going', 'done', 'dropped')", name=op.f('ck_step_state')),
        sa.ForeignKeyConstraint(["batch_id"], ["batch.id"], name=op.f("fk_step_batch_id")),
        sa.ForeignKeyConstraint(["kitchen_id"], ["kitchen.id"], name=op.f("fk_step_kitchen_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_step")),
        sa.UniqueConstraint("uid", name=op.f("uq_step_uid"))
    )
    op.create_index(op.f("ix_step_batch_id"), "step", ["batch_id"], unique=False)
    op.create_index(op.f("ix_step_plan_name"), "step", ["plan_name"], unique=False)
    op.create_index(op.f("ix_step_state_planned_start_utc"), "step", ["state", "planned_start_utc"], unique=False)
    op.create_table(
        "done",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("step_id", sa.Integer(), nullable=False),
        sa.Column("began_utc", UTC_TIME, nullable=True),
        sa.Column("ended_utc", UTC_TIME, nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("at_utc", UTC_TIME, nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("written_utc", UTC_TIME, nullable=False),
        sa.Column("void", sa.Boolean(), nullable=False),
        sa.Column("corrects_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("ended_utc >= began_utc", name=op.f("ck_done_order")),
        sa.ForeignKeyConstraint(["corrects_id"], ["done.id"], name=op.f("fk_done_corrects_id")),
        sa.ForeignKeyConstraint(["step_id"], ["step.id"], name=op.f("fk_done_step_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_done")),
        sa.UniqueConstraint("corrects_id", name=op.f("uq_done_corrects_id")),
        sa.UniqueConstraint("uid", name=op.f("uq_done_uid"))
    )
    op.create_index(op.f("ix_done_step_id"), "done", ["step_id"], unique=False)
    op.create_table(
        "reading",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("kitchen_id", sa.Integer(), nullable=False),
        sa.Column("batch_id", sa.Integer(), nullable=True),
        sa.Column("piece_id", sa.Integer(), nullable=True),
        sa.Column("lot_id", sa.Integer(), nullable=True),
        sa.Column("step_id", sa.Integer(), nullable=True),
        sa.Column("instrument_id", sa.Integer(), nullable=True),
        sa.Column("photo_id", sa.Integer(), nullable=True),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("kind", sa.String(length=14), nullable=False),
        sa.Column("weight_g", sa.Double(), nullable=True),
        sa.Column("temperature_c", sa.Double(), nullable=True),
        sa.Column("ph", sa.Double(), nullable=True),
        sa.Column("water_activity", sa.Double(), nullable=True),
        sa.Column("humidity_pct", sa.Double(), nullable=True),
        sa.Column("salt_g_per_100g", sa.Double(), nullable=True),
        sa.Column("probe_depth_mm", sa.Double(), nullable=True),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("at_utc", UTC_TIME, nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("written_utc", UTC_TIME, nullable=False),
        sa.Column("void", sa.Boolean(), nullable=False),
        sa.Column("corrects_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("weight_g IS NOT NULL OR temperature_c IS NOT NULL OR ph IS NOT NULL OR water_activity IS NOT NULL OR humidity_pct IS NOT NULL OR salt_g_per_100g IS NOT NULL OR photo_id IS NOT NULL OR text <> '' OR void", name=op.f('ck_reading_something')),
        sa.CheckConstraint("ph >= 0 AND ph <= 14", name=op.f("ck_reading_ph")),
        sa.CheckConstraint("water_activity >= 0 AND water_activity <= 1", name=op.f("ck_reading_water_activity")),
        sa.CheckConstraint("weight_g > 0", name=op.f("ck_reading_weight")),
        sa.ForeignKeyConstraint(["batch_id"], ["batch.id"], name=op.f("fk_reading_batch_id")),
        sa.ForeignKeyConstraint(["corrects_id"], ["reading.id"], name=op.f("fk_reading_corrects_id")),
        sa.ForeignKeyConstraint(["instrument_id"], ["instrument.id"], name=op.f("fk_reading_instrument_id")),
        sa.ForeignKeyConstraint(["kitchen_id"], ["kitchen.id"], name=op.f("fk_reading_kitchen_id")),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name=op.f("fk_reading_lot_id")),
        sa.ForeignKeyConstraint(["photo_id"], ["photo.id"], name=op.f("fk_reading_photo_id")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_reading_piece_id")),
        sa.ForeignKeyConstraint(["step_id"], ["step.id"], name=op.f("fk_reading_step_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_reading")),
        sa.UniqueConstraint("corrects_id", name=op.f("uq_reading_corrects_id")),
        sa.UniqueConstraint("uid", name=op.f("uq_reading_uid"))
    )
    op.create_index(op.f("ix_reading_batch_id_at_utc"), "reading", ["batch_id", "at_utc"], unique=False)
    op.create_index(op.f("ix_reading_instrument_id"), "reading", ["instrument_id"], unique=False)
    op.create_index(op.f("ix_reading_kitchen_id_at_utc"), "reading", ["kitchen_id", "at_utc"], unique=False)
    op.create_index(op.f("ix_reading_lot_id"), "reading", ["lot_id"], unique=False)
    op.create_index(op.f("ix_reading_piece_id"), "reading", ["piece_id"], unique=False)
    op.create_index(op.f("ix_reading_step_id"), "reading", ["step_id"], unique=False)
    op.create_table(
        "deviation",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("kitchen_id", sa.Integer(), nullable=False),
        sa.Column("batch_id", sa.Integer(), nullable=True),
        sa.Column("step_id", sa.Integer(), nullable=True),
        sa.Column("reading_id", sa.Integer(), nullable=True),
        sa.Column("log_id", sa.Integer(), nullable=True),
        sa.Column("limit_id", sa.Integer(), nullable=True),
        sa.Column("level", sa.String(length=5), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("cause", sa.Text(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("value", sa.Double(), nullable=True),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("began_utc", UTC_TIME, nullable=True),
        sa.Column("ended_utc", UTC_TIME, nullable=True),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("act", sa.Text(), nullable=False),
        sa.Column("deadline_utc", UTC_TIME, nullable=True),
        sa.Column("at_utc", UTC_TIME, nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("written_utc", UTC_TIME, nullable=False),
        sa.Column("void", sa.Boolean(), nullable=False),
        sa.Column("corrects_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("level IN ('stop', 'today', 'note')", name=op.f('ck_deviation_level')),
        sa.ForeignKeyConstraint(["batch_id"], ["batch.id"], name=op.f("fk_deviation_batch_id")),
        sa.ForeignKeyConstraint(["corrects_id"], ["deviation.id"], name=op.f("fk_deviation_corrects_id")),
        sa.ForeignKeyConstraint(["kitchen_id"], ["kitchen.id"], name=op.f("fk_deviation_kitchen_id")),
        sa.ForeignKeyConstraint(["limit_id"], ["limit_in_force.id"], name=op.f("fk_deviation_limit_id")),
        sa.ForeignKeyConstraint(["log_id"], ["log_file.id"], name=op.f("fk_deviation_log_id")),
        sa.ForeignKeyConstraint(["reading_id"], ["reading.id"], name=op.f("fk_deviation_reading_id")),
        sa.ForeignKeyConstraint(["step_id"], ["step.id"], name=op.f("fk_deviation_step_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_deviation")),
        sa.UniqueConstraint("corrects_id", name=op.f("uq_deviation_corrects_id")),
        sa.UniqueConstraint("uid", name=op.f("uq_deviation_uid"))
    )
    op.create_index(op.f("ix_deviation_batch_id"), "deviation", ["batch_id"], unique=False)
    op.create_index(op.f("ix_deviation_kitchen_id_at_utc"), "deviation", ["kitchen_id", "at_utc"], unique=False)
    op.create_index(op.f("ix_deviation_log_id"), "deviation", ["log_id"], unique=False)
    op.create_table(
        "judged",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("kitchen_id", sa.Integer(), nullable=False),
        sa.Column("batch_id", sa.Integer(), nullable=True),
        sa.Column("plan_id", sa.Integer(), nullable=True),
        sa.Column("piece_id", sa.Integer(), nullable=True),
        sa.Column("step_id", sa.Integer(), nullable=True),
        sa.Column("reading_id", sa.Integer(), nullable=True),
        sa.Column("limit_id", sa.Integer(), nullable=False),
        sa.Column("level", sa.String(length=10), nullable=False),
        sa.Column("value", sa.Double(), nullable=True),
        sa.Column("low", sa.Double(), nullable=True),
        sa.Column("high", sa.Double(), nullable=True),
        sa.Column("act", sa.Text(), nullable=False),
        sa.Column("not_checked", sa.JSON(), nullable=False),
        sa.Column("at_utc", UTC_TIME, nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("written_utc", UTC_TIME, nullable=False),
        sa.CheckConstraint("level IN ('within', 'near', 'over', 'cannot_say')", name=op.f('ck_judged_level')),
        sa.ForeignKeyConstraint(["batch_id"], ["batch.id"], name=op.f("fk_judged_batch_id")),
        sa.ForeignKeyConstraint(["kitchen_id"], ["kitchen.id"], name=op.f("fk_judged_kitchen_id")),
        sa.ForeignKeyConstraint(["limit_id"], ["limit_in_force.id"], name=op.f("fk_judged_limit_id")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_judged_piece_id")),
        sa.ForeignKeyConstraint(["plan_id"], ["plan_taken.id"], name=op.f("fk_judged_plan_id")),
        sa.ForeignKeyConstraint(["reading_id"], ["reading.id"], name=op.f("fk_judged_reading_id")),
        sa.ForeignKeyConstraint(["step_id"], ["step.id"], name=op.f("fk_judged_step_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_judged")),
        sa.UniqueConstraint("uid", name=op.f("uq_judged_uid"))
    )
    op.create_index(op.f("ix_judged_batch_id"), "judged", ["batch_id"], unique=False)
    op.create_index(op.f("ix_judged_plan_id"), "judged", ["plan_id"], unique=False)
    op.create_table(
        "corrective_action",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("deviation_id", sa.Integer(), nullable=False),
        sa.Column("act", sa.Text(), nullable=False),
        sa.Column("cause", sa.Text(), nullable=False),
        sa.Column("control", sa.Text(), nullable=False),
        sa.Column("prevention", sa.Text(), nullable=False),
        sa.Column("product", sa.Text(), nullable=False),
        sa.Column("closes", sa.Boolean(), nullable=False),
        sa.Column("at_utc", UTC_TIME, nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("written_utc", UTC_TIME, nullable=False),
        sa.Column("void", sa.Boolean(), nullable=False),
        sa.Column("corrects_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["corrects_id"], ["corrective_action.id"], name=op.f("fk_corrective_action_corrects_id")),
        sa.ForeignKeyConstraint(["deviation_id"], ["deviation.id"], name=op.f("fk_corrective_action_deviation_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_corrective_action")),
        sa.UniqueConstraint("corrects_id", name=op.f("uq_corrective_action_corrects_id")),
        sa.UniqueConstraint("uid", name=op.f("uq_corrective_action_uid"))
    )
    op.create_index(op.f("ix_corrective_action_deviation_id"), "corrective_action", ["deviation_id"], unique=False)

    append_only(
        op.get_bind(), "link", "handed", "plan_taken", "done", "photo", "reading", "dose", "limit_in_force", "judged", "instrument_check",
        "log_file", "log_probe", "deviation", "corrective_action",
    )  # fmt: skip
    never_delete(op.get_bind(), "kitchen", "traced", "lot", "piece", "batch", "pack", "step", "instrument")
