"""The tables brought to this version's form when a store is opened."""

from __future__ import annotations

from importlib.resources import files

from sqlalchemy import Connection, Engine, inspect, text

from looseends.errors import InputError
from looseends.store.connection import writing

HEAD = "0002"
"""The newest migration; a test compares."""

_VERSION_TABLE = "alembic_version"


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
        tables = set(inspect(connection).get_table_names()) - {_VERSION_TABLE}
        if found is None and tables:
            raise InputError(f"{place} is a database of something else, with a table {min(tables)}: name another one.")
        _migrate(connection, found, place)


def revision(connection: Connection) -> str | None:
    """The migration that the store is at; None for an empty one."""
    if not inspect(connection).has_table(_VERSION_TABLE):
        return None
    found: str | None = connection.execute(text(f"SELECT version_num FROM {_VERSION_TABLE}")).scalar()
    return found


def _migrate(connection: Connection, found: str | None, place: str) -> None:
    # 0.2 s that an open at the newest form need not wait for
    from alembic import command
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", str(files("looseends.store") / "migrations"))
    config.attributes["connection"] = connection
    known = {script.revision for script in ScriptDirectory.from_config(config).walk_revisions()}
    if found is not None and found not in known:
        raise InputError(f'{place} was written by a newer version, found its form "{found}": use that version.')
    command.upgrade(config, "head")
