"""Commands, tables and links as the documents show them."""

from __future__ import annotations

import re
import shlex
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"
LESSONS = DOCS / "instructor.md"
QUICK = ("shake", "vehicles", "parts", "checks")
"""Commands that need no response tables."""

_FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_LABEL = re.compile(r"# (\d+[a-z]):")
_ROW = re.compile(r"^\| (\d+[a-z]) \| ([\w .-]+) \| ([\d.]+) \| ([\d.]*) ?\|$", re.MULTILINE)
_MOVEMENT = re.compile(r"^ ([\w-]+) +([\d.]+) +([\d.]+) +[\d.]+$", re.MULTILINE)
_LINK = re.compile(r"\]\(([^)\s]+)\)")


@dataclass(frozen=True)
class Shown:
    """A command of a document: the label in the comment before it ("" without one), and its arguments."""

    label: str
    arguments: tuple[str, ...]


@dataclass(frozen=True)
class Quoted:
    """A row of a lesson's table: the command's label, the watch, and what moves and is free [mm]."""

    label: str
    watch: str
    mm: float
    free_mm: float | None


def fenced(path: Path, language: str) -> list[str]:
    """The fenced blocks of a document in one language."""
    return [block for word, block in _FENCE.findall(path.read_text(encoding="utf-8")) if word == language]


def shown_commands(path: Path) -> list[Shown]:
    """Every quick command of a document's sh blocks, in order."""
    commands = []
    for block in fenced(path, "sh"):
        label = ""
        for line in block.splitlines():
            if found := _LABEL.match(line):
                label = found[1]
                continue
            words = shlex.split(line, comments=True)
            if words[:1] == [".venv/bin/looseends"] and words[1] in QUICK:
                commands.append(Shown(label, tuple(words[1:])))
            label = ""
    return commands


def quoted_rows(path: Path) -> list[Quoted]:
    """Every row of the tables whose first cell is the label of a command."""
    rows = _ROW.findall(path.read_text(encoding="utf-8"))
    return [Quoted(label, watch, float(mm), float(free) if free else None) for label, watch, mm, free in rows]


def printed_movements(path: Path) -> list[tuple[str, float, float]]:
    """Watch, what moves and what is free [mm], of every movement in a document's text blocks."""
    found = _MOVEMENT.findall("\n".join(fenced(path, "text")))
    return [(watch, float(mm), float(free)) for watch, mm, free in found]


def internal_links(path: Path) -> list[str]:
    """Targets of a document's links that lead into the project, in order."""
    text = _FENCE.sub("", path.read_text(encoding="utf-8"))
    return [target for target in _LINK.findall(text) if "://" not in target]
