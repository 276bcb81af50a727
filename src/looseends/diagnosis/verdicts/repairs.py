"""Parts that were replaced in a visit: nothing found before counts for the new one, and the same check proves it."""

from __future__ import annotations

from looseends.diagnosis.inference.diagnose import Diagnosed
from looseends.diagnosis.observed.evidence import clues_of
from looseends.diagnosis.observed.seen_by_any import chance_seen_by_any
from looseends.diagnosis.observed.words import setup_words
from looseends.diagnosis.verdicts.proving import best_setup
from looseends.diagnosis.verdicts.remarks import says_none
from looseends.inspection.types import Repair, Replaced
from looseends.language import Percent, say


def repairs_of(found: Diagnosed) -> tuple[Repair, ...]:
    """Every replaced part, in the order of the visit."""
    return tuple(_repair(event, found) for event in found.visit.replaced)


def _repair(event: Replaced, found: Diagnosed) -> Repair:
    part, beliefs = found.vehicle.parts[event.part], found.beliefs
    states = found.states.get(event.part)
    if states is None:
        words = say("The {part} was replaced; look at it again for what was found on it.", part=part.name)
        return Repair(part.id, part.name, event.after_check, False, 0.0, words, "")
    since = [done for done in found.checks if done.number > event.after_check]
    own = {clue.check.number: clue.table for clue in found.clues}
    # Laid against the old part's play: what a new one would show if it had as much.
    clues = clues_of([done for done in since if done.number in own], own, [states], beliefs)
    silent = [clue for clue in clues if event.part in clue.change and says_none(clue)]
    chance = chance_seen_by_any(silent, states, states.axes[0], beliefs)
    if chance >= beliefs.seen_at_least:
        words = say(
            "The {part} was replaced and showed nothing since, in checks that would have shown play there.",
            part=part.name,
        )
        return Repair(part.id, part.name, event.after_check, True, chance, words, "")
    best = best_setup(part, states, found.tables, beliefs)
    words = say(
        "The {part} was replaced; what was done since would show play there with a chance of {chance}.",
        part=part.name,
        chance=Percent(chance),
    )
    return Repair(part.id, part.name, event.after_check, False, chance, words, setup_words(best))
