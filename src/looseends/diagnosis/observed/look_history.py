"""Looks at one part in a row: what misled may mislead again, so that who finds the same again tells little more."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from looseends.diagnosis.observed.looked import Look


@dataclass(frozen=True)
class Looked:
    """One look that was taken of a part, with the chances of who took it, and whether it found something."""

    look: Look
    present: bool


def look_after(look: Look, before: Sequence[Looked], alike: float) -> Look:
    """A look with the chances that it has after those `before` it, whatever they found.

    With chance `alike` a look finds what the part itself shows to whoever looks, the same each time: a stain, wear that
    lies open or hidden. Else it is drawn afresh. The part's own is one number, even between 0 and 1, in worn and in
    sound parts: a look that finds something with chance c and goes by the part finds it where that number is below c.
    So looks are independent given that number, and it is told by what they found. A mixture model as for repeated
    tests that share their errors: P. M. Vacek, Biometrics 41 (1985) 959, from memory; the figure is assumed.
    """
    if not before:
        return look
    found = [one.present for one in before]
    worn = _found_next(look.chance, [one.look.chance for one in before], found, alike)
    sound = _found_next(look.false_call, [one.look.false_call for one in before], found, alike)
    return replace(look, chance=worn, false_call=sound)


def _found_next(chance: float, chances: Sequence[float], found: Sequence[bool], alike: float) -> float:
    """Chance to find something with one look more, given what those of these chances found."""
    finds_next = whole = 0.0
    for low, high in pairwise(sorted({0.0, 1.0, chance, *chances})):
        weight = high - low
        for one, present in zip(chances, found, strict=True):
            finds = _finds(one, high, alike)
            weight *= finds if present else 1.0 - finds
        whole += weight
        finds_next += weight * _finds(chance, high, alike)
    return finds_next / whole


def _finds(chance: float, part_below: float, alike: float) -> float:
    """Chance of one look to find something where the part's own number lies next below this."""
    return alike * (part_below <= chance) + (1.0 - alike) * chance
