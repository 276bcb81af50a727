"""A mechanism: bodies, what joins them, and the loads and watches put on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from looseends.errors import MechanicsError
from looseends.language import refusal
from looseends.mechanics.bodies import GROUND, Array, Body, Pose
from looseends.mechanics.elements import Element

Poses = Mapping[str, Pose]


@dataclass(frozen=True)
class Mechanism:
    """Bodies (the ground is implied) and elements.

    Raises
    ------
    MechanicsError
        If an element names a body that is not there, or a name is used twice.
    """

    bodies: tuple[Body, ...]
    elements: tuple[Element, ...]

    def __post_init__(self) -> None:
        names = [body.name for body in self.bodies]
        for name in {*names, GROUND}:
            if names.count(name) > 1 or (name == GROUND and GROUND in names):
                raise MechanicsError(refusal('body "{name}" is there twice; each body needs its own name', name=name))
        element_names = [element.name for element in self.elements]
        if len(set(element_names)) < len(element_names):
            twice = next(name for name in element_names if element_names.count(name) > 1)
            raise MechanicsError(
                refusal('element "{twice}" is there twice; each element needs its own name', twice=twice)
            )
        for element in self.elements:
            for pair in element.pairs:
                for body in pair:
                    if body != GROUND and body not in names:
                        raise MechanicsError(
                            refusal(
                                'element "{element}" joins "{body}", which is no body of the mechanism',
                                element=element.name,
                                body=body,
                            )
                        )
                if pair[0] == pair[1]:
                    raise MechanicsError(
                        refusal('element "{element}" joins "{body}" to itself', element=element.name, body=pair[0])
                    )

    def design_poses(self) -> dict[str, Pose]:
        """Every body where it was drawn."""
        return {body.name: Pose(body.center) for body in self.bodies}


@dataclass(frozen=True)
class Force:
    """A force [N] (3,) on `body` at a design point (3,) [mm]; `reacts_on` takes the opposite one at the same place."""

    body: str
    point: Array
    vector: Array
    reacts_on: str = GROUND


@dataclass(frozen=True)
class Watch:
    """Movement of `body` relative to `against` at design points (q, 3) [mm], along `directions` (k, 3).

    With several directions the movement is the length of the vector between the two ends of the stroke; with several
    points it is the root mean square over them (a part that guides by two surfaces shows its play at both).
    `carried_by` names the body whose rotation carries the directions (the ground: they stay).
    """

    name: str
    body: str
    against: str
    points: Array
    directions: Array
    carried_by: str = GROUND
