"""A composed layout as one vehicle has it: without what it lacks, and with masses of its own."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Any

from looseends.catalogue.names import unknown_name_sentence
from looseends.errors import InputError
from looseends.language import refusal
from looseends.vehicle.layout_types import Layout, LayoutRatio


def fitted(layout: Layout, data: Mapping[str, Any], file: str) -> Layout:
    """The layout less the options in `without`, its bodies weighing what `masses_kg` says.

    `data` is the vehicle file's; `file` names it in errors.

    Raises
    ------
    InputError
        If an option or a body is unknown, two places of one thing are left, or a mass is no number above zero.
    """
    for name in data.get("without", ()):
        if name not in layout.options:
            raise InputError(unknown_name_sentence("option", name, layout.options, where=f"{file}, without"))
        layout = _without(layout, name)
    _refuse_two_places(layout, set(data.get("without", ())), file)
    masses = data.get("masses_kg", {})
    known = {body.id for body in layout.bodies}
    for name, mass in masses.items():
        if name not in known:
            raise InputError(unknown_name_sentence("body", name, known, where=f"{file}, masses_kg"))
        if isinstance(mass, bool) or not isinstance(mass, int | float) or not 0.0 < mass < 1e5:
            raise InputError(
                refusal(
                    "{file}, masses_kg: {name} must be a mass above 0 kg, found {found}",
                    file=file,
                    name=name,
                    found=repr(mass),
                )
            )
    bodies = tuple(replace(body, mass=float(masses.get(body.id, body.mass))) for body in layout.bodies)
    return replace(layout, bodies=bodies)


def _without(layout: Layout, name: str) -> Layout:
    option = layout.options[name]
    gone = set(option.bodies)

    def stays(ratio: LayoutRatio) -> bool:
        return not any({term.a, term.b} & gone for term in ratio.terms)

    return replace(
        layout,
        bodies=tuple(body for body in layout.bodies if body.id not in gone),
        joints=tuple(e for e in layout.joints if not {e.a, e.b} & gone and e.id not in option.joints),
        guides=tuple(e for e in layout.guides if not {e.a, e.b} & gone),
        springs=tuple(e for e in layout.springs if not {e.a, e.b} & gone),
        air_springs=tuple(e for e in layout.air_springs if not {e.a, e.b} & gone),
        stops=tuple(e for e in layout.stops if not {e.a, e.b} & gone),
        ratios=tuple(ratio for ratio in layout.ratios if stays(ratio)),
        lines=tuple(line for line in layout.lines if line.name not in option.lines),
    )


def _refuse_two_places(layout: Layout, without: Collection[str], file: str) -> None:
    """Refuse a vehicle that has one thing, as a steering damper, in two places."""
    there = {joint.id for joint in layout.joints}
    left: dict[str, list[str]] = {}
    for name, option in layout.options.items():
        if option.one_of and name not in without and there & set(option.joints):
            left.setdefault(option.one_of, []).append(name)
    for what, names in left.items():
        if len(names) > 1:
            said = ", ".join(f'"{name}"' for name in names)
            raise InputError(
                refusal(
                    "{file}: of the {what}, {said}, a vehicle has one; put the others into without",
                    file=file,
                    what=what,
                    said=said,
                )
            )
