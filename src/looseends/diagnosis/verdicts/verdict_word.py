"""The verdict word on a part: what its readings, its conditions, the law and the policy make of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from looseends.catalogue.types import VerdictWord
from looseends.diagnosis.observed.evidence import Clue
from looseends.diagnosis.observed.looked import Look, look_at, looked_over
from looseends.diagnosis.tables.states import PartStates
from looseends.diagnosis.verdicts.all_read import AllRead
from looseends.diagnosis.verdicts.remarks import unresolved, watched_part
from looseends.diagnosis.verdicts.rules import Rules
from looseends.inspection.types import ConditionSeen, Grounds
from looseends.vehicle.vehicle import Part

GRAVITY_OF: Mapping[VerdictWord, int] = {"unsafe": 4, "replace": 3, "plan": 2, "sound": 1, "unproven": 0}
"""Verdicts in order; the gravest of a part's counts."""


@dataclass(frozen=True)
class PartEvidence:
    """Everything that a verdict on one part rests on."""

    part: Part
    states: PartStates | None
    read: AllRead
    conditions: Sequence[ConditionSeen]
    rules: Rules = field(default_factory=Rules)

    @cached_property
    def worn_chance(self) -> float:
        """Posterior chance that the part is worn."""
        return 0.0 if self.states is None else self.read.posterior.marginal(self.part.id)

    @cached_property
    def looked(self) -> Look | None:
        """The look that was done of the part and found nothing."""
        return looked_over(self.part.id, self.part.kind.id, self.rules.looked_for)

    def doubted(self, seen: ConditionSeen) -> bool:
        """Whether another look did not find a condition as which wear shows, and the wear is not proven either."""
        if self.states is None or self.worn_chance >= self.read.beliefs.worn_at_least:
            return False
        return look_at(seen.condition, self.part.kind.id) is not None and any(
            other.part == seen.part and other.condition == seen.condition and not other.present
            for other in self.rules.looked_for
        )

    @property
    def own_clues(self) -> list[Clue]:
        """Readings that this part can move."""
        return [clue for clue in self.read.clues if self.part.id in clue.change]

    @property
    def sound_at_most(self) -> float:
        """Chance to be worn up to which the part may be called sound."""
        return self.rules.policy.sound_at_most(self.part.kind.group, self.read.beliefs)


@dataclass(frozen=True)
class Told:
    """What readings and looks say of a part's play.

    `seen`: the chance that they would have shown it at its reject clearance; `against`: readings at the part that show
    play and that nothing explains.
    """

    verdict: VerdictWord
    seen: float = 0.0
    against: Sequence[Clue] = ()


@dataclass(frozen=True)
class Weighed:
    """A part's verdict, and what went into it.

    `play` is the verdict of what was read, by the law too; `beyond` the grounds of that law; `by_conditions` what each
    condition carries, with what law and policy add to its grounds.
    """

    verdict: VerdictWord
    told: Told
    play: VerdictWord
    beyond: Sequence[Grounds]
    by_conditions: Sequence[tuple[VerdictWord, Sequence[Grounds]]]


def weighed(evidence: PartEvidence) -> Weighed:
    """The gravest of what a part's conditions, its posterior and the law say."""
    part, rules = evidence.part, evidence.rules
    told = _told(evidence)
    beyond = rules.beyond_law.get(part.id, ())
    play = gravest([told.verdict, "replace"]) if beyond else told.verdict
    tight = told.verdict == "sound" and not beyond
    ruled = [
        ("unproven", ()) if evidence.doubted(condition) else rules.condition(condition, part, tight=tight)
        for condition in evidence.conditions
    ]
    return Weighed(gravest([play, *(word for word, _ in ruled)]), told, play, beyond, ruled)


def gravest(verdicts: Sequence[VerdictWord]) -> VerdictWord:
    """The one that counts."""
    return max(verdicts, key=GRAVITY_OF.__getitem__)


def _told(evidence: PartEvidence) -> Told:
    """What the readings say about play."""
    states, beliefs, looked = evidence.states, evidence.read.beliefs, evidence.looked
    if states is None:
        sure = looked is not None and looked.chance >= beliefs.seen_at_least and not evidence.conditions
        return Told("sound" if sure else "unproven")
    chance = evidence.worn_chance
    if chance >= beliefs.worn_at_least:
        return Told(_play_verdict(evidence, states))
    seen = evidence.read.seen_by_any(states)
    if looked is not None:
        seen = 1.0 - (1.0 - seen) * (1.0 - looked.chance)
    if chance > evidence.sound_at_most or seen < beliefs.seen_at_least:
        return Told("unproven", seen)
    own = [clue for clue in evidence.read.clues if watched_part(clue.reading.watch) == states.part.id]
    against = unresolved(own, evidence.read.posterior, beliefs)
    return Told("unproven" if against else "sound", seen, against)


def _play_verdict(evidence: PartEvidence, states: PartStates) -> VerdictWord:
    if evidence.part.kind.play == "none":
        return "replace"
    weights = evidence.read.posterior.state_weights(states.part.id)
    beyond = float(weights[states.beyond_reject].sum() / max(weights.sum(), 1e-30))
    return "replace" if beyond >= evidence.read.beliefs.beyond_reject_at_least else "plan"
