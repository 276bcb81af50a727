"""One specimen of a vehicle: the stiffness and clearance that its joints really have.

The nominal specimen has the middle of each catalogue band; drawn ones scatter over the bands, so that an ensemble
says how far an answer hangs on what nobody has measured.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from looseends.catalogue.types import Axis, Band
from looseends.mechanics.clearance import Clearance, Shape
from looseends.mechanics.ratios import lash_at
from looseends.vehicle.vehicle import Part, Vehicle

SHAPES: Mapping[str, Shape] = {"ball": "ball", "pin": "pin", "rubber": "pin", "slot": "slot"}


@dataclass(frozen=True)
class JointValues:
    """Stiffness [N/mm] (0: free) and sound clearance [mm total travel] of one part's joints."""

    radial_stiffness: float
    axial_stiffness: float
    radial_clearance: float
    axial_clearance: float


@dataclass(frozen=True)
class Specimen:
    """Joint values by part id."""

    values: Mapping[str, JointValues]

    def clearance(self, part: Part) -> Clearance:
        """Sound clearance of a part's joints."""
        assert part.figure is not None
        v = self.values[part.id]
        return Clearance(SHAPES[part.figure.shape], v.radial_clearance, v.axial_clearance)

    def clearances(
        self, vehicle: Vehicle, worn: Mapping[tuple[str, Axis], float], steered_rad: float = 0.0
    ) -> dict[str, Clearance]:
        """Clearance of every joint, by joint id, when (part id, axis) -> total travel [mm] is worn.

        `steered_rad` is how far the steering is turned at a gear's input: off center a gear has more lash.
        """
        all_joints = {}
        for part in vehicle.wearable:
            sound = self.clearance(part)
            clearance = Clearance(
                sound.shape,
                worn.get((part.id, "radial"), sound.radial),
                worn.get((part.id, "axial"), sound.axial),
            )
            all_joints.update(dict.fromkeys(part.joints, clearance))
        seats = [(joint.id, joint.seat) for joint in vehicle.layout.joints]
        seats += [(ratio.id, ratio.seat) for ratio in vehicle.layout.ratios]
        for element, given in seats:
            seat = vehicle.number(given)
            for name in (element, f"{element}-left", f"{element}-right") if seat else ():
                if name in all_joints:
                    all_joints[name] = replace(all_joints[name], seat=seat)
        for ratio in vehicle.layout.ratios if steered_rad else ():
            if ratio.lash_off_center and ratio.id in all_joints:
                tight = all_joints[ratio.id]
                loose = tight.radial + lash_at(np.degrees(steered_rad), np.array(ratio.lash_off_center))
                all_joints[ratio.id] = replace(tight, radial=loose)
        return all_joints


def nominal_specimen(vehicle: Vehicle) -> Specimen:
    """Geometric middle of each stiffness band, arithmetic middle of each sound clearance band."""
    return Specimen({part.id: _values(part, lambda band: band.middle, _geometric_middle) for part in vehicle.wearable})


def drawn_specimen(vehicle: Vehicle, rng: np.random.Generator) -> Specimen:
    """A specimen drawn over the bands: stiffness log-uniform, sound clearance uniform."""
    return Specimen(
        {
            part.id: _values(part, lambda band: rng.uniform(band.lo, band.hi), lambda band: _log_uniform(band, rng))
            for part in vehicle.wearable
        }
    )


def _geometric_middle(band: Band) -> float:
    return float(np.sqrt(band.lo * band.hi))


def _log_uniform(band: Band, rng: np.random.Generator) -> float:
    return float(np.exp(rng.uniform(np.log(band.lo), np.log(band.hi))))


def _values(part: Part, clearance_of: Callable[[Band], float], stiffness_of: Callable[[Band], float]) -> JointValues:
    figure = part.figure
    assert figure is not None
    radial, axial = figure.radial, figure.axial
    return JointValues(
        0.0 if radial.stiffness is None else stiffness_of(radial.stiffness),
        0.0 if axial.stiffness is None else stiffness_of(axial.stiffness),
        clearance_of(radial.sound_clearance),
        clearance_of(axial.sound_clearance),
    )
