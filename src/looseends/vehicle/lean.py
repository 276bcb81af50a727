"""Shafts and axes that lean a little: points turned about their middle, and directions that a layout gives."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import replace
from functools import partial

import numpy as np

from looseends.catalogue.entry import Entry
from looseends.catalogue.names import unknown_name_sentence
from looseends.errors import InputError
from looseends.language import refusal
from looseends.mechanics.bodies import Array, axes_along
from looseends.vehicle.groups import PointGroup, load_groups, stem_of
from looseends.vehicle.layout_types import Direction, Layout

MOST_LEAN_DEG = 30.0
"""A shaft that leans further is another layout. Assumed."""


def leaned(points: Mapping[str, Array], group: PointGroup, lean: Array) -> dict[str, Array]:
    """Points (3,) [mm] of one side turned about their middle by a lean (2,) [rad] across the line of the first two."""
    axis = [points[name] for stem in group.points[:2] for name in points if stem_of(name) == stem]
    if group.lean_deg is None or group.turned or len(axis) < 2 or not np.any(lean):
        return dict(points)
    R, middle = _rotation(axis[1] - axis[0], lean), np.mean(list(points.values()), axis=0)
    return {name: middle + R @ (point - middle) for name, point in points.items()}


def turned(layout: Layout, elements: Collection[str], lean: Array) -> Layout:
    """The layout with the directions of some of its joints and ratios turned by a lean (2,) [rad] across each."""
    if not elements or not np.any(lean):
        return layout
    return _with_axes(layout, elements, lambda axis: _turned(axis, lean))


def _turned(axis: Direction, lean: Array) -> Direction:
    """A direction leaned; one that is given by two points leans with them."""
    if isinstance(axis[0], str):
        return axis
    vector = np.array([float(value) for value in axis])
    x, y, z = (float(value) for value in _rotation(vector, lean) @ vector)
    return (x, y, z)


def _rotation(axis: Array, lean: Array) -> Array:
    """Rotation (3, 3) that leans a direction by (2,) [rad] toward the two directions across it."""
    across, other, along = axes_along(axis).T
    v = lean[0] * across + lean[1] * other
    angle = float(np.linalg.norm(v))
    # Rodrigues' formula about the line square to the axis and to where it leans.
    k = np.cross(along, v / angle) if angle else along
    K = np.array([[0.0, -k[2], k[1]], [k[2], 0.0, -k[0]], [-k[1], k[0], 0.0]])
    return np.asarray(np.eye(3) + np.sin(angle) * K + (1.0 - np.cos(angle)) * K @ K)


def shafts_as_measured(layout: Layout, values: object, file: str) -> Layout:
    """The layout with its upright shafts leaning as a vehicle file's table `[leans]` says; None changes nothing.

    Each entry is `{ forward_deg, left_deg }`: how far the shaft's top leans forward and to the left.

    Raises
    ------
    InputError
        If an entry names no upright shaft of this layout, or an angle is no number in its range.
    """
    if values is None:
        return layout
    if not isinstance(values, dict):
        raise InputError(
            refusal("{file}: leans must be a table [leans], found {found}.", file=file, found=repr(values))
        )
    upright = {e.id for e in layout.joints if e.axis == (0.0, 0.0, 1.0)}
    known = {group.id: group for group in load_groups().values() if upright & set(group.turned)}
    for name, angles in values.items():
        if name not in known:
            raise InputError(unknown_name_sentence("shaft", name, known, where=f"{file}, leans"))
        entry = Entry(f"{file}, leans", name, angles if isinstance(angles, dict) else {})
        forward, left = (
            np.tan(np.radians(entry.number(key, minimum=-MOST_LEAN_DEG, maximum=MOST_LEAN_DEG)))
            for key in ("forward_deg", "left_deg")
        )
        entry.finish()
        along = np.array([forward, left, 1.0])
        x, y, z = (float(value) for value in along / np.linalg.norm(along))
        layout = _with_axes(layout, known[name].turned, partial(_or_points, measured=(x, y, z)))
    return layout


def _or_points(axis: Direction, measured: Direction) -> Direction:
    """What was measured, but for a direction that two points give."""
    return axis if isinstance(axis[0], str) else measured


def _with_axes(layout: Layout, elements: Collection[str], other: Callable[[Direction], Direction]) -> Layout:
    joints = tuple(replace(e, axis=other(e.axis)) if e.id in elements else e for e in layout.joints)
    ratios = tuple(
        replace(e, terms=tuple(replace(term, axis=other(term.axis)) for term in e.terms)) if e.id in elements else e
        for e in layout.ratios
    )
    return replace(layout, joints=joints, ratios=ratios)
