"""Writes a study's result as JSON for machines and as Markdown for readers."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any


def _cell(value: object) -> str:
    if isinstance(value, float):
        return f"{value:.4g}"
    if isinstance(value, list | tuple):
        return ", ".join(_cell(item) for item in value)
    return str(value).replace("|", "\\|").replace("\n", " ")


def _table(rows: list[Mapping[str, Any]]) -> list[str]:
    columns = list(dict.fromkeys(column for row in rows for column in row))
    lines = ["| " + " | ".join(columns) + " |", "|" + " --- |" * len(columns)]
    return lines + ["| " + " | ".join(_cell(row.get(column, "")) for column in columns) + " |" for row in rows]


def _block(key: str, value: object) -> list[str]:
    """One entry of the result: a table for records, a list for items, one line for the rest."""
    heading = f"## {key.replace('_', ' ').capitalize()}"
    if isinstance(value, Mapping) and value and all(isinstance(row, Mapping) for row in value.values()):
        return ["", heading, "", *_table([{"row": name, **row} for name, row in value.items()])]
    if isinstance(value, list | tuple) and value and all(isinstance(row, Mapping) for row in value):
        return ["", heading, "", *_table(list(value))]
    if isinstance(value, Mapping):
        return ["", heading, "", *(f"- {name}: {_cell(item)}" for name, item in value.items())]
    if isinstance(value, list | tuple):
        return ["", heading, "", *(f"- {_cell(item)}" for item in value)]
    return ["", f"**{key.replace('_', ' ').capitalize()}**: {_cell(value)}"]


def markdown(document: Mapping[str, Any]) -> str:
    """The result as a page: each entry of `result` in its own order, the stamp last.

    `title` and `about` in the result become the heading and the opening paragraph.
    """
    result = dict(document["result"])
    lines = [f"# {result.pop('title', document['study'])}"]
    if about := result.pop("about", ""):
        lines += ["", str(about)]
    for key, value in result.items():
        lines += _block(key, value)
    lines += ["", f"Run on {document['run_on']}, code and data stamp `{document['stamp']}`.", ""]
    return "\n".join(lines)


def write_result(document: Mapping[str, Any], folder: Path) -> tuple[Path, Path]:
    """Write `folder`/STUDY.json and STUDY.md; returns both paths. Both are complete before either is replaced."""
    name = document["study"]
    texts = {
        "json": json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False) + "\n",
        "md": markdown(document),
    }
    folder.mkdir(parents=True, exist_ok=True)
    for ending, text in texts.items():
        (folder / f".{name}.{ending}.part").write_text(text, encoding="utf-8")
    for ending in texts:
        (folder / f".{name}.{ending}.part").replace(folder / f"{name}.{ending}")
    return folder / f"{name}.json", folder / f"{name}.md"
