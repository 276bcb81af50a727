"""Complaints made by hand, as the catalogue holds them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class MadeCause:
    """A cause with its weight."""

    weight: str
    words: str
    points_to: tuple[str, ...]


@dataclass(frozen=True)
class MadeComplaint:
    """A complaint with its causes."""

    id: str
    name: str
    words: tuple[str, ...]
    spanish: tuple[str, ...]
    causes: tuple[MadeCause, ...]
    checks: tuple[str, ...]


WANDERS = MadeComplaint(
    id="wanders",
    name="wanders on a straight road",
    words=("has to be corrected all the time", "drifts about on the highway"),
    spanish=("anda de lado a lado en la recta", "se va solo", "no mantiene la línea"),
    causes=(
        MadeCause("strong", "worn idler arm", ("idler-arm",)),
        MadeCause("medium", "worn tie-rod ends", ("outer-tie-rod-end", "inner-tie-rod-end")),
        MadeCause("strong", "tire pressure", ()),
        MadeCause("weak", "worn rack", ("rack-mount-bushing",)),
        MadeCause("weak", "an idler that is dry", ("idler-arm",)),
    ),
    checks=("dry-park", "lash"),
)
KNOCKS = MadeComplaint(
    id="knock-small-bumps",
    name="knocks on small bumps",
    words=("knock from one front wheel", "rattles on a gravel road"),
    spanish=("golpea en los baches",),
    causes=(
        MadeCause("strong", "worn sway bar link", ("sway-bar-link",)),
        MadeCause("medium", "worn ball joint", ("lower-ball-joint",)),
    ),
    checks=("sway",),
)
CLUNKS = MadeComplaint(
    id="clunk-braking",
    name="clunks when braking",
    words=("one knock at the first braking",),
    spanish=("golpe seco al frenar",),
    causes=(MadeCause("strong", "worn arm bushing", ("bushing", "lower-arm-front-bushing")),),
    checks=("bushpry",),
)
COMPLAINTS = (WANDERS, KNOCKS, CLUNKS)
