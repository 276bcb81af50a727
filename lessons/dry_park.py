"""A dry floor loads every joint; on free turn plates the same turn of the rim hardly loads one.

Common practice, no source. The rim is rocked with the wheels on the floor, then on free plates just so hard that it
moves as far.
"""

from __future__ import annotations

import math

from lessons.bay import Numbers, Sheet, joint_forces, set_up, shown
from looseends.vehicle.shake import Worn

HANDS_N = 35.0
JOINTS: dict[str, Worn] = {
    "outer-tie-rod-end-left": {("outer-tie-rod-end-left", "radial"): 1.0},
    "inner-tie-rod-end-left": {("inner-tie-rod-end-left", "radial"): 1.0},
    "idler-ball": {("idler-ball", "radial"): 0.5},
    "pitman-ball": {("pitman-ball", "radial"): 0.5},
    "steering-gear": {("steering-gear", "radial"): 0.5},
}


def main() -> Numbers:
    """Movement [mm] at worn joints on floor and plates, the force of each hand and what it changes in a rod [N]."""
    sheet = Sheet("Dry-park on a dry floor and on free turn plates, the rim moved as far")
    floor, plates = set_up("dry-park", "wheels", force=HANDS_N), set_up("dry-park", "plates", force=HANDS_N)
    # the rim moves in proportion to the hands, but for the little that is free
    as_far = HANDS_N * shown(floor)["rim"].total / shown(plates)["rim"].total
    light = set_up("dry-park", "plates", force=as_far)
    for key, words, check, hands in (("floor", "On the floor", floor, HANDS_N), ("plates", "On plates", light, as_far)):
        sheet.write(f"{key}_rim_mm", f"{words}: rim moves", shown(check)["rim"].total)
        sheet.write(f"{key}_hands_N", f"{words}: push of each hand", hands)
        first, last = joint_forces(check.strokes[0], "outer-tie-rod-end-left")
        resting = math.hypot(*(0.5 * (a + b) for a, b in zip(first, last, strict=True)))
        sheet.write(f"{key}_resting_N", f"{words}: force in the left tie rod between both ends", resting)
        sheet.write(f"{key}_rod_N", f"{words}: change of it from one end to the other", math.dist(first, last))
        for part, worn in JOINTS.items():
            size = next(iter(worn.values()))
            name = part.replace("-", " ")
            sheet.write(
                f"{key}_{part}_mm", f"{words}: {name} worn by {size:g} mm moves", shown(check, worn)[part].total
            )
    sheet.say(
        "The weight on the wheels presses each rod one way; on plates the rim cannot turn that round, and the rod "
        "ends look tight. Gear and pitman ball, which nothing presses, still show in the model: it has no grease that "
        "drags. So plates prove nothing about a joint that was found tight on them."
    )
    return sheet.numbers
