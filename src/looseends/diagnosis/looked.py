"""What looks show (checks without a reading of movement), and what one that was done says of its part."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from math import log

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import PartKind
from looseends.inspection.types import ConditionSeen
from looseends.vehicle.vehicle import Part


@dataclass(frozen=True)
class Look:
    """A check that shows wear or a fault of some kinds of parts without a reading of movement.

    `chance` that a fault which is there is seen, `false_call` that a sound part is called faulty; `sees` are the
    conditions that are written down of it. One that does not prove sees something other than what wears, as a torn
    boot: it is offered, and its conditions count by themselves.
    """

    check: str
    kinds: tuple[str, ...]
    chance: float
    false_call: float
    sees: tuple[str, ...]
    source: str
    proves: bool = True

    def log_factor(self, *, present: bool) -> float:
        """Log of the factor on the odds of wear or fault."""
        if present:
            return log(self.chance / self.false_call)
        return log((1.0 - self.chance) / (1.0 - self.false_call))

    def shows_on(self, kind: PartKind) -> tuple[str, ...]:
        """The conditions that it sees on parts of a kind, as far as there may be such a condition there."""
        conditions, own = load_catalogue().conditions, {kind.id, kind.group}
        return tuple(name for name in self.sees if not (on := conditions[name].applies_to) or own & set(on))


@cache
def load_looks() -> tuple[Look, ...]:
    """The looks that ship with the package."""
    text = (resources.files("looseends.diagnosis") / "route_data" / "looks.toml").read_text(encoding="utf-8")
    return tuple(
        Look(
            e["check"],
            tuple(e["kinds"]),
            e["chance"],
            e["false_call"],
            tuple(e["sees"]),
            e["source"],
            e.get("proves", True),
        )
        for e in tomllib.loads(text)["look"]
    )


def looks_at(kind: str) -> tuple[Look, ...]:
    """The looks that show wear or a fault of parts of a kind."""
    return tuple(look for look in load_looks() if look.proves and kind in look.kinds)


def look_at(condition: str, kind: str) -> Look | None:
    """The look by which a condition of a kind of part is seen, the surest; None where no look shows it."""
    sees = [look for look in looks_at(kind) if condition in look.sees]
    return max(sees, key=lambda look: look.chance, default=None)


def looked_over(part: str, kind: str, recorded: Iterable[ConditionSeen]) -> Look | None:
    """The surest look that was done of a part and found nothing; None where one found something, or none was done."""
    own = [(seen, look) for seen in recorded if seen.part == part and (look := look_at(seen.condition, kind))]
    if any(seen.present for seen, _ in own):
        return None
    return max((look for _, look in own), key=lambda look: look.chance, default=None)


def proving_look(part: Part, supports: Sequence[str]) -> tuple[Look, str] | None:
    """The look that shows a part best, and the first support that it can be done under; None where none shows it."""
    best = max(looks_at(part.kind.id), key=lambda look: look.chance, default=None)
    if best is None:
        return None
    support = next((s for s in load_catalogue().checks[best.check].supports if s in supports), None)
    return None if support is None else (best, support)
