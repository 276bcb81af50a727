"""Force-movement curves of one block on one element each: what a hand feels as play, rubber, friction or stop."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from looseends.mechanics.assembly import assemble, load_vector, watch_rows
from looseends.mechanics.bodies import GROUND, Array, Body
from looseends.mechanics.clearance import Clearance, Shape
from looseends.mechanics.constants import GRAVITY
from looseends.mechanics.elements import Contact, Element, PointJoint
from looseends.mechanics.model import Force, Mechanism, Watch
from looseends.mechanics.ramp import Ramp, force_ramp
from looseends.mechanics.ratios import Ratio, Shift, Turn
from looseends.mechanics.reduction import factor, reduce_stroke
from looseends.mechanics.travel import stroke_clearances

HAND_N = 150.0
STIFF, RUBBER = 600.0, 150.0
"""Stiffness [N/mm], chosen so that both can be seen on one scale."""
ALONG_N = 300.0
SHARES = np.concatenate([-np.linspace(1.0, 1e-4, 300), np.linspace(1e-4, 1.0, 300)])
"""Without the place of no force itself: there a loose joint may stand anywhere between its walls."""

ORIGIN = np.zeros(3)
X, Y, Z = np.eye(3)


@dataclass(frozen=True)
class Curve:
    """Movement [mm] from the middle between push and pull, over the hand's force [N]; both (n,), and the dead zone."""

    force: Array
    moved: Array
    free: float


def curve(
    elements: tuple[Element, ...], clearances: dict[str, Clearance], others: tuple[Body, ...] = (), mass: float = 0.0
) -> Curve:
    """A block of `mass` [kg] that hands push and pull along x."""
    mechanism = Mechanism((Body("block", mass, ORIGIN), *others), elements)
    poses = mechanism.design_poses()
    system = assemble(mechanism, poses)
    F = load_vector([Force("block", ORIGIN, HAND_N * X)], system.columns, poses)
    watch = Watch("movement", "block", GROUND, ORIGIN[None, :], X[None, :])
    stroke = reduce_stroke(factor(system), F, [("movement", watch_rows(watch, system.columns, poses))])
    ramp: Ramp = force_ramp(stroke, stroke_clearances(stroke, clearances), SHARES)
    moved, half = ramp.moved[:, 0], len(SHARES) // 2
    return Curve(HAND_N * SHARES, moved - 0.5 * (moved[half - 1] + moved[half]), ramp.free("movement"))


def held(stiffness: float, shape: Shape | None = "ball", name: str = "joint", pressed: float = 0.0) -> PointJoint:
    """The element that holds the block; `pressed` [mm] is a stretch that it already has."""
    across = np.array([stiffness, STIFF, STIFF])
    return PointJoint(name, GROUND, "block", ORIGIN, np.eye(3), across, np.full(3, 1e9), shape, -pressed * X)


def ball() -> Curve:
    """A ball joint with 1 mm of play."""
    return curve((held(STIFF),), {"joint": Clearance("ball", 1.0, 0.3)})


def loaded(shape: Shape) -> Curve:
    """1 mm of play across, with a large load along: what guides by two surfaces, or by one."""
    return curve((held(STIFF, shape),), {"joint": Clearance(shape, 1.0, 0.3)}, mass=ALONG_N / GRAVITY)


def rubber() -> Curve:
    """A sound rubber bushing."""
    return curve((held(RUBBER, "pin"),), {})


def softened() -> Curve:
    """The same rubber with seven tenths of its stiffness."""
    return curve((held(RUBBER, "pin"),), {"joint": Clearance("pin", 0.0, 0.0, radial_stiffness_left=0.7)})


def seat() -> Curve:
    """A ball joint with 1 mm of play that 60 N of dry friction hold."""
    return curve((held(STIFF),), {"joint": Clearance("ball", 1.0, 0.3, seat=60.0)})


def gear() -> Curve:
    """A rack that moves a pinion of 10 mm with 0.8 mm of lash; the shaft above is held and twists."""
    rails = PointJoint("rails", GROUND, "block", ORIGIN, np.eye(3), np.array([0.0, 1e4, 1e4]), np.full(3, 1e9))
    shaft = PointJoint("shaft", GROUND, "pinion", 10.0 * Y, np.eye(3), np.full(3, 1e5), np.array([1e9, 1e9, 3e4]))
    mesh = Ratio("mesh", (Shift(GROUND, "block", ORIGIN, X), Turn(GROUND, "pinion", Z, -10.0)), 2000.0, lash=True)
    return curve((rails, shaft, mesh), {"mesh": Clearance("slot", 0.8, 0.0)}, (Body("pinion", 0.0, 10.0 * Y),))


def stop() -> Curve:
    """Rubber with a stop beside it, 0.5 mm away on one side."""
    return curve((held(RUBBER, None), Contact("stop", GROUND, "block", ORIGIN, -X, 0.5, 2000.0)), {})


def preloaded() -> Curve:
    """A ball joint with 1 mm of play that a soft spring presses to one side with 90 N."""
    spring = PointJoint("spring", GROUND, "block", ORIGIN, np.eye(3), X * 2.0, np.zeros(3), None, -45.0 * X)
    return curve((held(STIFF), spring), {"joint": Clearance("ball", 1.0, 0.3)})


@dataclass(frozen=True)
class Kind:
    """One picture: file name, title, what is seen, its curve, and one to compare with, drawn in dashes."""

    file: str
    title: str
    seen: str
    draw: Callable[[], Curve]
    dashed: Callable[[], Curve] | None = None


KINDS = (
    Kind("ball", "Ball joint with play", "Nothing holds over 1 mm, then it stops hard on either side.", ball),
    Kind(
        "pin",
        "Pin with play, pressed along its line",
        "A pin keeps its 1 mm across under 300 N along; a ball (dashes) rolls up its wall and seems tighter.",
        lambda: loaded("pin"),
        lambda: loaded("ball"),
    ),
    Kind("rubber", "Rubber", "The force rises from the first newton, alike both ways; no dead zone.", rubber),
    Kind(
        "softened",
        "Softened rubber",
        "It moves further than sound rubber (dashes), and still rises from zero.",
        softened,
        rubber,
    ),
    Kind("seat", "Seat: dry friction", "It stands until the hand exceeds 60 N, then goes to its wall at once.", seat),
    Kind("slot", "Gear lash", "A dead zone of 0.8 mm, then the shaft behind the mesh twists.", gear),
    Kind(
        "contact",
        "Stop",
        "Rubber alone (dashes) goes on; where the gap of 0.5 mm is used up, it stops hard.",
        stop,
        rubber,
    ),
    Kind(
        "preload",
        "Joint under preload",
        "90 N press it to one side: a weaker hand finds no play, a stronger one finds all.",
        preloaded,
    ),
)
