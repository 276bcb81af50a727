"""The stamp of the code and data that a study's result depends on."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
RESULTS = ROOT / "docs" / "studies"
NUMERIC_ROOMS = ("mechanics", "catalogue", "vehicle", "inspection", "diagnosis")
ROOMS_OF = {"kernel_agreement": ("mechanics", "catalogue", "vehicle")}
"""Rooms that a study's result depends on, where they are not all: what else changes leaves the result as it is."""


def stamped_files(package: Path, rooms: Sequence[str] = NUMERIC_ROOMS) -> Iterator[Path]:
    """Every file of these rooms below `package`, data included, compiled files left out, in fixed order."""
    for room in rooms:
        files = (path for path in (package / room).rglob("*") if path.is_file())
        yield from sorted(
            (path for path in files if "__pycache__" not in path.parts),
            key=lambda path: path.relative_to(package).parts,
        )


def code_stamp(package: Path = ROOT / "src" / "looseends", study: str = "") -> str:
    """SHA-256 over names and bytes of the rooms that a study depends on, as 64 hexadecimal digits.

    Names and lengths go in with the bytes, so that moving text from one file to another changes the stamp.
    """
    digest = hashlib.sha256()
    for path in stamped_files(package, ROOMS_OF.get(study, NUMERIC_ROOMS)):
        content = path.read_bytes()
        digest.update(f"{path.relative_to(package).as_posix()}\0{len(content)}\0".encode())
        digest.update(content)
    return digest.hexdigest()


def recorded_stamps(results: Path = RESULTS) -> dict[str, str]:
    """The stamp written into each result file, by the study's name; empty where a file carries none."""
    stamps = {}
    for path in sorted(results.glob("*.json")):
        document = json.loads(path.read_text(encoding="utf-8"))
        stamps[path.stem] = str(document.get("stamp", "")) if isinstance(document, dict) else ""
    return stamps


def stale_studies(results: Path = RESULTS, package: Path = ROOT / "src" / "looseends") -> list[str]:
    """Names of the studies whose result was computed with other code or data than the present."""
    return [name for name, stamp in recorded_stamps(results).items() if stamp != code_stamp(package, name)]
