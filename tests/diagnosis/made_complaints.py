"""Complaints made by hand, as the catalogue holds them."""

from __future__ import annotations

from looseends.catalogue.causes import Cause, Weight
from looseends.catalogue.complaints import Complaint


def complaint(id: str, name: str, words: str, spanish: str, causes: tuple[Cause, ...], *checks: str) -> Complaint:
    """A complaint with its phrases, which are parted by semicolons."""
    phrases = (tuple(said.split("; ")) for said in (words, spanish))
    return Complaint(id, name, *phrases, ("told",), causes, checks, "Look.", "made for a test")


def cause(weight: Weight, words: str, *points_to: str) -> Cause:
    """A cause with its weight."""
    return Cause(weight, words, points_to, ())


WANDERS = complaint(
    "wanders",
    "wanders on a straight road",
    "has to be corrected all the time; drifts about on the highway",
    "anda de lado a lado en la recta; se va solo; no mantiene la línea",
    (
        cause("strong", "worn idler arm", "idler-arm"),
        cause("medium", "worn tie-rod ends", "outer-tie-rod-end", "inner-tie-rod-end"),
        cause("strong", "tire pressure"),
        cause("weak", "worn rack", "rack-mount"),
        cause("weak", "an idler that is dry", "idler-arm"),
    ),
    "dry-park",
    "lash",
)
KNOCKS = complaint(
    "knock-small-bumps",
    "knocks on small bumps",
    "knock from one front wheel; rattles on a gravel road",
    "golpea en los baches",
    (cause("strong", "worn sway bar link", "sway-bar-link"), cause("medium", "worn ball joint", "lower-ball-joint")),
    "sway",
)
CLUNKS = complaint(
    "clunk-braking",
    "clunks when braking",
    "one knock at the first braking",
    "golpe seco al frenar",
    (cause("strong", "worn arm bushing", "bushing", "lower-arm-front-bushing"),),
    "bushpry",
)
COMPLAINTS = (WANDERS, KNOCKS, CLUNKS)
