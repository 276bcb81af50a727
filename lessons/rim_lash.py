"""Lash at the rim from gear, coupling and joints, by hand and by the model, against the law's two inches.

By hand, c lost at the pitman arm's tip is c i r / a along the rim (ratio i, rim radius r, arm a), c lost at the
coupling c r / 20 mm. Limits: 49 CFR 570.7(a), Table 1, and 393.209(b). That an elastic tread is not play: common
practice, no source.
"""

from __future__ import annotations

from lessons.bay import Numbers, Sheet, no_clearance_anywhere, set_up, shown, yard_pickup
from looseends.catalogue import load_catalogue
from looseends.catalogue.types import Axis
from looseends.vehicle.shake import Worn
from looseends.vehicle.vehicle import SIDES

HARD_N = 30.0
"""Push of each hand that opens rod ends which the weight on the wheels presses shut."""


def reject_of(part: str) -> float:
    """Clearance across [mm] at which common practice rejects a part."""
    figure = yard_pickup().parts[part].figure
    assert figure is not None and figure.radial.reject is not None
    return figure.radial.reject


def main() -> Numbers:
    """Free travel [mm] along the rim, and what a sound tread moves [mm]."""
    sheet = Sheet("Lash at the rim: wheels on the floor, every joint at the clearance where it is rejected")
    numbers = yard_pickup().numbers
    radius = numbers["rim_diameter_mm"] / 2.0
    at_arm, at_coupling = numbers["gear_ratio"] * radius / numbers["pitman_arm_mm"], radius / 20.0
    all_loose: dict[tuple[str, Axis], float] = {}
    by_hand = 0.0
    for key, words, parts, lever in (
        ("gear", "Gear", ["steering-gear"], at_arm),
        ("coupling", "Coupling", ["steering-coupling"], at_coupling),
        ("pitman_ball", "Pitman ball", ["pitman-ball"], at_arm),
        ("inner_ends", "Both inner rod ends", ["inner-tie-rod-end-left", "inner-tie-rod-end-right"], at_arm),
        ("outer_ends", "Both outer rod ends", ["outer-tie-rod-end-left", "outer-tie-rod-end-right"], at_arm),
    ):
        worn: dict[tuple[str, Axis], float] = {(part, "radial"): reject_of(part) for part in parts}
        all_loose |= worn
        by_hand += sheet.write(f"{key}_by_hand_mm", f"{words}, by hand", reject_of(parts[0]) * lever)
        sheet.write(f"{key}_mm", f"{words}, by the model", free_at_rim(worn))
    sheet.write("all_by_hand_mm", "All together, by hand", by_hand)
    sheet.write("all_mm", "All together, by the model", free_at_rim(all_loose))
    sheet.write("gentle_mm", "All together, hands of 3 N instead of 30 N", free_at_rim(all_loose, None))
    limits = load_catalogue().limits
    sheet.write("law_mm", "49 CFR 570.7(a), rims up to 16 in", float(limits["us-570-7a-lash-16"].value_mm or 0.0))
    sheet.write(
        "power_mm", "49 CFR 393.209(b), power steering", float(limits["us-393-209b-lash-power-16"].value_mm or 0.0)
    )
    for side in SIDES:
        tread = shown(set_up("wheel39", "frame", side))["tread"]
        sheet.write(f"tread_{side}_mm", f"Sound front end, {side} tread at 150 N: elastic", tread.total - tread.free)
    sheet.say(
        "Every joint of this linkage may be rejected and the rim still keeps the law's two inches: a legal pass is no "
        "sound joint. Gentle hands leave the rod ends out, for the weight on the wheels presses them shut. At the "
        "tread a sound front end springs 6 to 7 mm, which is no play."
    )
    return sheet.numbers


def free_at_rim(worn: Worn, force: float | None = HARD_N) -> float:
    """Free travel [mm] along the rim, every joint without clearance but these."""
    return shown(set_up("lash", "wheels", force=force), no_clearance_anywhere() | dict(worn))["rim"].free
