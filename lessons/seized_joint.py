"""A stiff joint masks its play until the hand exceeds what binds it.

Common practice, no source. A worn joint is bound by rust or dry grease: a seat, the force below which it does not give
way. The same wheel is shaken with more and with less force.
"""

from __future__ import annotations

from lessons.bay import SOUND, Numbers, Sheet, joint_forces, set_up, shown
from looseends.mechanics.clearance import Clearance

END, BALL = "outer-tie-rod-end-left", "lower-ball-joint-left"
WORN_MM = 1.0
BOUND_N = 600.0
"""Binds an outer end that hands at the tread load with some 940 N."""
HANDS_N = (80.0, 150.0, 300.0)


def main() -> Numbers:
    """Movement [mm] at the joint by the hands' force, and how hard those load the joint [N]."""
    sheet = Sheet("A bound joint: outer tie rod end worn by 1 mm, wheel shaken at 3 and 9 o'clock")
    for hands in HANDS_N:
        check = set_up("wheel39", "frame", "left", force=hands)
        first, last = joint_forces(check.strokes[0], END)
        least = min(sum(f * f for f in end) ** 0.5 for end in (first, last))
        sheet.write(
            f"rod_{hands:.0f}_N", f"Hands of {hands:.0f} N: load the end with, pushing and pulling, at least", least
        )
        for seat, words in ((0.0, "free in its socket"), (BOUND_N, "bound by 600 N")):
            changed = {END: Clearance("ball", WORN_MM, 0.2, seat=seat)}
            moved = shown(check, SOUND, changed)[END].total
            sheet.write(f"seat_{seat:.0f}_hands_{hands:.0f}_mm", f"Hands of {hands:.0f} N, {words}: moves", moved)
    lift = set_up("bj-axial", "arm", "left")
    for seat in (0.0, 430.0, 600.0):
        changed = {BALL: Clearance("ball", 0.1, 2.0, seat=seat)}
        moved = shown(lift, SOUND, changed)[BALL].total
        sheet.write(f"lift_{seat:.0f}_mm", f"Lower ball joint worn by 2 mm, bound by {seat:.0f} N, bar: moves", moved)
    sheet.say(
        "Below what binds it the joint shows nothing and proves nothing; above it, it shows all. In between only where "
        "one direction is strong enough and the other not: then half. A joint that is found stiff is not found sound."
    )
    return sheet.numbers
