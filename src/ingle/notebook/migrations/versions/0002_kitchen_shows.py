"""How a kitchen likes its numbers shown: kilograms or pounds, Celsius or Fahrenheit, which kit it plans with."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """One column; a kitchen that has said nothing is metric."""
    op.add_column("kitchen", sa.Column("shows", sa.JSON(), nullable=False, server_default="{}"))
