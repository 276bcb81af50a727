"""The parts of a vehicle, each with its joints, its place and the reject clearances that count."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.catalogue.names import unknown_name_sentence
from looseends.catalogue.types import Axis, JointFigure, PartKind
from looseends.errors import InputError
from looseends.language import refusal
from looseends.vehicle.checking import MakerLimit, maker_limits
from looseends.vehicle.layout_types import Layout, Place
from looseends.vehicle.setup import Side
from looseends.vehicle.vehicle import SIDES, Part, Vehicle


def with_maker_limit(part: Part, limit: MakerLimit | None) -> Part:
    """The part with its maker's reject clearances in place of common practice, where the maker gives any."""
    if limit is None or part.figure is None:
        return part
    radial = replace(part.figure.radial, reject=limit.radial or part.figure.radial.reject)
    axial = replace(part.figure.axial, reject=limit.axial or part.figure.axial.reject)
    figure = replace(part.figure, radial=radial, axial=axial)
    axes: tuple[tuple[Axis, float | None], ...] = (("radial", limit.radial), ("axial", limit.axial))
    given = tuple(axis for axis, value in axes if value is not None)
    return replace(part, figure=figure, maker_axes=given, limit_source=limit.source)


def vehicle_parts(vehicle: Vehicle, data: Mapping[str, Any], file: str) -> dict[str, Part]:
    """The parts of a vehicle whose file holds `data`, by id; `file` names it in errors.

    Raises
    ------
    InputError
        If a part kind, a joint figure or a maker's limit is unknown.
    """
    catalogue = load_catalogue()
    figures = data.get("figures", {})
    limits = maker_limits(data.get("maker_limits", {}), catalogue.part_kinds, file)
    for kind in figures:
        if kind not in catalogue.part_kinds:
            raise InputError(unknown_name_sentence("part kind", kind, catalogue.part_kinds, where=f"{file}, figures"))
    parts = {}
    for (kind, side), joints in _owners(vehicle.layout).items():
        if kind not in catalogue.part_kinds:
            where = f"layout {vehicle.layout.id}"
            raise InputError(unknown_name_sentence("part kind", kind, catalogue.part_kinds, where=where))
        figure_id = figures.get(kind, catalogue.part_kinds[kind].figure)
        if figure_id is not None and figure_id not in catalogue.joint_figures:
            raise InputError(
                refusal('{file}, figures: "{figure}" is no joint figure of the catalogue', file=file, figure=figure_id)
            )
        part = _part(vehicle, catalogue.part_kinds[kind], side, joints, catalogue.joint_figures.get(figure_id or ""))
        parts[part.id] = with_maker_limit(part, limits.get(kind))
    return parts


def _owners(layout: Layout) -> dict[tuple[str, Side | None], list[tuple[str, Place]]]:
    """Joints, each with its place, by the part kind and side that own them; a part without one has a nameless one."""
    owned = [(joint.part, joint.id, joint.sided, joint.at) for joint in layout.joints]
    owned += [(ratio.part, ratio.id, ratio.sided, ratio.at) for ratio in layout.ratios if ratio.part]
    owned += [(seen.kind, "", seen.sided, seen.at) for seen in layout.parts]
    owners: dict[tuple[str, Side | None], list[tuple[str, Place]]] = {}
    for kind, element, sided, at in owned:
        for side in SIDES if sided else (None,):
            joint = element if side is None or not element else f"{element}-{side}"
            owners.setdefault((kind, side), []).append((joint, at))
    return owners


def _part(
    vehicle: Vehicle, kind: PartKind, side: Side | None, joints: Sequence[tuple[str, Place]], figure: JointFigure | None
) -> Part:
    x, y, z = (float(v) for v in np.mean([vehicle.place(at, side) for _, at in joints], axis=0))
    mine = tuple(name for name, _ in joints if name)
    counts = figure if mine else None
    part_id = kind.id if side is None else f"{kind.id}-{side}"
    return Part(part_id, kind, side, counts, mine, (x, y, z), (), counts.source if counts else "")
