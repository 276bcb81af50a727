"""Vehicle files of the user's own: a folder of them, and single ones that a command names."""

from __future__ import annotations

import hashlib
import os
from dataclasses import dataclass
from pathlib import Path

from looseends.errors import InputError
from looseends.language import refusal

FOLDER_VARIABLE = "LOOSEENDS_VEHICLES"
"""Environment variable that names the folder of a user's own vehicle files."""

FILE_VARIABLE = "LOOSEENDS_VEHICLE_FILE"
"""Environment variable that names one more file; what `--vehicle-file` sets, so that other processes see it too."""


@dataclass(frozen=True)
class OwnFile:
    """A file, and by what it is seen to have changed."""

    path: Path
    changed_ns: int
    size: int


def own_files() -> tuple[OwnFile, ...]:
    """The user's vehicle files, those of the folder in order of their names.

    Raises
    ------
    InputError
        If the folder is none, or the file is not there.
    """
    paths = []
    if folder := os.environ.get(FOLDER_VARIABLE):
        if not Path(folder).is_dir():
            raise InputError(
                refusal(
                    '{variable} must name a folder of vehicle files, found "{folder}".',
                    variable=FOLDER_VARIABLE,
                    folder=folder,
                )
            )
        paths += sorted(Path(folder).glob("*.toml"))
    if named := os.environ.get(FILE_VARIABLE):
        if not Path(named).is_file():
            raise InputError(
                refusal('--vehicle-file must name a vehicle file that is there, found "{found}".', found=named)
            )
        # The same file may lie in the folder too.
        paths += [Path(named)] if Path(named).resolve() not in [path.resolve() for path in paths] else []
    return tuple(OwnFile(path, path.stat().st_mtime_ns, path.stat().st_size) for path in paths)


def text_of(path: Path) -> str:
    """The text of a file.

    Raises
    ------
    InputError
        If it cannot be read as text in UTF-8.
    """
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(
            refusal(
                "{file}: must be a text file in UTF-8 that can be read, found a fault: {problem}.",
                file=path.name,
                problem=error,
            )
        ) from error


def content_mark(text: str) -> str:
    """A short mark of a file's text, another one for another text."""
    return hashlib.sha256(text.encode()).hexdigest()[:16]
