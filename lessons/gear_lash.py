"""Gear lash moves both wheels and no arm up or down; a loose steering box walks on its rail.

Common practice, no source. One wheel is shaken at 3 and 9 o'clock with the steering held; then the idler end is pulled
up and down.
"""

from __future__ import annotations

from lessons.bay import SOUND, Numbers, Sheet, set_up, shown
from looseends.vehicle.shake import Worn

GEAR: Worn = {("steering-gear", "radial"): 0.8}
BOX: Worn = {("steering-box-mount", "axial"): 0.5}
IDLER: Worn = {("idler-arm", "radial"): 0.9}
OUTER_END: Worn = {("outer-tie-rod-end-left", "radial"): 0.8}


def main() -> Numbers:
    """Free travel [mm] at both treads, at gear and box, and upright at the ends of the arms."""
    sheet = Sheet("Gear, box or outer end: left wheel shaken at 3 and 9 o'clock, hanging, steering held")
    shake, pull = set_up("wheel39", "frame", "left"), set_up("idler", "frame")
    cases = (
        ("sound", "Sound", SOUND),
        ("gear", "Gear lash of 0.8 mm", GEAR),
        ("box", "Box bolts slack by 0.5 mm", BOX),
        ("outer_end", "Outer end worn by 0.8 mm", OUTER_END),
    )
    for key, words, worn in cases:
        at = shown(shake, worn)
        sheet.write(f"{key}_near_mm", f"{words}: free at the shaken wheel", at["tread"].free)
        sheet.write(f"{key}_far_mm", f"{words}: free at the other wheel", at["opposite-tread"].free)
        sheet.write(f"{key}_gear_mm", f"{words}: pitman arm lags behind the box input", at["steering-gear"].free)
        sheet.write(f"{key}_rail_mm", f"{words}: gap between box and rail", at["steering-box-mount.axial"].free)
    for key, words, worn in (*cases[:2], ("idler", "Idler worn by 0.9 mm", IDLER)):
        at = shown(pull, worn)
        sheet.write(f"{key}_idler_up_mm", f"{words}: idler end pulled up and down, free", at["idler-end"].free)
        sheet.write(f"{key}_pitman_up_mm", f"{words}: pitman end pulled up and down, free", at["pitman-pull"].free)
    sheet.say(
        "Both wheels move and no arm tips: gear, or something beside it. A hand across box and rail tells which, for "
        "the gear itself is tight in a box that walks. An outer end leaves the other wheel alone."
    )
    return sheet.numbers
