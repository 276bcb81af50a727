"""The joint that carries the spring shows its play only when the spring's force takes another way.

Common practice, no source. Torsion bar on the lower arm, rebound stop on the upper one; the wheel is lifted with a bar.
Force along the stud counts positive as on the road: the spring presses the arm down, the wheel the knuckle up.
"""

from __future__ import annotations

from lessons.bay import Numbers, Sheet, joint_forces, set_up, shown
from looseends.vehicle.shake import Worn

PART = "lower-ball-joint-left"
WORN: Worn = {(PART, "axial"): 2.0}


def main() -> Numbers:
    """Movement [mm], the stop's gap [mm], and the force along the stud [N] before and after the bar lifts."""
    sheet = Sheet("Carrier ball joint worn by 2 mm, left wheel lifted with a bar, 900 N at the tire")
    for key, words, support, inboard in (
        ("wheels", "On its wheels", "wheels", 0.0),
        ("hanging", "Hanging at the frame", "frame", 0.0),
        ("stand", "Stand close to the joint", "arm", 0.0),
        ("inboard_100", "Stand 100 mm inboard", "arm", 100.0),
        ("inboard_200", "Stand 200 mm inboard", "arm", 200.0),
    ):
        check = set_up("bj-axial", support, "left", stand_inboard_mm=inboard)
        resting, lifted = joint_forces(check.strokes[0], PART, WORN)
        sheet.write(f"{key}_mm", f"{words}: joint moves", shown(check, WORN)[PART].total)
        sheet.write(
            f"{key}_gap_mm", f"{words}: gap at the rebound stop", max(check.stop_gaps["rebound-stop-left"], 0.0)
        )
        sheet.write(f"{key}_resting_N", f"{words}: along the stud, before the lift", resting[2])
        sheet.write(f"{key}_lifted_N", f"{words}: along the stud, lifted", lifted[2])
    sheet.say(
        "Only where the force changes its sign does the ball cross its clearance. Hanging, the spring goes through the "
        "lower joint, knuckle and upper joint onto the stop. On a stand it ends in the stand, and the knuckle's weight "
        "alone rests in the joint until the bar lifts it. Too far inboard the stand lets the arm go down onto the stop."
    )
    return sheet.numbers
