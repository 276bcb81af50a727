"""The project's own text files, without what set-up and tools leave behind."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "looseends"
FOLDERS = ("src", "tests", "studies", "lessons", "benchmarks", "docs", ".ci")


def project_files() -> Iterator[Path]:
    """Files at the root and in the project's folders."""
    yield from (path for path in sorted(ROOT.iterdir()) if path.is_file())
    for folder in FOLDERS:
        for path in sorted((ROOT / folder).rglob("*")):
            if path.is_file() and "__pycache__" not in path.parts:
                yield path


def project_texts() -> Iterator[tuple[Path, str]]:
    """Path and content of every file that is text; pictures and fonts are passed over."""
    for path in project_files():
        content = path.read_bytes()
        if b"\0" not in content:
            yield path, content.decode("utf-8")
