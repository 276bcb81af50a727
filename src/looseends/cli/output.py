"""What goes to standard output: text for people, JSON for programs."""

from __future__ import annotations

import dataclasses
import datetime
import json
import math
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console

WIDTH_OF_A_PIPE = 110
"""Columns of text that goes to a file or a pipe, which has no width of its own."""


def console() -> Console:
    """Standard output as text; weight is the only emphasis, so it reads alike for every eye and on paper."""
    from rich.console import Console  # 0.05 s that --json and --help need not wait for

    width = None if sys.stdout.isatty() else WIDTH_OF_A_PIPE
    return Console(highlight=False, markup=False, emoji=False, no_color=True, width=width)


def print_json(value: object) -> None:
    """The value as JSON in UTF-8; what is infinite or no number becomes null."""
    sys.stdout.write(json.dumps(plain(value), indent=2, ensure_ascii=False, allow_nan=False) + "\n")


def plain(value: object) -> object:
    """The value in JSON's own kinds: records become objects, days their ISO 8601 text, infinity null."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(entry) for key, entry in value.items()}
    if isinstance(value, list | tuple):
        return [plain(entry) for entry in value]
    if isinstance(value, float):
        return float(value) if math.isfinite(value) else None
    if isinstance(value, datetime.date):
        return value.isoformat()
    return str(value) if isinstance(value, Path) else value
