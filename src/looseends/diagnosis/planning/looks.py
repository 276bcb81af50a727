"""Checks without a reading of movement (looked at, felt, tried with a wrench) as candidates for the next step."""

from __future__ import annotations

from collections.abc import Mapping
from math import exp, log

from looseends.diagnosis.inference.before import witnessed
from looseends.diagnosis.inference.diagnose import Diagnosed
from looseends.diagnosis.observed.looked import (
    Look,
    fault_chance,
    load_looks,
    look_at,
    looked_at,
    looks_at,
    setups_of_look,
)
from looseends.diagnosis.planning.information import Told, entropy_of
from looseends.inspection.types import NextCheck
from looseends.language import say
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Part

SUSPECTED = 0.02
"""A part that is no likelier faulty than this is not looked at for its own sake."""


def looks_left(found: Diagnosed) -> dict[Setup, Told]:
    """What every look that was not done yet would tell, in every support that the vehicle knows.

    A look sees each of its parts by itself: faulty or not, with a chance to miss and a chance of a false call.
    Source: mutual information of a test with two outcomes, C. E. Shannon, Bell System Technical Journal 27 (1948).
    """
    chances, left = open_chances(found), {}
    skipped = {entry.part for entry in found.visit.not_checked}
    done = {(c.setup.check, c.setup.side) for c in found.visit.checks}
    for look in (look for look in load_looks() if look.proves):
        for setup in setups_of_look(look, found.vehicle):
            if look.check in skipped or (setup.check, setup.side) in done:
                continue
            told = {
                part.id: bits_of(chances[part.id], look)
                for part in looked_at(look, setup, found.vehicle)
                if chances.get(part.id, 0.0) > SUSPECTED
            }
            shares = {name: bits / entropy_of(chances[name]) for name, bits in told.items()}
            if told:
                left[setup] = Told(sum(told.values()), shares)
    return left


def open_chances(found: Diagnosed) -> dict[str, float]:
    """Chance that each part which a look may show is worn or faulty; those that a look was done of are left out."""
    if "open chances" not in found.known:
        found.known["open chances"] = _open_chances(found)
    return dict(found.known["open chances"])


def _open_chances(found: Diagnosed) -> dict[str, float]:
    skipped = {entry.part for entry in found.visit.not_checked}
    looked = {seen.part for seen in found.visit.conditions if look_at(seen.condition, _kind(found, seen.part))}
    open_parts = [p for p in found.vehicle.parts.values() if looks_at(p.kind.id) and p.id not in looked | skipped]
    return {part.id: _chance(part, found) for part in open_parts}


def fault_chances(found: Diagnosed) -> dict[str, float]:
    """The same of parts that have no play to be read."""
    return {name: chance for name, chance in open_chances(found).items() if name not in found.states}


def described_look(found: Diagnosed, setup: Setup, minutes: float, bits: float) -> NextCheck:
    """A look as advice, with the parts that it is for."""
    (look,) = [look for look in load_looks() if look.check == setup.check]
    chances = open_chances(found)
    parts = [part for part in looked_at(look, setup, found.vehicle) if chances.get(part.id, 0.0) > SUSPECTED]
    names = tuple(part.name for part in sorted(parts, key=lambda part: -chances[part.id])[:3])
    reason = say("tells by look, feel and wrench about {parts}", parts=names)
    return NextCheck(setup, (), minutes, bits, names, reason)


def _chance(part: Part, found: Diagnosed) -> float:
    """Of a part with play what the readings leave; else a fault's own chance, raised by what nothing else explains."""
    if part.id in found.states:
        return found.posterior.marginal(part.id)
    leading = found.posterior.leading(1)[0][0].parts
    log_odds = log(fault_chance() / (1.0 - fault_chance()))
    for symptom in witnessed(found.visit, [*(s.part for s in found.states.values()), part]):
        log_odds += symptom.gain((*leading, part.id)) - symptom.gain(leading)
    return 1.0 / (1.0 + exp(-log_odds))


def bits_of(chance: float, look: Look) -> float:
    """What one look tells [bits] of a part that is worn or faulty with this chance."""
    called = chance * look.chance + (1.0 - chance) * look.false_call
    left: Mapping[float, float] = {look.chance: chance, look.false_call: 1.0 - chance}
    return entropy_of(called) - sum(share * entropy_of(c) for c, share in left.items())


def _kind(found: Diagnosed, part: str) -> str:
    return found.vehicle.parts[part].kind.id
