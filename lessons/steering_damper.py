"""A sound steering damper hides no play; one that is stuck hides part of it.

Common practice, no source. The wheel is shaken at 3 and 9 o'clock with a loose pitman ball, then with a worn outer end.
The damper is taken off, left as it is, and given a dry friction: a rod that gives way only above its seat.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from lessons.bay import SOUND, Numbers, Sheet, nominal, set_up, shown, yard_pickup
from looseends.mechanics.clearance import Clearance
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import PreparedCheck, Worn, nominal_preload, prepare_check

PITMAN: Worn = {("pitman-ball", "radial"): 1.0}
OUTER_END: Worn = {("outer-tie-rod-end-left", "radial"): 1.0}
OFF = {"damper-link-eye": Clearance("pin", 0.0, 0.0, missing=True)}
STUCK_N_PER_MM = 2000.0
"""Along a rod that does not slide; assumed, about as stiff as the rubber of its eyes."""


@cache
def with_stuck_rod(force: float) -> PreparedCheck:
    """The same shake with a damper whose rod does not slide; then only the friction at its eye lets it move."""
    vehicle = yard_pickup()
    guides = tuple(
        replace(guide, stiffness=(*guide.stiffness[:2], STUCK_N_PER_MM)) if guide.id == "damper-guide-body" else guide
        for guide in vehicle.layout.guides
    )
    stuck = replace(vehicle, layout=replace(vehicle.layout, guides=guides))
    setup = Setup("wheel39", "frame", "left", "held", "off", 0.0)
    return prepare_check(stuck, nominal(), setup, nominal_preload("yard-pickup"), force=force)


def friction(seat: float) -> dict[str, Clearance]:
    """A damper that is held by dry friction [N] alone."""
    return {"damper-link-eye": Clearance("pin", 0.0, 0.0, seat=seat, missing=True)}


def main() -> Numbers:
    """What 1 mm of play adds at the tread, and what moves at the joint, all in mm."""
    sheet = Sheet("Steering damper: left wheel shaken at 3 and 9 o'clock, hanging, steering held")
    shake = set_up("wheel39", "frame", "left")
    for key, words, hands, check, damper in (
        ("off", "damper off", 150, shake, OFF),
        ("as_it_is", "damper as it is", 150, shake, {}),
        ("drag", "damper drags with 30 N", 150, with_stuck_rod(150.0), friction(30.0)),
        ("stuck", "damper stuck", 150, with_stuck_rod(150.0), friction(1000.0)),
        ("gentle_stuck", "damper stuck", 50, with_stuck_rod(50.0), friction(1000.0)),
    ):
        sound, line = shown(check, SOUND, damper)["tread"].total, f"Hands of {hands} N, {words}"
        at_pitman, at_end = shown(check, PITMAN, damper), shown(check, OUTER_END, damper)
        sheet.write(f"{key}_pitman_mm", f"{line}: loose pitman ball adds", at_pitman["tread"].total - sound)
        sheet.write(f"{key}_pitman_joint_mm", f"{line}: at the ball itself", at_pitman["pitman-ball"].total)
        sheet.write(f"{key}_end_mm", f"{line}: worn outer end adds", at_end["tread"].total - sound)
    sheet.write(
        "off_free_mm", "Loose pitman ball, damper off: free at the tread", shown(shake, PITMAN, OFF)["tread"].free
    )
    sheet.write(
        "as_it_is_free_mm", "Loose pitman ball, damper as it is: free at the tread", shown(shake, PITMAN)["tread"].free
    )
    sheet.say(
        "A damper that slides hides nothing, off or on. One that is stuck holds the center link through the rubber of "
        "its eyes: it takes part of a loose pitman ball away at the tread, more from gentle hands, and nothing of an "
        "outer end, which lies between it and the wheel. A finger at the joint itself is not deceived."
    )
    return sheet.numbers
