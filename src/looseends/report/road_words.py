"""What worn parts do on the road, as sentences: each load case, and the tire wear that may come of it."""

from __future__ import annotations

from collections.abc import Mapping
from math import degrees

from looseends.catalogue.causes import Weight
from looseends.catalogue.sides import sided_name
from looseends.diagnosis.consequences.account import Account
from looseends.diagnosis.consequences.patterns import ExpectedPattern
from looseends.diagnosis.consequences.road import AxleOnRoad, RoadEffects, WheelOnRoad
from looseends.language import (
    Angle,
    Capital,
    Length,
    SideSlip,
    Text,
    Value,
    joined,
    known_as,
    say,
)
from looseends.report.account_words import Names

_SHOWN_DEG = 0.05
"""Angles below this [deg] are not worth a word: an alignment gauge hardly tells them."""


_WHEELS: Mapping[str, Text] = {"front": say("front wheel"), "rear": say("rear wheel")}
_TIRES: Mapping[str, Text] = {
    "both front tires": say("both front tires"),
    "both rear tires": say("both rear tires"),
    "left front tire": say("left front tire"),
    "right front tire": say("right front tire"),
    "left rear tire": say("left rear tire"),
    "right rear tire": say("right rear tire"),
}


def road_lines(account: Account) -> list[Text]:
    """A line for each load case in which wear does something."""
    lines = [line for effects in account.road for line in _case_lines(effects)]
    return lines or [say("In no load case does a wheel do anything that a gauge would tell from a sound one.")]


def tire_lines(names: Names, account: Account) -> list[Text]:
    """A line for each pattern that a tire may come to show."""
    return [_pattern_words(names, expected) for expected in account.patterns]


def _case_lines(effects: RoadEffects) -> list[Text]:
    said: list[Value] = [words for wheel in effects.wheels for words in _wheel_words(wheel)]
    said += [words for axle in effects.axles for words in _axle_words(axle)]
    return [say("{case}: {effects}.", case=Capital(effects.case.name), effects=joined(said, "; "))] if said else []


def _wheel_words(wheel: WheelOnRoad) -> list[Text]:
    name = sided_name(_WHEELS[wheel.end], wheel.side)
    toe, camber, shift = degrees(wheel.toe.added), degrees(wheel.camber.added), degrees(wheel.camber.shift)
    said = []
    if abs(toe) >= _SHOWN_DEG:
        said.append(
            say(
                "{wheel} swings {angle} in toe by its play ({swing} across {diameter})",
                wheel=name,
                angle=Angle(abs(toe), 2),
                swing=Length(abs(wheel.toe_swing_mm(wheel.toe.added)), 1),
                diameter=Length(wheel.diameter_mm, 0),
            )
        )
    if abs(camber) >= _SHOWN_DEG:
        said.append(say("{wheel} tips {angle} in camber by its play", wheel=name, angle=Angle(abs(camber), 2)))
    if abs(shift) >= _SHOWN_DEG:
        angle = Angle(abs(shift), 2)
        if shift > 0.0:
            said.append(say("{wheel} leans {angle} further out at the top", wheel=name, angle=angle))
        else:
            said.append(say("{wheel} leans {angle} further in at the top", wheel=name, angle=angle))
    return said


def _axle_words(axle: AxleOnRoad) -> list[Text]:
    shift = axle.total_toe.shift
    if abs(degrees(shift)) < _SHOWN_DEG:
        return []
    moved: dict[str, Value] = {
        "axle": say("front axle") if axle.end == "front" else say("rear axle"),
        "angle": Angle(abs(degrees(shift)), 2),
        "slip": SideSlip(abs(axle.slip_m_per_km(shift)), 1),
    }
    if shift > 0.0:
        return [say("{axle} stands {angle} further toe-in, a side slip of {slip}", **moved)]
    return [say("{axle} stands {angle} further toe-out, a side slip of {slip}", **moved)]


def _pattern_words(names: Names, expected: ExpectedPattern) -> Text:
    pattern = expected.pattern
    parts = tuple(names[part] for part in expected.parts)
    return say(
        "{tire} may come to show {pattern} ({where}): {sign}, {angle} in {case}. {hint} [{status}; {source}].",
        tire=Capital(_TIRES[expected.where]),
        pattern=known_as(pattern.name, es=pattern.spanish),
        where=pattern.where,
        sign=expected.sign.words,
        angle=Angle(abs(expected.angle_deg), 2),
        case=expected.case,
        hint=_hint(expected.weight, parts),
        status=pattern.status,
        source=pattern.source,
    )


def _hint(weight: Weight, parts: Value) -> Text:
    if weight == "strong":
        return say("Strong hint at: {parts}", parts=parts)
    if weight == "medium":
        return say("Medium hint at: {parts}", parts=parts)
    return say("Weak hint at: {parts}", parts=parts)
