"""The tables brought to this version's form when a store is opened."""

from __future__ import annotations

from importlib.resources import files
from typing import TYPE_CHECKING

from sqlalchemy import Connection, Engine, inspect, text

from looseends.errors import InputError
from looseends.language import refusal
from looseends.store.connection import writing

if TYPE_CHECKING:
    from alembic.config import Config

HEAD = "0005"
"""The newest migration; a test compares."""

VERSION_TABLE = "alembic_version"


def upgrade_to_head(engine: Engine, place: str) -> None:
    """Run the migrations that the store has not had; two programs that open it at once take turns.

    Raises
    ------
    InputError
        If it was written by a newer version, or is somebody else's database.
    """
    with engine.connect() as connection:
        if revision(connection) == HEAD:
            return
    with writing(engine).begin() as connection:
        found = revision(connection)
        if found == HEAD:
            return
        tables = set(inspect(connection).get_table_names()) - {VERSION_TABLE}
        if found is None and tables:
            raise InputError(
                refusal(
                    "{place} is a database of something else, with a table {table}: name another one.",
                    place=place,
                    table=min(tables),
                )
            )
        if found is not None:
            _require_known(found, place)
        migrate_to(connection, "head", place)


def revision(connection: Connection) -> str | None:
    """The migration that the store is at; None for an empty one."""
    if not inspect(connection).has_table(VERSION_TABLE):
        return None
    found: str | None = connection.execute(text(f"SELECT version_num FROM {VERSION_TABLE}")).scalar()
    return found


def migrate_to(connection: Connection, form: str, place: str) -> None:
    """Run the migrations up to a form, or to the "head", in the connection's transaction.

    Raises
    ------
    InputError
        If the form is not known here.
    """
    from alembic import command  # 0.2 s that an open at the newest form need not wait for

    if form != "head":
        _require_known(form, place)
    config = _config()
    config.attributes["connection"] = connection
    command.upgrade(config, form)


def _require_known(form: str, place: str) -> None:
    from alembic.script import ScriptDirectory

    if form not in {script.revision for script in ScriptDirectory.from_config(_config()).walk_revisions()}:
        raise InputError(
            refusal(
                '{place} was written by a newer version, found its form "{form}": use that version.',
                place=place,
                form=form,
            )
        )


def _config() -> Config:
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(files("looseends.store") / "migrations"))
    return config
