"""A bushing rises from zero; play has a dead zone and then a stop.

Common practice, no source. The force-movement curve of a worn ball joint, of a sound rubber bushing, of a softened and
of a torn one, all on the same vehicle. Give says how much more easily it moves where it moves most easily than at its
end: 1 for a spring.
"""

from __future__ import annotations

import numpy as np

from lessons.bay import Numbers, Sheet, nominal, set_up, stroke_of, yard_pickup
from looseends.mechanics.clearance import Clearance
from looseends.mechanics.ramp import Ramp, force_ramp
from looseends.mechanics.travel import stroke_clearances
from looseends.vehicle.shake import PreparedStroke

BUSHING = "lower-arm-rear-bushing-left"
SOFT, TORN = Clearance("pin", 0.0, 0.0, radial_stiffness_left=0.5), Clearance("pin", 2.0, 0.0)
WORN_BALL = Clearance("ball", 1.0, 0.2)
SHARES = np.linspace(-1.0, 1.0, 41)


def ramp(stroke: PreparedStroke, changed: dict[str, Clearance]) -> Ramp:
    """The curve of a stroke with some joints changed."""
    clearances = nominal().clearances(yard_pickup(), {}) | changed
    return force_ramp(stroke.reduced, stroke_clearances(stroke.reduced, clearances), SHARES)


def main() -> Numbers:
    """What moves and is free [mm], how far it went at a quarter of the force [mm], and its give, for each kind."""
    sheet = Sheet("Rubber or play: the hand goes slowly from full push to full pull")
    shake = stroke_of(set_up("wheel126", "arm", "left"), "shake")
    pry = stroke_of(set_up("bushpry", "ride", "left"), "lower-arm-rear")
    for key, words, watch, stroke, changed in (
        ("ball", "Worn ball joint", "upper-ball-joint-left", shake, {"upper-ball-joint-left": WORN_BALL}),
        ("rubber", "Sound rubber", BUSHING, pry, {}),
        ("soft", "Rubber half as stiff", BUSHING, pry, {BUSHING: SOFT}),
        ("torn", "Torn rubber, 2 mm free on its own", BUSHING, pry, {BUSHING: TORN}),
    ):
        curve = ramp(stroke, changed)
        moved = curve.moved[:, curve.watch_names.index(watch)]
        first, last = np.searchsorted(SHARES, [-0.25, 0.25])
        sheet.write(f"{key}_moves_mm", f"{words}: moves", float(moved[-1]))
        sheet.write(f"{key}_free_mm", f"{words}: of it free", curve.free(watch))
        sheet.write(
            f"{key}_gentle_mm", f"{words}: moves with a quarter of the force", float(moved[last] - moved[first])
        )
        sheet.write(f"{key}_give", f"{words}: give", curve.give(watch))
    sheet.say(
        "Rubber moves a quarter of its way with a quarter of the force, sound or soft; the worn ball joint has gone "
        "nearly all its way by then and stops hard. Torn rubber lies between: the spring of the vehicle holds the arm "
        "against one side of the tear, and what is left of play is a softer stretch in the middle."
    )
    return sheet.numbers
