"""What was done since midnight is found by its time: in a kitchen of years the first page read every row for it."""

from __future__ import annotations

from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """One index; no row changes."""
    op.create_index("ix_done_at_utc", "done", ["at_utc"])
