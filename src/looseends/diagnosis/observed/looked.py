"""What looks show (checks without a reading of movement), and what one that was done says of its part."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import PartKind
from looseends.inspection.types import ConditionSeen
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import SIDES, Part, Vehicle


@dataclass(frozen=True)
class Look:
    """A check that shows wear or a fault of some kinds of parts without a reading of movement.

    `chance` that a fault which is there is seen, `false_call` that a sound part is called faulty; `sees` are the
    conditions that are written down of it, `wear` the one of them as which wear of a kind of part shows. Of a kind that
    wears with play and is not in `wear` it shows other faults, which say nothing of its play. One that does not prove
    sees something other than what wears, as a torn boot: it is offered, and its conditions count by themselves.
    """

    check: str
    kinds: tuple[str, ...]
    chance: float
    false_call: float
    sees: tuple[str, ...]
    wear: Mapping[str, str]
    source: str
    proves: bool = True

    def shows_on(self, kind: PartKind) -> tuple[str, ...]:
        """The conditions that it sees on parts of a kind, as far as there may be such a condition there."""
        conditions, own = load_catalogue().conditions, {kind.id, kind.group}
        return tuple(name for name in self.sees if not (on := conditions[name].applies_to) or own & set(on))


@cache
def load_looks() -> tuple[Look, ...]:
    """The looks that ship with the package."""
    return tuple(
        Look(
            e["check"],
            tuple(e["kinds"]),
            e["chance"],
            e["false_call"],
            tuple(e["sees"]),
            e.get("wear", {}),
            e["source"],
            e.get("proves", True),
        )
        for e in _looks_toml()["look"]
    )


@cache
def fault_chance() -> float:
    """Chance that a part without play to be read has a fault that a look shows, of which nothing is known."""
    return float(_looks_toml()["fault"]["chance"])


def looks_at(kind: str) -> tuple[Look, ...]:
    """The looks that show whether a part of a kind is worn, or faulty where it has no play to wear with."""
    plays = load_catalogue().part_kinds[kind].figure is not None
    return tuple(look for look in load_looks() if look.proves and kind in (look.wear if plays else look.kinds))


def look_at(condition: str, kind: str) -> Look | None:
    """The surest of those looks in which this condition says so; None where there is none."""
    sees = [look for look in looks_at(kind) if condition in look.sees and look.wear.get(kind, condition) == condition]
    return max(sees, key=lambda look: look.chance, default=None)


def looks_done(part: str, kind: str, recorded: Iterable[ConditionSeen]) -> tuple[ConditionSeen, ...]:
    """What each look at a part said of its wear, in order; who wrote it down twice looked once."""
    told: dict[object, ConditionSeen] = {}
    for seen in recorded:
        if seen.part == part and (look := look_at(seen.condition, kind)):
            told.setdefault((look.check, seen.observer, seen.again, seen.present), seen)
    return tuple(told.values())


def looked_over(part: str, kind: str, recorded: Iterable[ConditionSeen]) -> Look | None:
    """The surest look that was done of a part and found nothing; None where one found something, or none was done."""
    own = [(seen, look) for seen in recorded if seen.part == part and (look := look_at(seen.condition, kind))]
    if any(seen.present for seen, _ in own):
        return None
    return max((look for _, look in own), key=lambda look: look.chance, default=None)


def setups_of_look(look: Look, vehicle: Vehicle) -> list[Setup]:
    """How a look is set up, in every support that the vehicle knows."""
    check = load_catalogue().checks[look.check]
    return [
        Setup(check.id, support, side, check.steer_states[0], check.brake_states[0], 0.0)
        for support in check.supports
        if support in vehicle.layout.supports
        for side in (SIDES if check.sided else (None,))
    ]


def looked_at(look: Look, setup: Setup, vehicle: Vehicle) -> list[Part]:
    """The vehicle's parts that a look shows on the setup's side."""
    fitting = (None, setup.side) if setup.side else (None, *SIDES)
    return [p for p in vehicle.parts.values() if p.kind.id in look.kinds and p.side in fitting]


def shows_any(look: Look, setup: Setup, vehicle: Vehicle) -> bool:
    """Whether there is anything on this vehicle that a look, set up so, may find."""
    return any(look.shows_on(part.kind) for part in looked_at(look, setup, vehicle))


def proving_look(part: Part, supports: Sequence[str]) -> tuple[Look, str] | None:
    """The look that shows a part best, and the first support that it can be done under; None where none shows it."""
    best = max(looks_at(part.kind.id), key=lambda look: look.chance, default=None)
    if best is None:
        return None
    support = next((s for s in load_catalogue().checks[best.check].supports if s in supports), None)
    return None if support is None else (best, support)


def _looks_toml() -> dict[str, Any]:
    text = (resources.files("looseends.diagnosis.observed") / "data" / "looks.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
