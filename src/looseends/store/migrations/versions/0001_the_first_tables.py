"""The first tables."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "accounts",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("role", sa.String(length=16), nullable=False),
        sa.Column("language", sa.String(length=16), nullable=False),
        sa.Column("units", sa.String(length=16), nullable=False),
        sa.Column("password_hash", sa.Text(), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(
            "role IN ('instructor', 'technician', 'learner', 'office', 'owner')", name=op.f("ck_accounts_role_known")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_accounts")),
    )
    op.create_table(
        "customers",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("phone", sa.Text(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("erased_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customers")),
    )
    op.create_table(
        "vehicles",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("origin", sa.String(length=16), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("origin IN ('known', 'own')", name=op.f("ck_vehicles_origin_known")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_vehicles")),
    )
    op.create_table(
        "vehicle_texts",
        sa.Column("vehicle_id", sa.String(length=64), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("toml", sa.Text(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicles.id"], name=op.f("fk_vehicle_texts_vehicle_id")),
        sa.PrimaryKeyConstraint("vehicle_id", "sha256", name=op.f("pk_vehicle_texts")),
    )
    op.create_table(
        "visits",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("vehicle_id", sa.String(length=64), nullable=False),
        sa.Column("customer_id", sa.String(length=64), nullable=True),
        sa.Column("opened_by", sa.String(length=64), nullable=False),
        sa.Column("opened_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("date", sa.Date(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("plate", sa.Text(), nullable=False),
        sa.Column("vin", sa.Text(), nullable=False),
        sa.Column("odometer_km", sa.Double(), nullable=True),
        sa.Column("jurisdiction", sa.String(length=64), nullable=False),
        sa.Column("state", sa.String(length=16), nullable=False),
        sa.CheckConstraint("state IN ('open', 'signed-off')", name=op.f("ck_visits_state_known")),
        sa.ForeignKeyConstraint(["customer_id"], ["customers.id"], name=op.f("fk_visits_customer_id")),
        sa.ForeignKeyConstraint(["opened_by"], ["accounts.id"], name=op.f("fk_visits_opened_by")),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicles.id"], name=op.f("fk_visits_vehicle_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_visits")),
    )
    with op.batch_alter_table("visits") as batch_op:
        batch_op.create_index(batch_op.f("ix_visits_customer_id"), ["customer_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_visits_vehicle_id"), ["vehicle_id"], unique=False)

    op.create_table(
        "complaints",
        sa.Column("visit_id", sa.String(length=64), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["visit_id"], ["visits.id"], name=op.f("fk_complaints_visit_id")),
        sa.PrimaryKeyConstraint("visit_id", name=op.f("pk_complaints")),
    )
    op.create_table(
        "judgements",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("visit_id", sa.String(length=64), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("basis_sha256", sa.String(length=64), nullable=False),
        sa.Column("signed_by", sa.String(length=64), nullable=False),
        sa.Column("signed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("redacted_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["signed_by"], ["accounts.id"], name=op.f("fk_judgements_signed_by")),
        sa.ForeignKeyConstraint(["visit_id"], ["visits.id"], name=op.f("fk_judgements_visit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_judgements")),
    )
    with op.batch_alter_table("judgements") as batch_op:
        batch_op.create_index(batch_op.f("ix_judgements_visit_id"), ["visit_id"], unique=False)

    op.create_table(
        "observations",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("sequence", sa.BigInteger(), nullable=False),
        sa.Column("visit_id", sa.String(length=64), nullable=False),
        sa.Column("kind", sa.String(length=32), nullable=False),
        sa.Column("payload", sa.Text(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("account_id", sa.String(length=64), nullable=False),
        sa.Column("device_time", sa.DateTime(timezone=True), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("supersedes", sa.String(length=64), nullable=True),
        sa.Column("redacted_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name=op.f("fk_observations_account_id")),
        sa.ForeignKeyConstraint(["supersedes"], ["observations.id"], name=op.f("fk_observations_supersedes")),
        sa.ForeignKeyConstraint(["visit_id"], ["visits.id"], name=op.f("fk_observations_visit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_observations")),
        sa.UniqueConstraint("sequence", name=op.f("uq_observations_sequence")),
    )
    with op.batch_alter_table("observations") as batch_op:
        batch_op.create_index(batch_op.f("ix_observations_supersedes"), ["supersedes"], unique=False)
        batch_op.create_index(batch_op.f("ix_observations_visit_id_sequence"), ["visit_id", "sequence"], unique=False)

    op.create_table(
        "decisions",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("judgement_id", sa.String(length=64), nullable=False),
        sa.Column("part", sa.String(length=128), nullable=False),
        sa.Column("decision", sa.String(length=16), nullable=False),
        sa.Column("account_id", sa.String(length=64), nullable=False),
        sa.Column("decided_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("decision IN ('repair', 'leave', 'drive')", name=op.f("ck_decisions_decision_known")),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name=op.f("fk_decisions_account_id")),
        sa.ForeignKeyConstraint(["judgement_id"], ["judgements.id"], name=op.f("fk_decisions_judgement_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_decisions")),
    )
    with op.batch_alter_table("decisions") as batch_op:
        batch_op.create_index(batch_op.f("ix_decisions_judgement_id"), ["judgement_id"], unique=False)

    op.create_table(
        "photos",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("visit_id", sa.String(length=64), nullable=False),
        sa.Column("observation_id", sa.String(length=64), nullable=True),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("source_sha256", sa.String(length=64), nullable=False),
        sa.Column("content_type", sa.String(length=32), nullable=False),
        sa.Column("width_px", sa.Integer(), nullable=False),
        sa.Column("height_px", sa.Integer(), nullable=False),
        sa.Column("size_bytes", sa.Integer(), nullable=False),
        sa.Column("account_id", sa.String(length=64), nullable=False),
        sa.Column("device_time", sa.DateTime(timezone=True), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name=op.f("fk_photos_account_id")),
        sa.ForeignKeyConstraint(["observation_id"], ["observations.id"], name=op.f("fk_photos_observation_id")),
        sa.ForeignKeyConstraint(["visit_id"], ["visits.id"], name=op.f("fk_photos_visit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photos")),
    )
    with op.batch_alter_table("photos") as batch_op:
        batch_op.create_index(batch_op.f("ix_photos_sha256"), ["sha256"], unique=False)
        batch_op.create_index(batch_op.f("ix_photos_visit_id"), ["visit_id"], unique=False)


def downgrade() -> None:
    with op.batch_alter_table("photos") as batch_op:
        batch_op.drop_index(batch_op.f("ix_photos_visit_id"))
        batch_op.drop_index(batch_op.f("ix_photos_sha256"))

    op.drop_table("photos")
    with op.batch_alter_table("decisions") as batch_op:
        batch_op.drop_index(batch_op.f("ix_decisions_judgement_id"))

    op.drop_table("decisions")
    with op.batch_alter_table("observations") as batch_op:
        batch_op.drop_index(batch_op.f("ix_observations_visit_id_sequence"))
        batch_op.drop_index(batch_op.f("ix_observations_supersedes"))

    op.drop_table("observations")
    with op.batch_alter_table("judgements") as batch_op:
        batch_op.drop_index(batch_op.f("ix_judgements_visit_id"))

    op.drop_table("judgements")
    op.drop_table("complaints")
    with op.batch_alter_table("visits") as batch_op:
        batch_op.drop_index(batch_op.f("ix_visits_vehicle_id"))
        batch_op.drop_index(batch_op.f("ix_visits_customer_id"))

    op.drop_table("visits")
    op.drop_table("vehicle_texts")
    op.drop_table("vehicles")
    op.drop_table("customers")
    op.drop_table("accounts")
