"""One wheel raised with the sway bar connected: the worn link looks tight, the ball joint over its stand does not.

Common practice, no source, says both. The model bears out the first: the twisted bar loads its links. It does not bear
out the second for a stand under the lower arm: bar and stand both act on the arm, and the knuckle hangs as before.
"""

from __future__ import annotations

from dataclasses import replace

from lessons.bay import Numbers, Sheet, joint_forces, nominal, set_up, shown, stroke_of, yard_pickup
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import PreparedCheck, Worn, nominal_preload, prepare_check

LINK: Worn = {("sway-bar-link-left", "radial"): 1.0}
BALL_JOINT: Worn = {("lower-ball-joint-left", "axial"): 2.0}


def bar_off(support: str) -> PreparedCheck:
    """The lift on a vehicle whose sway bar does not resist twisting, settled so."""
    slack = replace(yard_pickup(), numbers={**yard_pickup().numbers, "sway_bar_rate": 1.0})
    setup = Setup("bj-axial", support, "left", "held", "off", 0.0)
    return prepare_check(slack, nominal(), setup, nominal_preload("yard-pickup"))


def main() -> Numbers:
    """Movement [mm] of a worn link and a worn ball joint, and the force in the link [N]."""
    sheet = Sheet("Sway bar connected: one front wheel raised, and both")
    for key, words, support in (("both", "Both raised", "ride"), ("one", "One raised", "one-wheel")):
        check = set_up("bushpry", support, "left")
        link = shown(check, LINK)["sway-bar-link-left"]
        sheet.write(f"{key}_link_mm", f"{words}: link worn by 1 mm moves", link.total)
        sheet.write(f"{key}_link_free_mm", f"{words}: of it free", link.free)
        first, last = joint_forces(stroke_of(check, "sway-link"), "sway-link-lower-left", LINK)
        sheet.write(f"{key}_link_N", f"{words}: force along the link", (abs(first[0]) + abs(last[0])) / 2.0)
    for key, words, support in (("both", "Both on stands", "arm"), ("one", "One on a stand", "one-wheel")):
        for bar, state, lift in (
            ("on", "bar on", set_up("bj-axial", support, "left")),
            ("off", "bar off", bar_off(support)),
        ):
            joint, gap = shown(lift, BALL_JOINT)["lower-ball-joint-left"], lift.stop_gaps["rebound-stop-left"]
            sheet.write(f"{key}_{bar}_mm", f"{words}, {state}: ball joint worn by 2 mm moves", joint.total)
            sheet.write(f"{key}_{bar}_gap_mm", f"{words}, {state}: gap at the rebound stop", gap)
    sheet.say(
        "Shake links with both wheels raised or both on the floor. The ball joint on a stand close to it shows all its "
        "play with the bar and without: the bar only pulls the arm down some millimetres on its stand."
    )
    return sheet.numbers
