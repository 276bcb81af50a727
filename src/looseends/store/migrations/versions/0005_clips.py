"""Short clips beside the photos."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "clips",
        sa.Column("photo_id", sa.String(64), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("ending", sa.String(8), nullable=False),
        sa.Column("milliseconds", sa.Integer(), nullable=False),
        sa.Column("size_bytes", sa.Integer(), nullable=False),
        sa.CheckConstraint("ending IN ('mp4', 'webm')", name=op.f("ck_clips_ending_known")),
        sa.ForeignKeyConstraint(["photo_id"], ["photos.id"], name=op.f("fk_clips_photo_id_photos")),
        sa.PrimaryKeyConstraint("photo_id", name=op.f("pk_clips")),
    )
    op.create_index(op.f("ix_clips_sha256"), "clips", ["sha256"])
