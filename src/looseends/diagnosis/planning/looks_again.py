"""Looks taken once more: what one would tell of a part that was looked at and is still in doubt."""

from __future__ import annotations

from looseends.diagnosis.inference.before import looks_in_order
from looseends.diagnosis.inference.diagnose import Diagnosed
from looseends.diagnosis.observed.look_history import look_after
from looseends.diagnosis.observed.looked import Look, look_at, looks_done, setups_of_look
from looseends.diagnosis.planning.information import Told, entropy_of
from looseends.diagnosis.planning.looks import SUSPECTED, bits_of
from looseends.diagnosis.planning.repeats import Repeat
from looseends.diagnosis.planning.stands import Again
from looseends.vehicle.setup import Setup


def look_repeats(found: Diagnosed) -> dict[Again, Repeat]:
    """Every look at one part that may be taken once more, by that part, with what that tells.

    Of parts that are neither proven nor beyond suspicion, and were not looked at often enough; where the vehicle
    stands, if the look can be done there.
    """
    skipped = {entry.part for entry in found.visit.not_checked}
    repeats = {}
    for part, states in found.states.items():
        chance = found.posterior.marginal(part)
        if part in skipped or not SUSPECTED < chance < found.beliefs.worn_at_least:
            continue
        for look in _looks_of(found, part, states.part.kind.id):
            if look.check not in skipped:
                repeats[Again(_setup(found, look, states.part.side), part)] = _repeat(found, look, part, chance)
    return repeats


def _looks_of(found: Diagnosed, part: str, kind: str) -> list[Look]:
    """Looks that were done of a part, not too often yet."""
    replaced = {event.part for event in found.visit.replaced}
    done = looks_done(part, kind, found.visit.conditions)
    looks = {look.check: look for seen in done if (look := look_at(seen.condition, kind)) is not None}
    if part in replaced or not looks or len(done) >= found.beliefs.again_at_most:
        return []
    return list(looks.values())


def _setup(found: Diagnosed, look: Look, side: str | None) -> Setup:
    setups = [setup for setup in setups_of_look(look, found.vehicle) if setup.side in (None, side)]
    return next((setup for setup in setups if setup.support == found.support), setups[0])


def _repeat(found: Diagnosed, look: Look, part: str, chance: float) -> Repeat:
    taken = looks_in_order(found.states[part].part, found.visit.conditions, found.learners, found.beliefs)
    bits = bits_of(chance, look_after(look, taken, found.beliefs.looks_alike))
    leads = found.posterior.leading(1)[0][0].parts
    instead = tuple(name for name in leads if name != part) if part in leads else (*leads, part)
    return Repeat(Told(bits, {part: bits / entropy_of(chance)}), leads, instead)
