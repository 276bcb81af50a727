"""A copy of the catalogue's data in which a test breaks one thing."""

from __future__ import annotations

import shutil
from pathlib import Path

import looseends.catalogue

DATA = Path(looseends.catalogue.__file__).parent / "data"


def data_files() -> list[Path]:
    """Every file that the catalogue's loader reads."""
    return sorted([*DATA.glob("*.toml"), *DATA.glob("*.csv"), *DATA.glob("*/*.toml")])


def broken_copy(target: Path, file: str, old: str, new: str) -> Path:
    """A copy of the data with the first `old` in one file replaced by `new`."""
    folder = target / "data"
    shutil.copytree(DATA, folder)
    text = (folder / file).read_text(encoding="utf-8")
    assert old in text, f"{file} does not hold {old!r}"
    (folder / file).write_text(text.replace(old, new, 1), encoding="utf-8")
    return folder
