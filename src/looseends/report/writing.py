"""Writing two files to a folder: both or a clear sentence, never a half-written or silently lost one."""

from __future__ import annotations

import os
import re
import tempfile
from collections.abc import Mapping
from pathlib import Path

from looseends.errors import InputError
from looseends.inspection.types import Judgement, Visit
from looseends.language import ENGLISH, Speech, Text, refusal, say
from looseends.report.enclosures import NOTHING_ENCLOSED, Enclosures
from looseends.report.page import handover_html
from looseends.report.paper import Sheet, handover_pdf
from looseends.report.plan_geometry import PlanGeometry
from looseends.report.route_content import RouteContent
from looseends.report.route_paper import route_pdf
from looseends.report.route_text import route_text
from looseends.report.vocabulary import Vocabulary


def write_handover(
    judgement: Judgement,
    geometry: PlanGeometry,
    directory: Path,
    *,
    vocabulary: Vocabulary | None = None,
    speech: Speech = ENGLISH,
    enclosures: Enclosures = NOTHING_ENCLOSED,
    sheet: Sheet = "a4",
    replace: bool = False,
) -> tuple[Path, Path]:
    """Write `handover-<vehicle>-<date>.html` and `.pdf` into `directory`, which is made where missing.

    In another language than English its mark stands behind the date: `handover-<vehicle>-<date>-es.html`.

    Parameters
    ----------
    judgement, geometry, vocabulary, speech, enclosures
        As for `handover_html`.
    sheet : "a4" or "letter"
        The PDF's size of paper.
    directory : Path
        Where the files go.
    replace : bool
        Overwrite an earlier handover of the same name that says something else.

    Returns
    -------
    paths : (Path, Path)
        The HTML file and the PDF file.

    Raises
    ------
    InputError
        If the directory is a file, cannot be made or written, or holds a different handover of that name
        and `replace` is off; then nothing is written.
    """
    _made(directory, say("Handover directory"))
    stem = handover_stem(judgement.visit) + _language_mark(speech)
    page, paper = directory / f"{stem}.html", directory / f"{stem}.pdf"
    contents = {
        page: handover_html(judgement, geometry, vocabulary, speech, enclosures).encode(),
        paper: handover_pdf(judgement, geometry, vocabulary, speech, enclosures, sheet),
    }
    _write_fresh(contents, say("handover"), replace=replace)
    return page, paper


def write_route_sheet(sheet: RouteContent, directory: Path, *, replace: bool = False) -> tuple[Path, Path]:
    """Write `route-<vehicle>.pdf` and `.txt`, to be filled in by hand, into `directory`, which is made where missing.

    Raises
    ------
    InputError
        As `write_handover`.
    """
    _made(directory, say("Route directory"))
    stem = f"route-{sheet.vehicle_id}{_language_mark(sheet.speech)}"
    paper, plain = directory / f"{stem}.pdf", directory / f"{stem}.txt"
    _write_fresh({paper: route_pdf(sheet), plain: route_text(sheet).encode()}, say("route sheet"), replace=replace)
    return paper, plain


def handover_stem(visit: Visit) -> str:
    """The files' name without ending: vehicle and date, in letters that every file system takes."""
    vehicle = re.sub(r"[^a-z0-9]+", "-", Path(visit.vehicle).name.removesuffix(".toml").lower()).strip("-")
    return f"handover-{vehicle or 'vehicle'}-{visit.date.isoformat()}"


def _language_mark(speech: Speech) -> str:
    return "" if speech.language == "en" else f"-{speech.language}"


def _write_fresh(contents: Mapping[Path, bytes], what: Text, *, replace: bool) -> None:
    """Write the files that are not there yet as they are; one that says something else only to replace it."""
    fresh = {path: content for path, content in contents.items() if not _holds(path, content)}
    for path in fresh:
        if path.exists() and not replace:
            raise InputError(
                refusal(
                    "{path}: a {what} that says something else is already there; accepted is another directory, "
                    "or replacing it on purpose.",
                    path=path,
                    what=what,
                )
            )
    for path, content in fresh.items():
        _write_whole(path, content)


def _made(directory: Path, whose: Text) -> None:
    if directory.exists() and not directory.is_dir():
        raise InputError(
            refusal(
                "{whose} {directory}: found a file; accepted is a directory or a new name.",
                whose=whose,
                directory=directory,
            )
        )
    try:
        directory.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise InputError(
            refusal(
                "{whose} {directory}: it cannot be made ({problem}); accepted is a directory that may be written to.",
                whose=whose,
                directory=directory,
                problem=problem.strerror,
            )
        ) from problem


def _holds(path: Path, content: bytes) -> bool:
    return path.is_file() and path.read_bytes() == content


def _write_whole(path: Path, content: bytes) -> None:
    """Write beside the target, then rename: a reader sees the old file or the new one, never a part."""
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            os.chmod(name, 0o644)
            os.replace(name, path)
        except OSError:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as problem:
        raise InputError(
            refusal(
                "{path}: it cannot be written ({problem}); accepted is a directory that may be written to.",
                path=path,
                problem=problem.strerror,
            )
        ) from problem
