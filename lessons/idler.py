"""The worn idler's end rises and falls; the pitman arm's end does not.

Common practice, no source. 110 N up and down at the center link, steering held. By hand: two bushings of play c, a span
L apart, let the end of an arm of length h tip by 2 h c / L.
"""

from __future__ import annotations

from lessons.bay import SOUND, Numbers, Sheet, set_up, shown
from looseends.vehicle.shake import Worn

PLAY_MM, SPAN_MM, ARM_MM = 0.9, 60.0, 150.0
IDLER: Worn = {("idler-arm", "radial"): PLAY_MM}
SECTOR: Worn = {("sector-shaft-bushing", "radial"): 0.25}


def main() -> Numbers:
    """Free travel [mm] upright at the ends of both arms."""
    sheet = Sheet("Idler: center link pulled up and down with 110 N, hanging, steering held")
    pull, hard = set_up("idler", "frame"), set_up("idler", "frame", force=400.0)
    for key, words, worn in (
        ("sound", "Sound", SOUND),
        ("idler", "Idler worn", IDLER),
        ("sector", "Sector shaft worn", SECTOR),
    ):
        at = shown(pull, worn)
        sheet.write(
            f"{key}_idler_end_mm", f"{words}, idler end pulled: it goes up and down, free", at["idler-end"].free
        )
        sheet.write(
            f"{key}_pitman_still_mm", f"{words}, idler end pulled: pitman end goes along", at["pitman-end"].total
        )
        sheet.write(
            f"{key}_pitman_end_mm", f"{words}, pitman end pulled: it goes up and down, free", at["pitman-pull"].free
        )
    sheet.write(
        "tips_by_hand_mm", "Idler worn, by hand: tips more than a tight one by", 2.0 * ARM_MM * PLAY_MM / SPAN_MM
    )
    sheet.write("hard_mm", "Sound, idler end pulled with 400 N: moves", shown(hard)["idler-end"].total)
    sheet.write("hard_free_mm", "Sound, idler end pulled with 400 N: of it free", shown(hard)["idler-end"].free)
    sheet.write("asked_mm", "Sound, idler end pulled with 110 N: moves", shown(pull)["idler-end"].total)
    sheet.say(
        "The idler's arm tips on its two bushings, and only its own end goes up and down. If the pitman end did, it "
        "would be sector shaft or box. More force moves any idler further and makes none of it free: use the scale."
    )
    return sheet.numbers
