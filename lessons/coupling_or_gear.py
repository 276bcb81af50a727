"""Hold the box input: the coupling's play is gone, the gear's stays; at the rim both add.

Common practice, no source. Wheels on the floor; first the rim is turned gently, then the box input below the coupling.
"""

from __future__ import annotations

from lessons.bay import SOUND, Numbers, Sheet, set_up, shown
from looseends.vehicle.shake import Worn

GEAR: Worn = {("steering-gear", "radial"): 1.0}
COUPLING: Worn = {("steering-coupling", "radial"): 0.4}


def main() -> Numbers:
    """Free travel [mm] along the rim and at the box input, 20 mm from its line."""
    sheet = Sheet("Coupling or gear: wheels on the floor, straight ahead")
    at_rim, at_input = set_up("lash", "wheels"), set_up("gear-lash", "wheels", steer="free")
    for key, words, worn in (
        ("sound", "Sound", SOUND),
        ("gear", "Gear loose by 1 mm", GEAR),
        ("coupling", "Coupling loose by 0.4 mm", COUPLING),
        ("both", "Both loose", {**GEAR, **COUPLING}),
    ):
        sheet.write(f"{key}_rim_mm", f"{words}: free along the rim", shown(at_rim, worn)["rim"].free)
        sheet.write(
            f"{key}_input_mm", f"{words}: free at the box input, turned by hand", shown(at_input, worn)["input"].free
        )
    sheet.say(
        "At the rim it is a sum, and the coupling counts less than half per millimetre: 9.85 mm against 21. With the "
        "hand on the box input the coupling lies above it and shows nothing; what is left is the gear's."
    )
    return sheet.numbers
