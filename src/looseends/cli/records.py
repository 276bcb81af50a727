"""`looseends backup`, `restore`, `export` and `import`: the records put away, brought back and carried over."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from looseends.cli.options import AsJson
from looseends.cli.output import console, print_json

if TYPE_CHECKING:
    from looseends.store.export import Written
    from looseends.store.kept import Store

NewFile = Annotated[Path, typer.Argument(metavar="FILE", help="File to write; one that is there is refused.")]
BackupFile = Annotated[Path, typer.Argument(metavar="FILE", help="A backup, or an archive of records.")]
ArchiveFile = Annotated[Path, typer.Argument(metavar="FILE", help='An archive that "looseends export" has written.')]
StoreName = Annotated[
    str | None,
    typer.Option(
        "--store",
        metavar="STORE",
        envvar="LOOSEENDS_STORE",
        help="Where the records are: a file, or postgresql://USER@HOST/DATABASE; by default a file in the user's data "
        "folder.",
    ),
]
Overwrite = Annotated[bool, typer.Option("--replace", help="Overwrite a file that is there.")]
ReplaceRecords = Annotated[bool, typer.Option("--replace", help="Replace the records that the store holds.")]


def backup(file: NewFile, store: StoreName = None, replace: Overwrite = False, as_json: AsJson = False) -> None:
    """Put all records, photos and clips into one file.

    Others may go on working meanwhile. The file holds customers' names and phones, and password hashes: keep it where
    nobody else reads it. Erasing a customer does not reach into it.
    """
    from looseends.store import backup as written  # the database's library: --help need not wait for it

    with _opened(store) as opened:
        _tell(written(opened, file, replace=replace), "Written to", file, as_json)


def restore(
    file: BackupFile, store: StoreName = None, replace: ReplaceRecords = False, as_json: AsJson = False
) -> None:
    """Bring the records of a backup back.

    Afterwards the store holds what the file holds and nothing else. It is checked whole beforehand and comes in at
    once or not at all. A store that holds records already is refused, unless --replace says that they may go.
    """
    from looseends.store import restore as brought_back  # the database's library: --help need not wait for it

    with _opened(store) as opened:
        _tell(brought_back(opened, file, replace=replace), "Brought back from", file, as_json)


def export(file: NewFile, store: StoreName = None, replace: Overwrite = False, as_json: AsJson = False) -> None:
    """Write all records, photos and clips as an open archive.

    A zip of JSON lines, one file for each table, of photos and clips; docs/store.md tells its form. Another store takes
    it in with "looseends import", also one in another database.
    """
    from looseends.store import export_archive  # the database's library: --help need not wait for it

    with _opened(store) as opened:
        _tell(export_archive(opened, file, replace=replace), "Written to", file, as_json)


def import_(file: ArchiveFile, store: StoreName = None, as_json: AsJson = False) -> None:
    """Take the records of an archive in.

    What is there already is passed over, so taking the same file in again changes nothing. A damaged file, or one that
    contradicts what is stored, is refused whole.
    """
    from looseends.store import import_archive  # the database's library: --help need not wait for it

    with _opened(store) as opened:
        taken = import_archive(opened, file)
    if as_json:
        print_json(taken)
        return
    counts = f"new rows {taken.new}, there already {taken.there}, photos {taken.photos}, clips {taken.clips}"
    console().print(f"Taken in from {file}: {counts}.", soft_wrap=True)


@contextmanager
def _opened(name: str | None) -> Iterator[Store]:
    from looseends.store import open_store

    opened = open_store(name)
    try:
        yield opened
    finally:
        opened.close()


def _tell(written: Written, what: str, file: Path, as_json: bool) -> None:
    if as_json:
        print_json(written)
        return
    counts = (
        f"visits {written.visits}, observations {written.observations}, photos {written.photos}, clips {written.clips}"
    )
    console().print(f"{what} {file}: {counts}.", soft_wrap=True)
