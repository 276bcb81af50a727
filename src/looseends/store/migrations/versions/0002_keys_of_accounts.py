"""Keys of accounts for other programs."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from looseends.store.columns import UtcTime

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "access_tokens",
        sa.Column("id", sa.String(64), nullable=False),
        sa.Column("account_id", sa.String(64), nullable=False),
        sa.Column("purpose", sa.Text(), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("created_at", UtcTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name=op.f("fk_access_tokens_account_id_accounts")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_access_tokens")),
        sa.UniqueConstraint("sha256", name=op.f("uq_access_tokens_sha256")),
    )
    op.create_index(op.f("ix_access_tokens_account_id"), "access_tokens", ["account_id"])
