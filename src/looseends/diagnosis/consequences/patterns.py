"""Patterns of tire wear that may come of what worn parts do on the road."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache
from importlib import resources
from math import degrees
from typing import Literal, get_args

from looseends.catalogue import load_catalogue
from looseends.catalogue.causes import Weight, weights_by_kind
from looseends.catalogue.entry import Entry, by_id, toml_entries
from looseends.catalogue.sources import citation
from looseends.catalogue.wear_patterns import WearPattern
from looseends.diagnosis.consequences.road import PreparedRoad, RoadEffects, road_effects
from looseends.diagnosis.consequences.road_cases import load_road_cases
from looseends.diagnosis.consequences.wear import Cases
from looseends.vehicle.layout_types import ENDS

SignAngle = Literal["toe swing", "camber swing", "total toe", "camber"]
SignDirection = Literal["positive", "negative", "either"]

ALONE = 0.5
"""Share of what a sign asks for that a part must make by itself to be named as a cause. Assumed."""


@dataclass(frozen=True)
class TireSign:
    """What must be computed for a pattern to be thought of; see data/tire_signs.toml for each field."""

    id: str
    pattern: str
    end: str
    angle: SignAngle
    direction: SignDirection
    at_least_deg: float
    cases: tuple[str, ...]
    words: str
    source: str


@dataclass(frozen=True)
class ExpectedPattern:
    """A pattern that a tire may come to show, where, why, and by which of the worn parts.

    `angle_deg` is what was computed, in the load case `case`; `weight` how strongly the catalogue's pattern means the
    parts.
    """

    pattern: WearPattern
    where: str
    sign: TireSign
    case: str
    angle_deg: float
    parts: tuple[str, ...]
    weight: Weight


def read_tire_signs(text: str, file: str = "tire_signs.toml") -> dict[str, TireSign]:
    """Tire signs by id from the text of their file.

    Raises
    ------
    InputError
        If a field is not as `TireSign` describes it, or names a pattern or load case that is not there.

    Source
    ------
    Own format; see docs/consequences.md.
    """
    return by_id((_sign(entry) for entry in toml_entries(text, file, "sign", "sign")), file, "sign")


def _sign(entry: Entry) -> TireSign:
    catalogue = load_catalogue()
    sign = TireSign(
        id=entry.identifier(),
        pattern=entry.known("pattern", catalogue.wear_patterns),
        end=entry.choice("end", ENDS),
        angle=entry.choice("angle", get_args(SignAngle)),
        direction=entry.choice("direction", get_args(SignDirection)),
        at_least_deg=entry.positive("at_least_deg"),
        cases=entry.choices("cases", tuple(load_road_cases())),
        words=entry.text("words"),
        source=citation(entry, catalogue.sources),
    )
    entry.finish()
    return sign


@cache
def load_tire_signs() -> dict[str, TireSign]:
    """The tire signs that ship with the package."""
    text = (resources.files("looseends.diagnosis.consequences") / "data" / "tire_signs.toml").read_text(
        encoding="utf-8"
    )
    return read_tire_signs(text)


def expected_patterns(
    roads: Sequence[PreparedRoad], effects: Sequence[RoadEffects], cases: Cases
) -> tuple[ExpectedPattern, ...]:
    """Patterns that the worn parts may bring, each once for each place, with its largest computed angle.

    A pattern counts only where the catalogue names one of the worn parts as a cause of it, and that part, were it worn
    alone, would make a good part of what the sign asks for.

    Raises
    ------
    MechanicsError
        If the clearances have no certified answer.
    """
    found: dict[tuple[str, str], ExpectedPattern] = {}
    alone = _Alone(cases)
    for sign in load_tire_signs().values():
        pattern = load_catalogue().wear_patterns[sign.pattern]
        by_kind = weights_by_kind(pattern.causes, load_catalogue().part_kinds)
        for road, effect in zip(roads, effects, strict=True):
            for where, angle in _angles(sign, effect).items():
                named = {part: by_kind.get(road.vehicle.parts[part].kind.id) for part in cases.parts}
                if not any(named.values()) or not _shows(sign, angle, 1.0):
                    continue
                parts = {p: w for p, w in named.items() if w and _shows(sign, alone.angle(road, p, sign, where), ALONE)}
                before = found.get((pattern.id, where))
                if parts and (before is None or abs(before.angle_deg) < abs(angle)):
                    weight = min(parts.values(), key=get_args(Weight).index)
                    found[pattern.id, where] = ExpectedPattern(
                        pattern, where, sign, effect.case.name, angle, tuple(parts), weight
                    )
    return tuple(found.values())


@dataclass
class _Alone:
    """What each part does on each road when it alone is worn; computed when first asked for."""

    cases: Cases
    effects: dict[tuple[str, str], RoadEffects] = field(default_factory=dict)

    def angle(self, road: PreparedRoad, part: str, sign: TireSign, where: str) -> float:
        key = road.case.id, part
        if key not in self.effects:
            self.effects[key] = road_effects(road, self.cases.only(frozenset([part])))
        return _angles(sign, self.effects[key])[where]


def _shows(sign: TireSign, angle_deg: float, share: float) -> bool:
    signed = {"positive": angle_deg, "negative": -angle_deg, "either": abs(angle_deg)}[sign.direction]
    return signed >= share * sign.at_least_deg


def _angles(sign: TireSign, effect: RoadEffects) -> dict[str, float]:
    """Where the sign looks, in words, and the angle [deg] that it sees there."""
    if effect.case.id not in sign.cases:
        return {}
    if sign.angle == "total toe":
        axles = [axle for axle in effect.axles if axle.end == sign.end]
        return {f"both {axle.end} tires": degrees(axle.total_toe.shift) for axle in axles}
    seen = {}
    for wheel in effect.wheels:
        if wheel.end == sign.end:
            angle = {"toe swing": wheel.toe.added, "camber swing": wheel.camber.added, "camber": wheel.camber.shift}
            seen[f"{wheel.side} {wheel.end} tire"] = degrees(angle[sign.angle])
    return seen
