"""What looks find on drawn vehicles: by eyes and hands that are not the catalogue's, and are wrong now and then.

The inference takes a look as a test with one chance to see wear and one of a false call, the catalogue's, alike for all
who look, for all parts and for wear of any size. Drawn instead: who looks has a sharpness of their own, and one in six
sees much less; each worn part shows more or less plainly; slight wear shows less than gross; every person has their own
share of sound parts on which something seems to be there (a stain taken for a leak); some answers are put down the
wrong way round. A look finds nothing on a part whose wear does not show to it, or that is masked. Of parts that have no
play (springs, dampers, the frame) none is faulty.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from looseends.catalogue.types import PartKind
from looseends.diagnosis.observed.looked import Look, load_looks, looked_at
from looseends.diagnosis.tables.states import reject_clearance
from looseends.inspection.types import ConditionSeen
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Part, Vehicle
from studies.truth import StandingVehicle

Seen = tuple[ConditionSeen, ...]

AT_REJECT = 1.7
"""Log odds to see wear of the reject clearance, of those who look on average: 85 %."""

SHARPNESS_SPREAD = 0.8
POOR_CHANCE, POOR = 1.0 / 6.0, -2.0
NOVICE = -1.1
PLAINNESS_SPREAD = 0.7
PER_DOUBLING = 0.7
"""Added log odds: of one person, of one in six, of a novice, of one part over another, of twice the wear."""

SEEMS_THERE = (0.005, 0.08)
NOVICE_SEEMS = 2.0
"""Bounds of a person's share of sound parts on which something seems to be there; a novice's is so many times it."""

SEEMS_ALIKE = 0.5
"""Chance that what seems to be there or not seems so to whoever looks, and however often."""

CALLED_THERE = 0.5
"""Who calls everything at least slight says of this share of what is not there that it is."""


@dataclass(frozen=True)
class Eyes:
    """Who looks: log odds to see wear of the reject clearance, shares of false finds and of answers turned round."""

    sharpness: float
    seems_there: float
    turned_round: float

    @staticmethod
    def drawn(rng: np.random.Generator, turned_round: float, *, novice: bool) -> Eyes:
        """A person whose chances are their own, and not the catalogue's."""
        sharpness = rng.normal(AT_REJECT, SHARPNESS_SPREAD) + POOR * (rng.random() < POOR_CHANCE) + NOVICE * novice
        seems = float(np.exp(rng.uniform(*np.log(SEEMS_THERE)))) * (NOVICE_SEEMS if novice else 1.0)
        return Eyes(float(sharpness), seems, turned_round)

    def find(self, share: float | None, plainness: float, misleading: float, rng: np.random.Generator) -> bool:
        """Whether they put down that something is there, on a part worn to this share of its reject clearance.

        `plainness` and `misleading` are the part's own, the latter evenly between 0 and 1: the less, the more people
        find something on it that is not there.
        """
        seen = rng.random() < self.chance(share, plainness)
        seems = (misleading if rng.random() < SEEMS_ALIKE else rng.random()) < self.seems_there
        return bool((seen or seems) != (rng.random() < self.turned_round))

    def chance(self, share: float | None, plainness: float) -> float:
        """Chance to see wear that is there; none of a part that shows none."""
        if share is None:
            return 0.0
        return float(1.0 / (1.0 + np.exp(-self.sharpness - plainness - PER_DOUBLING * np.log2(share))))


def look_of(setup: Setup) -> Look | None:
    """The look that a setup is one of; None for a check of movement."""
    return next((look for look in load_looks() if look.check == setup.check), None)


def looked(
    true: StandingVehicle,
    vehicle: Vehicle,
    setup: Setup,
    eyes: Eyes,
    number: int,
    seed: Sequence[int],
    rng: np.random.Generator,
    before: Seen = (),
    only: Collection[str] = (),
) -> Seen:
    """What one look puts down of each part that it looks at, numbered from `number`.

    `vehicle` is as it is known; `seed` draws how plainly each worn part shows, the same whoever looks. The note says by
    which look it was. `before` is what the same person put down earlier; `only` these parts are looked at, if any are
    named.
    """
    look = look_of(setup)
    assert look is not None
    found: list[ConditionSeen] = []
    for part in looked_at(look, setup, vehicle):
        if (condition := _put_down(look, part.kind)) is None or (only and part.id not in only):
            continue
        own = np.random.default_rng([*seed, list(vehicle.parts).index(part.id)])
        plain, misleading = float(own.normal(0.0, PLAINNESS_SPREAD)), float(own.random())
        there = eyes.find(_worn_share(true, look, part), plain, misleading, rng)
        again = sum(one.part == part.id and one.condition == condition for one in before)
        found.append(ConditionSeen(number + len(found), part.id, condition, "drawn", look.check, there, again))
    return tuple(found)


def _put_down(look: Look, kind: PartKind) -> str | None:
    """The condition that is put down of a part, there or not: that as which its wear shows, else the first there is."""
    return look.wear.get(kind.id) or next(iter(look.shows_on(kind)), None)


def _worn_share(true: StandingVehicle, look: Look, part: Part) -> float | None:
    """A part's wear over its reject clearance, along its worst axis, if that shows to this look."""
    if part.kind.id not in look.wear or part.id in true.masked:
        return None
    shares = [mm / reject_clearance(part, axis) for (name, axis), mm in true.worn.items() if name == part.id]
    return max(shares, default=None)


def one_turned_round(seen: Seen, rng: np.random.Generator) -> Seen:
    """One answer of a visit's looks is put down the wrong way round."""
    if not seen:
        return seen
    wrong = int(rng.integers(len(seen)))
    return tuple(replace(one, present=one.present != (i == wrong)) for i, one in enumerate(seen))


def too_much_there(seen: Seen, rng: np.random.Generator) -> Seen:
    """Much of what is not there is said to be there."""
    return tuple(replace(one, present=one.present or bool(rng.random() < CALLED_THERE)) for one in seen)
