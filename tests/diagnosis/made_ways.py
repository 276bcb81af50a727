"""Ways made by hand, so that what each setup proves is known."""

from __future__ import annotations

from looseends.catalogue.types import Axis
from looseends.diagnosis.planning.route import leading_axes
from looseends.diagnosis.planning.ways import Sight, Way
from looseends.vehicle.setup import Setup, Side
from tests.diagnosis.made_tables import yard_pickup

AXES = leading_axes(yard_pickup())


def setup(check: str, support: str, side: Side | None = None) -> Setup:
    """A check plainly done."""
    return Setup(check, support, side, "held", "off", 0.0)


LASH = setup("lash", "wheels")
DRY_PARK = setup("dry-park", "wheels")
IDLER = setup("idler", "frame")
LIFT = setup("bj-axial", "arm", "left")
SHAKE_ARM = setup("wheel39", "arm", "left")
SHAKE_FRAME = setup("wheel39", "frame", "left")
NUTS = setup("fasteners", "frame")
"""A look without movement: of the parts that no way here shows, it proves the mount of the box, jam nuts and clamps."""


def way(part: str, where: Setup, gauge: float, hand: float = 0.0, eye: float = 0.0, axis: Axis | None = None) -> Way:
    """A part's leading axis, seen at its own joint (at the idler's end in that check), 1 mm of it free."""
    chances = {"gauge": gauge, "hand": hand, "eye": eye}
    watch = "idler-end" if where == IDLER else part
    sights = {by: Sight(watch, chance, 1.0, 1.25) for by, chance in chances.items()}
    return Way(part, axis or AXES[part], 1.3, where, sights)  # type: ignore[arg-type]


WAYS = (
    way("lower-ball-joint-left", LIFT, 0.95, 0.92, 0.5),
    way("lower-ball-joint-left", SHAKE_FRAME, 0.01),
    way("pitman-ball", DRY_PARK, 0.93, 0.91),
    way("pitman-ball", SHAKE_ARM, 0.94, 0.6),
    way("outer-tie-rod-end-left", SHAKE_ARM, 0.92, 0.93),
    way("outer-tie-rod-end-left", SHAKE_FRAME, 0.96, 0.95),
    way("idler-arm", IDLER, 0.96, 0.95, 0.94),
    way("idler-ball", SHAKE_ARM, 0.8, 0.1),
    way("idler-ball", IDLER, 0.7, 0.1),
    way("steering-gear", LASH, 0.5, 0.1),
    way("steering-gear", SHAKE_ARM, 0.3, 0.1),
    way("upper-ball-joint-left", LIFT, 0.91, axis="axial"),
)
"""The lift alone proves the carrier; the shake on the arm proves the most; the upper ball joint is shown along an axis
that does not lead."""
