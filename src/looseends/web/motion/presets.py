"""Lessons that an instructor shows: each a check with worn parts, and what to look at."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from looseends.language import Text, say

TRAINING_VEHICLE = "yard-pickup"


@dataclass(frozen=True)
class Preset:
    """A lesson of docs/lessons.md as the motion view shows it: its name, what it shows, and what the view is asked."""

    id: str
    name: Text
    shows: Text
    check: str
    support: str
    worn: tuple[str, ...]
    side: str = ""
    stroke: str = ""
    brake: str = ""
    stand_inboard_mm: float = 0.0

    @property
    def address(self) -> str:
        """Where the page shows it."""
        asked: list[tuple[str, str]] = [("lesson", self.id), ("vehicle", TRAINING_VEHICLE), ("check", self.check)]
        asked += [("support", self.support)]
        given = (("side", self.side), ("stroke", self.stroke), ("brake", self.brake))
        asked += [(name, value) for name, value in given if value]
        asked += [("stand_inboard_mm", f"{self.stand_inboard_mm:g}")] if self.stand_inboard_mm else []
        return f"/motion?{urlencode([*asked, *(('worn', entry) for entry in self.worn)])}"


_CARRIER = ("lower-ball-joint-left.axial=2",)

PRESETS: tuple[Preset, ...] = (
    Preset(
        "carrier-hanging",
        say("The carrier's play hidden: hanging"),
        say("The spring presses through the lower joint onto the rebound stop: worn by 2 mm, it hardly moves."),
        "bj-axial",
        "frame",
        _CARRIER,
        "left",
    ),
    Preset(
        "carrier-shown",
        say("The carrier's play shown: on the arm stand"),
        say("The spring ends in the stand; the bar lifts the knuckle through the whole play, then meets the stop."),
        "bj-axial",
        "arm",
        _CARRIER,
        "left",
    ),
    Preset(
        "stand-inboard",
        say("The stand too far inboard"),
        say("200 mm inboard the arm goes down onto its rebound stop, and the play is hidden again."),
        "bj-axial",
        "arm",
        _CARRIER,
        "left",
        stand_inboard_mm=200.0,
    ),
    Preset(
        "idler-walk",
        say("The idler's end walks"),
        say("Only the idler's own end goes up and down; the pitman arm's end stays level."),
        "idler",
        "frame",
        ("idler-arm.radial=0.9",),
    ),
    Preset(
        "bar-both",
        say("Sway bar link: both wheels raised"),
        say("The bar is not twisted: the worn link shows its play."),
        "bushpry",
        "ride",
        ("sway-bar-link-left.radial=1",),
        "left",
        "sway-link",
    ),
    Preset(
        "bar-one",
        say("Sway bar link: one wheel raised"),
        say("The twisted bar pulls the link tight: the same play hardly shows."),
        "bushpry",
        "one-wheel",
        ("sway-bar-link-left.radial=1",),
        "left",
        "sway-link",
    ),
    Preset(
        "bearing",
        say("Wheel bearing: brake off"),
        say("The hub rocks in its bearing; the ball joints stay."),
        "wheel126",
        "arm",
        ("wheel-bearing-left.radial=0.3",),
        "left",
    ),
    Preset(
        "bearing-braked",
        say("Wheel bearing: brake held"),
        say("The brake clamps the hub to the knuckle: the bearing's play is gone, that of the joints would stay."),
        "wheel126",
        "arm",
        ("wheel-bearing-left.radial=0.3",),
        "left",
        brake="on",
    ),
)
