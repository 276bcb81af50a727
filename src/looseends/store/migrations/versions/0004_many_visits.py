"""What finds a few visits among very many."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

WORDS = "words_in"
"""How the names of indexes begin that find a word anywhere in a text; no table speaks of them."""

_SEARCHED = (("visits", "plate"), ("visits", "vin"), ("customers", "name"), ("complaints", "words"))


def upgrade() -> None:
    """Make the indexes; those of words where the server has its extension for them, else a search reads everything."""
    op.create_index(op.f("ix_visits_state_opened_at"), "visits", ["state", "opened_at"])
    op.create_index(op.f("ix_visits_plate_vehicle_id"), "visits", ["plate", "vehicle_id"])
    if op.get_bind().dialect.name == "postgresql" and _has_trigrams():
        for table, column in _SEARCHED:
            op.execute(f"CREATE INDEX {WORDS}_{table}_{column} ON {table} USING gin ({column} gin_trgm_ops)")


def _has_trigrams() -> bool:
    """Whether words can be found by three of their letters: installed, and allowed to this user."""
    bind = op.get_bind()
    named = "FROM pg_available_extensions WHERE name = 'pg_trgm'"
    if bind.execute(sa.text(f"SELECT 1 {named} AND installed_version IS NOT NULL")).first():
        return True
    if not bind.execute(sa.text(f"SELECT 1 {named}")).first():
        return False
    try:
        with bind.begin_nested():
            bind.execute(sa.text("CREATE EXTENSION pg_trgm"))
    except sa.exc.ProgrammingError:
        return False
    return True
