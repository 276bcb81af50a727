"""Joint figures: stiffness and clearance of each kind of joint, read from a CSV table."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Mapping
from typing import get_args

from looseends.catalogue.entry import Entry, by_id
from looseends.catalogue.names import unknown_name_sentence
from looseends.catalogue.sources import Source, citation
from looseends.catalogue.types import Axis, AxisFigures, Band, ClearanceShape, Cold, JointFigure, WearMode
from looseends.errors import InputError

AXIS_NUMBERS = ("stiffness_lo_N_per_mm", "stiffness_hi_N_per_mm", "sound_lo_mm", "sound_hi_mm", "reject_mm")
NUMBERS = (
    *(f"{axis}_{column}" for axis in get_args(Axis) for column in AXIS_NUMBERS),
    "torsion_stiffness_N_mm_per_rad",
    "tilt_stiffness_N_mm_per_rad",
    "relative_wear",
    "preload_torque_lo_N_mm",
    "preload_torque_hi_N_mm",
    "axial_preload_lo_N",
    "axial_preload_hi_N",
    "torn_boot_wear_factor",
    "corrosion_sensitivity",
    "axial_wear_share",
)
TEXTS = (
    *("id", "shape", "radial_measured", "axial_measured", "wear_axis", "basis", "source"),
    *("preload_measured", "cold", "wear_mode", "failure_end"),
)
COLUMNS = frozenset(NUMBERS + TEXTS)


def read_joint_figures(
    text: str, sources: Mapping[str, Source], file: str = "joint_figures.csv"
) -> dict[str, JointFigure]:
    """Joint figures by id from the text of a CSV table, one row per kind of joint.

    Stiffness [N/mm], clearance [mm, total travel], torsion and tilt stiffness [N·mm/rad]. Two empty stiffness
    cells mean that the joint does not hold that axis; any other empty cell, that the trade has no figure. Preload
    torque [N·mm], axial preload [N].

    Raises
    ------
    InputError
        If a column is missing or unknown, a cell is out of range, or an id stands twice.

    Source
    ------
    Own format; see docs/adding-trade-knowledge.md.
    """
    rows = csv.DictReader(io.StringIO(text), strict=True)
    try:
        _check_columns(tuple(rows.fieldnames or ()), file)
        entries = [_row_entry(row, file, rows.line_num) for row in rows]
    except csv.Error as error:
        raise InputError(f"{file}, line {rows.line_num}: must be valid CSV, found a fault: {error}.") from error
    return by_id((_joint_figure(entry, sources) for entry in entries), file, "joint figure")


def _check_columns(columns: tuple[str, ...], file: str) -> None:
    for column in columns:
        if column not in COLUMNS:
            raise InputError(unknown_name_sentence("column", column, COLUMNS, where=file))
    missing = sorted(COLUMNS - set(columns))
    if missing or len(set(columns)) != len(columns):
        wanted = f"no column {', '.join(missing)}" if missing else "a column twice"
        raise InputError(f"{file}: the first line must name each of the {len(COLUMNS)} columns once, found {wanted}.")


def _row_entry(row: dict[str, str | None], file: str, line: int) -> Entry:
    # csv puts surplus cells under the key None and fills missing cells with the value None
    if None in row or None in row.values():
        raise InputError(f"{file}, line {line}: a row must have {len(COLUMNS)} cells, found more or fewer.")
    cells = {column: cell.strip() for column, cell in row.items() if cell is not None and cell.strip()}
    entry = Entry(file, f'joint figure "{cells.get("id", "")}" (line {line})', dict(cells))
    for column in NUMBERS:
        if column in cells:
            entry.values[column] = _number(entry, column, cells[column])
    return entry


def _number(entry: Entry, column: str, cell: str) -> float:
    try:
        return float(cell)
    except ValueError as error:
        raise entry.refuse(column, "a number or empty") from error


def _joint_figure(entry: Entry, sources: Mapping[str, Source]) -> JointFigure:
    figure = JointFigure(
        id=entry.identifier(),
        shape=entry.choice("shape", get_args(ClearanceShape)),
        radial=_axis_figures(entry, "radial"),
        axial=_axis_figures(entry, "axial"),
        torsion_stiffness=entry.number("torsion_stiffness_N_mm_per_rad", minimum=0),
        tilt_stiffness=entry.number("tilt_stiffness_N_mm_per_rad", minimum=0),
        relative_wear=entry.positive("relative_wear"),
        wear_axis=entry.choice("wear_axis", get_args(Axis)),
        basis=entry.text("basis"),
        source=citation(entry, sources),
        preload_torque=_optional_band(entry, "preload_torque_lo_N_mm", "preload_torque_hi_N_mm"),
        preload_measured=entry.optional_text("preload_measured"),
        axial_preload=_optional_band(entry, "axial_preload_lo_N", "axial_preload_hi_N"),
        torn_boot_wear_factor=_optional(entry, "torn_boot_wear_factor", 1, math.inf),
        corrosion_sensitivity=_corrosion(entry),
        cold=entry.choice("cold", get_args(Cold)) if entry.has("cold") else None,
        axial_wear_share=_optional(entry, "axial_wear_share", 0, 1),
        wear_mode=entry.choice("wear_mode", get_args(WearMode)) if entry.has("wear_mode") else None,
        failure_end=entry.optional_text("failure_end"),
    )
    _refuse_contradictions(entry, figure)
    entry.finish()
    return figure


def _refuse_contradictions(entry: Entry, figure: JointFigure) -> None:
    if figure.shape == "rubber" and (figure.radial.sound_clearance.hi or figure.axial.sound_clearance.hi):
        raise entry.refuse("radial_sound_hi_mm", "0 on both axes for rubber, whose movement is elastic until it tears")
    if (figure.preload_torque is None) != (figure.preload_measured is None):
        raise entry.refuse("preload_measured", "given exactly when a preload torque is given")
    share, leading = figure.axial_wear_share, figure.wear_axis
    if share is not None and share != 0.5 and (share > 0.5) != (leading == "axial"):
        raise entry.refuse("axial_wear_share", f"on the side of wear_axis {leading}, of which it gives the share")


def _optional(entry: Entry, column: str, minimum: float, maximum: float) -> float | None:
    return entry.number(column, minimum=minimum, maximum=maximum) if entry.has(column) else None


def _optional_band(entry: Entry, lo: str, hi: str) -> Band | None:
    return entry.band(lo, hi) if entry.has(lo) or entry.has(hi) else None


def _corrosion(entry: Entry) -> int | None:
    grade = _optional(entry, "corrosion_sensitivity", 0, 3)
    if grade is not None and grade != int(grade):
        raise entry.refuse("corrosion_sensitivity", "a whole number from 0 to 3")
    return None if grade is None else int(grade)


def _axis_figures(entry: Entry, axis: Axis) -> AxisFigures:
    lo, hi, reject = (f"{axis}_{name}" for name in ("stiffness_lo_N_per_mm", "stiffness_hi_N_per_mm", "reject_mm"))
    sound: Band = entry.band(f"{axis}_sound_lo_mm", f"{axis}_sound_hi_mm")
    figures = AxisFigures(
        stiffness=_stiffness(entry, lo, hi),
        sound_clearance=sound,
        reject=entry.positive(reject) if entry.has(reject) else None,
        measured=entry.text(f"{axis}_measured"),
    )
    if figures.reject is not None and figures.reject <= sound.hi:
        raise entry.refuse(reject, f"greater than the sound band's upper end {sound.hi:g}")
    return figures


def _stiffness(entry: Entry, lo: str, hi: str) -> Band | None:
    if not entry.has(lo) and not entry.has(hi):
        return None
    entry.positive(lo)
    return entry.band(lo, hi)
