"""Small mechanisms that the tests of the mechanics room share, and the long way round to their energy."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from looseends.mechanics.assembler import LinearSystem
from looseends.mechanics.assembly import assemble, clearance_semi_axes, load_vector, watch_rows
from looseends.mechanics.bodies import GROUND, Array, Body, axes_along, rotation_matrix
from looseends.mechanics.clearance import Clearance, ClearanceArrays, Shape, clearance_arrays
from looseends.mechanics.elements import Contact, Element, PointJoint, TorsionSpring
from looseends.mechanics.lash import LashSolution, solve_lash
from looseends.mechanics.model import Force, Mechanism, Poses, Watch
from looseends.mechanics.reduction import Factors, ReducedStroke, factor, reduce_stroke
from looseends.mechanics.travel import StrokeAnswer, solve_stroke

X, Y, Z = np.eye(3)
ORIGIN = np.zeros(3)
NO_TURN = np.zeros(3)


def joint(
    name: str,
    body_a: str,
    body_b: str,
    point: Sequence[float] | Array,
    stiffness: float | Sequence[float],
    *,
    turning: float | Sequence[float] = 0.0,
    axes: Array | None = None,
    shape: Shape | None = "ball",
    offset: Sequence[float] = (0.0, 0.0, 0.0),
) -> PointJoint:
    """A point joint; one number for a stiffness counts on all three axes; axes are the vehicle's unless given."""
    return PointJoint(
        name,
        body_a,
        body_b,
        np.asarray(point, dtype=float),
        np.eye(3) if axes is None else axes,
        np.broadcast_to(np.asarray(stiffness, dtype=float), 3).copy(),
        np.broadcast_to(np.asarray(turning, dtype=float), 3).copy(),
        shape,
        np.asarray(offset, dtype=float),
    )


@dataclass(frozen=True)
class Stroke:
    """A reduced stroke with what it was made from."""

    mechanism: Mechanism
    system: LinearSystem
    factors: Factors
    reduced: ReducedStroke
    F_hand: Array

    def semi(self, clearances: Mapping[str, Clearance]) -> Array:
        """Semi-axes of the unknowns."""
        return self.arrays(clearances).semi

    def solve(self, clearances: Mapping[str, Clearance], first: float = -1.0, last: float = 1.0) -> StrokeAnswer:
        """Both ends of the stroke."""
        return solve_stroke(self.reduced, self.arrays(clearances), first, last)

    def arrays(self, clearances: Mapping[str, Clearance]) -> ClearanceArrays:
        """Semi-axes, seats and softness of the unknowns."""
        reduced = self.reduced
        return clearance_arrays(clearances, reduced.joints, reduced.held, reduced.blocks, reduced.root**2)

    def rest(self, clearances: Mapping[str, Clearance], share: float = 1.0) -> Rest:
        """Where it rests under a share of the hand load, with seats and softened parts."""
        reduced, arrays = self.reduced, self.arrays(clearances)
        S = reduced.S + np.diag(arrays.softness)
        f0 = reduced.f_base + share * reduced.f_hand
        solution = solve_lash(S, f0, reduced.blocks, arrays.semi, seats=arrays.seats)
        moved = {
            name: base + share * hand + on_g @ solution.g
            for name, on_g, base, hand in zip(
                reduced.watch_names, reduced.watch_on_g, reduced.watch_base, reduced.watch_hand, strict=True
            )
        }
        force = f0 - reduced.S @ solution.g
        return Rest(moved, {name: force[part] for name, part in reduced.joints.items()}, solution)


@dataclass(frozen=True)
class Rest:
    """Movements (k,) [mm] by watch, what each joint carries (k,) [N] by name, and the answer of the lash problem."""

    moved: Mapping[str, Array]
    force: Mapping[str, Array]
    solution: LashSolution


def stroke_of(
    mechanism: Mechanism, forces: Sequence[Force], watches: Sequence[Watch] = (), poses: Poses | None = None
) -> Stroke:
    """A mechanism about its design poses (unless given), reduced for a hand load."""
    poses = mechanism.design_poses() if poses is None else poses
    system = assemble(mechanism, poses)
    factors = factor(system)
    F = load_vector(forces, system.columns, poses)
    rows = [(watch.name, watch_rows(watch, system.columns, poses)) for watch in watches]
    return Stroke(mechanism, system, factors, reduce_stroke(factors, F, rows), F)


def energy(system: LinearSystem, F: Array, u: Array, g: Array) -> float:
    """½ |J u + e0 - E g|² - (F + gravity)·u, written out without any elimination."""
    residual = system.J @ u + system.e0
    residual[system.unknown_rows] -= system.root * g
    return float(0.5 * residual @ residual - (F + system.F) @ u)


def hung_mass(shape: Shape, *, mass: float = 0.0, stiffness: float = 500.0, offset: float = 0.0) -> Mechanism:
    """One body on one joint with the ground at its center of mass; it cannot turn; preload stiffness × offset on x."""
    held = [stiffness, 0.0, 0.0] if shape == "slot" else [stiffness] * 3
    elements: list[Element] = [joint("loose", GROUND, "mass", ORIGIN, held, turning=1e7, shape=shape)]
    if offset:
        # A spring beside the joint, already drawn out: it presses the mass along -x until the joint carries it.
        elements.append(joint("spring", GROUND, "mass", ORIGIN, [1.0, 0.0, 0.0], shape=None, offset=[offset, 0.0, 0.0]))
    if shape == "slot":
        elements.append(joint("rails", GROUND, "mass", ORIGIN, [0.0, 1e4, 1e4], shape=None))
    return Mechanism((Body("mass", mass, ORIGIN),), tuple(elements))


def pull(body: str, vector: Sequence[float] | Array, point: Sequence[float] | Array = ORIGIN) -> Force:
    """A force [N] that the ground reacts."""
    return Force(body, np.asarray(point, dtype=float), np.asarray(vector, dtype=float))


def look(body: str, direction: Array, point: Sequence[float] | Array = ORIGIN, against: str = GROUND) -> Watch:
    """A watch along one direction, called "movement"."""
    return Watch("movement", body, against, np.asarray([point], dtype=float), np.asarray([direction], dtype=float))


@dataclass(frozen=True)
class Sample:
    """A mechanism with clearances and a load, drawn at random."""

    stroke: Stroke
    clearances: dict[str, Clearance]

    @property
    def semi(self) -> Array:
        """Semi-axes of the unknowns."""
        return clearance_semi_axes(self.stroke.system, self.clearances)


def random_sample(rng: np.random.Generator, kind: str = "plain") -> Sample:
    """A chain of one to three bodies on the ground, with some closed loops, contacts and springs.

    `kind` is "plain" or one degenerate feature: zero, tiny, huge, parallel, coincident, no-load.
    """
    count = int(rng.integers(1, 4))
    names = [f"body-{i}" for i in range(count)]
    bodies = tuple(Body(name, float(rng.uniform(0.0, 20.0)), rng.normal(0.0, 200.0, 3)) for name in names)
    elements: list[Element] = []
    clearances: dict[str, Clearance] = {}
    place = rng.normal(0.0, 300.0, 3)
    base_axes = rotation_matrix(rng.normal(0.0, 1.0, 3))
    for number in range(count + int(rng.integers(1, 4))):
        a = GROUND if number == 0 else str(rng.choice([GROUND, *names]))
        b = names[number] if number < count else str(rng.choice([n for n in names if n != a] or names))
        if a == b:
            a = GROUND
        at = place if kind == "coincident" else rng.normal(0.0, 300.0, 3)
        axes = base_axes @ rotation_matrix(rng.normal(0.0, 1e-7 if kind == "parallel" else 1.0, 3))
        shape: Shape = "ball" if rng.random() < 0.5 else "pin"
        stiffness = [*[float(rng.uniform(500.0, 3e4))] * 2, float(rng.choice([0.0, 2e3, 1e4]))]
        name = f"joint-{number}"
        elements.append(joint(name, a, b, at, stiffness, turning=float(rng.choice([0.0, 1e6])), axes=axes, shape=shape))
        if rng.random() < 0.8:
            clearances[name] = Clearance(shape, _travel(rng, kind), _travel(rng, kind))
    for i, name in enumerate(names):
        # Soft rubber keeps every sample from falling apart.
        elements.append(joint(f"rubber-{i}", GROUND, name, bodies[i].center, 20.0, turning=1e6, shape=None))
    if rng.random() < 0.6:
        normal = rng.normal(0.0, 1.0, 3)
        normal /= np.linalg.norm(normal)
        gap = float(rng.uniform(-0.3, 0.5))
        elements.append(Contact("stop", GROUND, names[-1], rng.normal(0.0, 200.0, 3), normal, gap, 3000.0))
    if rng.random() < 0.5:
        elements.append(TorsionSpring("bar", GROUND, names[0], axes_along(rng.normal(0.0, 1.0, 3))[:, 2], 1e6, 2e4))
    size = 0.0 if kind == "no-load" else 200.0
    forces = [pull(str(rng.choice(names)), rng.normal(0.0, size, 3) if size else ORIGIN, rng.normal(0.0, 300.0, 3))]
    if kind == "no-load":
        bodies = tuple(Body(body.name, 0.0, body.center) for body in bodies)
    return Sample(stroke_of(Mechanism(bodies, tuple(elements)), forces), clearances)


def _travel(rng: np.random.Generator, kind: str) -> float:
    if kind == "zero" and rng.random() < 0.5:
        return 0.0
    if kind == "tiny":
        return float(10.0 ** rng.uniform(-7.0, -4.0))
    if kind == "huge":
        return float(10.0 ** rng.uniform(1.0, 4.0))
    return float(rng.uniform(0.0, 3.0))
