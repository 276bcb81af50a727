"""A vehicle with what somebody changed from how its maker built it: spacers, wound bars, other arms and wheels."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib import resources

from looseends.catalogue import load_catalogue
from looseends.catalogue.names import unknown_name_sentence
from looseends.errors import InputError
from looseends.language import Text, joined, refusal
from looseends.vehicle.alteration import Altered
from looseends.vehicle.layout_types import Layout
from looseends.vehicle.vehicle import Vehicle

ADJUSTER = ("adjuster_lead_mm", "adjuster_key_lever_mm")
"""Numbers that turn turns of an adjuster's bolt into an angle of the bar's key."""


@dataclass(frozen=True)
class Effect:
    """What an alteration changes: which `change`, of which elements or points, and how much is believed."""

    alteration: str
    end: str
    unit: str
    change: str
    names: tuple[str, ...]
    least: float
    most: float
    factor: float
    along: tuple[str, str] | None
    direction: tuple[float, float, float]


def altered(vehicle: Vehicle, alterations: Sequence[Altered], where: str) -> Vehicle:
    """The vehicle with these alterations; `where` names in errors where they were written.

    Springs push as hard at the design height as those of the vehicle unaltered, and what was put in comes on top: the
    vehicle then stands, hangs and steers as the mechanics finds.

    Raises
    ------
    InputError
        If an alteration is unknown, changes nothing that is computed, does not fit the vehicle, or is out of range.
    """
    for alteration in alterations:
        effect = _effect(vehicle, alteration, where)
        vehicle = _CHANGES[effect.change](vehicle, effect, alteration.amount, where)
    return replace(vehicle, alterations=(*vehicle.alterations, *alterations)) if alterations else vehicle


@cache
def load_effects() -> tuple[Effect, ...]:
    """What each alteration changes, from the package's data."""
    path = resources.files("looseends.vehicle") / "data" / "alterations.toml"
    entries = tomllib.loads(path.read_text(encoding="utf-8"))["effect"]
    return tuple(
        Effect(
            e["alteration"], e["end"], e["unit"], e["change"], tuple(e["names"]), float(e["least"]), float(e["most"]),
            float(e.get("factor", 1.0)), tuple(e["along"]) if "along" in e else None,
            tuple(e.get("direction", (0.0, 0.0, 0.0))),
        )
        for e in entries
    )  # fmt: skip


def _effect(vehicle: Vehicle, alteration: Altered, where: str) -> Effect:
    known = load_catalogue().alterations
    if alteration.id not in known:
        raise InputError(unknown_name_sentence("alteration", alteration.id, known, where=where))
    effects = [effect for effect in load_effects() if effect.alteration == alteration.id]
    if not effects:
        computed = ", ".join(sorted({effect.alteration for effect in load_effects()}))
        raise InputError(
            refusal(
                '{where}: alteration "{alteration}" changes nothing that is computed; accepted: {computed}',
                where=where,
                alteration=alteration.id,
                computed=computed,
            )
        )
    fitting = [effect for effect in effects if _fits(vehicle, effect)]
    asked = [e for e in fitting if alteration.end in (None, e.end) and e.unit == alteration.unit]
    if not asked:
        raise InputError(_nothing_to_change(vehicle, alteration, fitting, where))
    if len(asked) > 1:
        raise InputError(
            refusal(
                '{where}: "{alteration}" needs its end, {accepted}, found none',
                where=where,
                alteration=alteration.id,
                accepted=" or ".join(e.end for e in asked),
            )
        )
    (effect,) = asked
    if not effect.least <= alteration.amount <= effect.most:
        raise InputError(
            refusal(
                '{where}: "{alteration}" must be from {least} to {most} {unit}, found {found}',
                where=where,
                alteration=alteration.id,
                least=f"{effect.least:g}",
                most=f"{effect.most:g}",
                unit=effect.unit,
                found=f"{alteration.amount:g}",
            )
        )
    return effect


def _nothing_to_change(vehicle: Vehicle, alteration: Altered, fitting: Sequence[Effect], where: str) -> Text:
    what = refusal('"{alteration}" in {unit}', alteration=alteration.id, unit=alteration.unit)
    if alteration.end is not None:
        what = refusal("{what} at the {end}", what=what, end=alteration.end)
    if not fitting:
        return refusal(
            "{where}: {vehicle} has nothing that {what} could change", where=where, vehicle=vehicle.id, what=what
        )
    return refusal(
        "{where}: {vehicle} has nothing that {what} could change; accepted: {accepted}",
        where=where,
        vehicle=vehicle.id,
        what=what,
        accepted=joined([refusal("{unit} at the {end}", unit=e.unit, end=e.end) for e in fitting], ", "),
    )


def _fits(vehicle: Vehicle, effect: Effect) -> bool:
    """Whether the vehicle has what the alteration changes: an element of that name, or the first of the points."""
    if effect.change == "moved":
        return any(name in vehicle.points for name in (effect.names[0], f"{effect.names[0]}-left"))
    layout = vehicle.layout
    joints, springs, bars = ([e.id for e in group] for group in (layout.joints, layout.springs, layout.torsions))
    there = {"apart": joints, "packed": springs, "raised": bars, "wound": bars}
    return any(name in effect.names for name in there[effect.change])


def _apart(vehicle: Vehicle, effect: Effect, amount: float, _: str) -> Vehicle:
    def stands_off(given: float | str) -> float:
        return vehicle.number(given) + effect.factor * amount

    joints = tuple(
        replace(joint, apart=stands_off(joint.apart), apart_along=effect.along) if joint.id in effect.names else joint
        for joint in vehicle.layout.joints
    )
    return replace(vehicle, layout=replace(vehicle.layout, joints=joints))


def _packed(vehicle: Vehicle, effect: Effect, amount: float, _: str) -> Vehicle:
    springs = tuple(
        replace(spring, packed=spring.packed + amount) if spring.id in effect.names else spring
        for spring in vehicle.layout.springs
    )
    return replace(vehicle, layout=replace(vehicle.layout, springs=springs))


def _raised(vehicle: Vehicle, _: Effect, amount: float, __: str) -> Vehicle:
    return replace(vehicle, raised_mm=vehicle.raised_mm + amount)


def _wound(vehicle: Vehicle, effect: Effect, turns: float, where: str) -> Vehicle:
    """Turns of the bolt turn the key by its lead over the key's lever."""
    for name in ADJUSTER:
        if name not in vehicle.numbers:
            raise InputError(
                refusal(
                    '{where}: "{alteration}" in turns needs the number "{name}" of {vehicle}',
                    where=where,
                    alteration=effect.alteration,
                    name=name,
                    vehicle=vehicle.id,
                )
            )
    lead, lever = (vehicle.numbers[name] for name in ADJUSTER)
    torsions = tuple(
        replace(bar, wound=bar.wound + turns * lead / lever) if bar.id in effect.names else bar
        for bar in vehicle.layout.torsions
    )
    return replace(vehicle, layout=replace(vehicle.layout, torsions=torsions))


def _moved(vehicle: Vehicle, effect: Effect, amount: float, _: str) -> Vehicle:
    points, (dx, dy, dz) = dict(vehicle.points), effect.direction
    for name in effect.names:
        for full, sign in ((name, 1.0), (f"{name}-left", 1.0), (f"{name}-right", -1.0)):
            if full in points:
                x, y, z = points[full]
                points[full] = (x + amount * dx, y + sign * amount * dy, z + amount * dz)
    return replace(vehicle, points=points)


_CHANGES: Mapping[str, Callable[[Vehicle, Effect, float, str], Vehicle]] = {
    "apart": _apart,
    "packed": _packed,
    "raised": _raised,
    "wound": _wound,
    "moved": _moved,
}


def as_drawn(layout: Layout) -> Layout:
    """The layout with nothing set between parts that stand apart, and no spring packed or wound further."""
    return replace(
        layout,
        joints=tuple(replace(joint, apart=0.0) for joint in layout.joints),
        springs=tuple(replace(spring, packed=0.0) for spring in layout.springs),
        torsions=tuple(replace(torsion, wound=0.0) for torsion in layout.torsions),
    )
