"""Accounts that are closed."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from looseends.store.columns import UtcTime

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column."""
    op.add_column("accounts", sa.Column("closed_at", UtcTime(timezone=True), nullable=True))
