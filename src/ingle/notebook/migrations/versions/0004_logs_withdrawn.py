"""A log that was taken in wrongly can be withdrawn: a row that says who, when and why; the log itself stays."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from ingle.notebook.migrations.guards import append_only

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

UTC_TIME = sa.DateTime(timezone=True)


def upgrade() -> None:
    """One table, only added to; no row changes."""
    op.create_table(
        "log_withdrawn",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("log_id", sa.Integer(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("at_utc", UTC_TIME, nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("written_utc", UTC_TIME, nullable=False),
        sa.ForeignKeyConstraint(["log_id"], ["log_file.id"], name=op.f("fk_log_withdrawn_log_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_log_withdrawn")),
        sa.UniqueConstraint("log_id", name=op.f("uq_log_withdrawn_log_id")),
        sa.UniqueConstraint("uid", name=op.f("uq_log_withdrawn_uid")),
    )
    append_only(op.get_bind(), "log_withdrawn")
