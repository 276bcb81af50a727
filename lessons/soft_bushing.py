"""A bushing that is soft by design moves far and is not worn: it has no dead zone.

Common practice, no source, for fluid-filled bushings. The catalogue has no figure for one, so that it is stood for by
the rear bushing of the lower arm with half its stiffness; without play, and so sound.
"""

from __future__ import annotations

from lessons.bay import SOUND, Numbers, Sheet, set_up, shown, yard_pickup
from looseends.mechanics.clearance import Clearance

PART = "lower-arm-rear-bushing-left"
SOFT = Clearance("pin", 0.0, 0.0, radial_stiffness_left=0.5)
TORN = Clearance("pin", 2.0, 0.0)


def main() -> Numbers:
    """What moves and is free [mm], pried at ride height with two forces."""
    sheet = Sheet("Soft or worn: the rear bushing of the left lower arm pried at ride height")
    figure = yard_pickup().parts[PART].figure
    assert figure is not None and figure.radial.reject is not None
    sheet.write("reject_mm", "Clearance that is rejected, sleeve against shell", figure.radial.reject)
    for force in (1200.0, 2400.0):
        check = set_up("bushpry", "ride", "left", force=force)
        for key, words, changed in (
            ("sound", "as it is", {}),
            ("soft", "soft", {PART: SOFT}),
            ("torn", "torn", {PART: TORN}),
        ):
            at = shown(check, SOUND, changed)[PART]
            sheet.write(f"{key}_{force:.0f}_mm", f"Pried with {force:.0f} N, {words}: moves", at.total)
            sheet.write(f"{key}_{force:.0f}_free_mm", f"Pried with {force:.0f} N, {words}: of it free", at.free)
    sheet.say(
        "The soft one moves farthest, twice as far with twice the force, and nothing of it is free. The torn one moves "
        "less and has a dead zone. What speaks against a soft bushing is a leak or a crack, not its way."
    )
    return sheet.numbers
