"""Scores of visits kept as they come: a study that was stopped is gone on with where it stood."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict
from functools import cache
from pathlib import Path
from typing import Any

from looseends.diagnosis.tables.store import default_store
from studies.stamp import ROOT, code_stamp
from studies.visits_score import Score

Scores = dict[str, Score]


def kept_or(
    study: str, layout: str, seed: int, names: Sequence[str], scores: Callable[[str, int, Sequence[str]], Scores]
) -> Scores:
    """One vehicle's scores in some rows: those kept by the same code, or those that `scores` works out, then kept."""
    path = _folder(study) / f"{layout}-{seed}.json"
    known = _read(path)
    missing = [name for name in names if name not in known]
    if missing:
        known |= scores(layout, seed, missing)
        _write(path, {name: asdict(score) for name, score in known.items()})
    return {name: known[name] for name in names}


def _read(path: Path) -> Scores:
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return {}
    return {name: Score(**(fields | {"marginals": _pairs(fields["marginals"])})) for name, fields in found.items()}


def _pairs(marginals: Sequence[Sequence[Any]]) -> tuple[tuple[float, bool], ...]:
    return tuple((float(chance), bool(worn)) for chance, worn in marginals)


def _write(path: Path, document: Mapping[str, Any]) -> None:
    """All or nothing: a stopped run leaves no half of a file under this name."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.NamedTemporaryFile("w", dir=path.parent, suffix=".part", delete=False, encoding="utf-8") as file:
        json.dump(document, file)
    os.replace(file.name, path)


@cache
def _folder(study: str) -> Path:
    """Where the scores by just this code are kept; those by other code are of no use any more and go."""
    digest = hashlib.sha256(code_stamp(study=study).encode())
    for source in sorted((ROOT / "studies").glob("*.py")):
        digest.update(source.name.encode() + b"\0" + source.read_bytes())
    folder = default_store().directory.parent / "studies" / f"{study}-{digest.hexdigest()[:16]}"
    for other in folder.parent.glob(f"{study}-*"):
        if other != folder:
            shutil.rmtree(other, ignore_errors=True)
    return folder
