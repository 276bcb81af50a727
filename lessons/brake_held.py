"""The foot brake takes the bearing's play away at the tread, and leaves the ball joint's.

Common practice, no source. The wheel is shaken at 12 and 6 o'clock over stands under the lower arms, with the brake
off and then held. The brake clamps the disc to the knuckle, so that hub and knuckle are one piece.
"""

from __future__ import annotations

from lessons.bay import Numbers, Sheet, set_up, shown
from looseends.vehicle.shake import Worn

BEARING: Worn = {("wheel-bearing-left", "radial"): 0.3}
BALL_JOINT: Worn = {("upper-ball-joint-left", "radial"): 1.0}


def main() -> Numbers:
    """Free travel [mm] at the tread and at the joint, for a worn bearing and a worn ball joint."""
    sheet = Sheet("Bearing or ball joint: left wheel shaken at 12 and 6 o'clock, stands under the lower arms")
    off, held = (set_up("wheel126", "arm", "left", brake=state) for state in ("off", "on"))
    for key, words, worn in (("bearing", "Worn bearing", BEARING), ("ball_joint", "Worn upper ball joint", BALL_JOINT)):
        for state, check in (("off", off), ("held", held)):
            tread = shown(check, worn)["tread-top"]
            sheet.write(f"{key}_brake_{state}_mm", f"{words}, brake {state}: free at the tread", tread.free)
    for state, check in (("off", off), ("held", held)):
        at_joint = shown(check, BALL_JOINT)["upper-ball-joint-left"]
        sheet.write(
            f"at_joint_brake_{state}_mm", f"Worn upper ball joint, brake {state}: free at the joint", at_joint.free
        )
    tread = shown(off)["tread-top"]
    sheet.write("sound_brake_off_mm", "Everything sound, brake off: free at the tread", tread.free)
    sheet.say(
        "What goes with the brake is the bearing's; what stays is ball joint or bushing. The half millimetre that the "
        "tread loses with the worn ball joint is the end play of a sound bearing: the joint itself shows the same."
    )
    return sheet.numbers
