"""What is believed of a visit's vehicle before any movement is read: use, conditions, and symptoms to be explained."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.catalogue.causes import Cause
from looseends.diagnosis.beliefs import Beliefs, load_beliefs
from looseends.diagnosis.inference.practice import look_by_learner
from looseends.diagnosis.inference.prior import Prior
from looseends.diagnosis.observed.circumstances import ConditionFigures, SymptomFigures, load_circumstances
from looseends.diagnosis.observed.complaints import meant_in_catalogue
from looseends.diagnosis.observed.look_history import Looked, look_after
from looseends.diagnosis.observed.looked import Look, look_at, looks_done
from looseends.diagnosis.observed.symptoms import Symptom, Witnesses
from looseends.diagnosis.tables.states import PartStates, log_odds
from looseends.inspection.types import ConditionSeen, SymptomSeen, Use, Visit, Wheel
from looseends.mechanics.bodies import Array
from looseends.vehicle.vehicle import Part


def believed_before(
    visit: Visit, states: Sequence[PartStates], beliefs: Beliefs
) -> tuple[tuple[PartStates, ...], Prior]:
    """States with their weights, and the prior over sets, from all that a visit records beside movement."""
    odds = {s.part.id: log_odds(s.part, beliefs) + log_use_factor(s.part, visit.use, visit.odometer_km) for s in states}
    weighed, odds = with_conditions(states, odds, visit.conditions, visit.learners, beliefs)
    parts = [s.part for s in states]
    return weighed, Prior(odds, witnessed(visit, parts))


def log_use_factor(part: Part, use: Use, odometer_km: float | None) -> float:
    """Log of the factor on a part's odds of wear by distance, age, work and rust; 0 where nothing is known.

    Rubber grows old, what slides or rolls wears with distance, and rust takes some joints more than others.
    """
    figures, figure = load_circumstances().use, part.figure
    if figure is None:
        return 0.0
    rubber = figure.shape == "rubber"
    factor = 1.0
    if odometer_km is not None and not rubber:
        factor *= (odometer_km / figures.reference_km) ** figures.distance_power
    if use.age_years is not None and rubber:
        factor *= (use.age_years / figures.reference_years) ** figures.age_power
    factor = float(np.clip(factor, figures.least_factor, figures.most_factor))
    if use.work == "hard":
        factor *= figures.hard_work_factor
    if use.rust != "none":
        factor *= figures.rust_factor_by_sensitivity[use.rust][figure.corrosion_sensitivity or 0]
    return float(np.log(factor))


@dataclass(frozen=True)
class StateEvidence:
    """A condition seen on a part, or looked for and absent: it speaks of that part's play alone."""

    figures: ConditionFigures
    present: bool

    def log_likelihood(self, states: PartStates) -> tuple[Array, float]:
        """Log likelihood (s,) in every worn state, and that of a sound part."""
        worn, sound = self._chances(states)
        if not self.present:
            worn, sound = 1.0 - worn, 1.0 - sound
        return np.log(worn), float(np.log(sound))

    def sample(self, states: PartStates, state: int | None, rng: np.random.Generator) -> bool:
        """Whether the condition is there, drawn for a worn state, or for a sound part."""
        worn, sound = self._chances(states)
        return bool(rng.random() < (sound if state is None else worn[state]))

    def _chances(self, states: PartStates) -> tuple[Array, float]:
        figures = self.figures
        if figures.axis is None or figures.axis not in states.axes:
            # Only the ratio counts: odds are multiplied.
            factor = figures.odds_factor or 1.0
            return np.full(len(states.weight), 0.1 * factor), 0.1
        axis = states.axes.index(figures.axis)
        beyond = states.clearance(axis) >= states.reject[axis]
        return np.where(beyond, figures.seen_if_beyond, figures.seen_if_within), figures.seen_if_within


@dataclass(frozen=True)
class LookEvidence:
    """A look that was done of a part, and whether it found something: it shows wear of any size alike."""

    look: Look
    present: bool

    def log_likelihood(self, states: PartStates) -> tuple[Array, float]:
        """Log likelihood (s,) in every worn state, and that of a sound part."""
        worn, sound = self.look.chance, self.look.false_call
        if not self.present:
            worn, sound = 1.0 - worn, 1.0 - sound
        return np.full(len(states.weight), np.log(worn)), float(np.log(sound))

    def sample(self, states: PartStates, state: int | None, rng: np.random.Generator) -> bool:
        """Whether the look finds something, drawn for a worn state, or for a sound part."""
        return bool(rng.random() < (self.look.false_call if state is None else self.look.chance))


def with_conditions(
    states: Sequence[PartStates],
    odds: Mapping[str, float],
    conditions: Sequence[ConditionSeen],
    learners: Collection[str] = (),
    beliefs: Beliefs | None = None,
) -> tuple[tuple[PartStates, ...], dict[str, float]]:
    """States and log odds with what conditions say of their parts' play, by some beliefs about looks."""
    beliefs = beliefs or load_beliefs()
    known, weighed, changed = load_circumstances().conditions, [], dict(odds)
    for s in states:
        for seen in conditions:
            if seen.part == s.part.id and seen.condition in known:
                worn, sound = StateEvidence(known[seen.condition], seen.present).log_likelihood(s)
                ratio = s.weight * np.exp(worn - sound)
                changed[s.part.id] += float(np.log(ratio.sum()))
                s = replace(s, weight=ratio / ratio.sum())
        for evidence in looks_taken(s.part, conditions, learners, beliefs):
            worn, sound = evidence.log_likelihood(s)
            changed[s.part.id] += float(worn[0] - sound)  # of wear of any size alike: the weights stay
        weighed.append(s)
    return tuple(weighed), changed


def looks_taken(
    part: Part, conditions: Sequence[ConditionSeen], learners: Collection[str], beliefs: Beliefs
) -> list[LookEvidence]:
    """What each look at a part says, after those before it: what misled may mislead again."""
    history = looks_in_order(part, conditions, learners, beliefs)
    return [
        LookEvidence(look_after(one.look, history[:before], beliefs.looks_alike), one.present)
        for before, one in enumerate(history)
    ]


def looks_in_order(
    part: Part, conditions: Sequence[ConditionSeen], learners: Collection[str], beliefs: Beliefs
) -> list[Looked]:
    """The looks at a part in their order, each with the chances of who took it."""
    history = []
    for seen in looks_done(part.id, part.kind.id, conditions):
        look = look_at(seen.condition, part.kind.id)
        assert look is not None
        look = look_by_learner(look, beliefs.learner) if seen.observer in learners else look
        history.append(Looked(look, seen.present))
    return history


def witnessed(visit: Visit, parts: Sequence[Part]) -> tuple[Symptom | Witnesses, ...]:
    """All symptoms of a visit; what was told and noticed on the road too is one symptom with two witnesses."""
    said = [(frozenset({record.id}), record.kind) for record in visit.symptoms]
    symptoms = list(symptoms_of(visit.symptoms, parts))
    if in_words := symptoms_in_words(visit, parts):
        said.append((frozenset(complaint.id for complaint in meant_in_catalogue(visit.complaint)), "complaint"))
        symptoms += in_words
    groups: list[tuple[frozenset[str], list[Symptom]]] = []
    for (ids, kind), symptom in zip(said, symptoms, strict=True):
        same = [group for group in groups if kind != "tire" and group[0] & ids]
        if same:
            same[0][1].append(symptom)
        else:
            groups.append((frozenset() if kind == "tire" else ids, [symptom]))
    alike = load_circumstances().witnesses_alike
    return tuple(each[0] if len(each) == 1 else Witnesses(tuple(each), alike) for _, each in groups)


def symptoms_of(seen: Sequence[SymptomSeen], parts: Sequence[Part]) -> tuple[Symptom, ...]:
    """What was told, noticed on the road or seen on the tires, with the parts of this vehicle that may cause it."""
    catalogue, found = load_catalogue(), []
    for record in seen:
        named = catalogue.wear_patterns[record.id] if record.kind == "tire" else catalogue.complaints[record.id]
        figures = load_circumstances().symptoms[record.kind]
        causes = _causing(parts, named.causes, figures, record.wheel)
        found.append(Symptom(named.name, record.present, causes, figures.otherwise))
    return tuple(found)


def symptoms_in_words(visit: Visit, parts: Sequence[Part]) -> tuple[Symptom, ...]:
    """What the customer's own words tell: one symptom, for they may be like several complaints and are said once.

    Each part causes it with the most that one of these complaints gives it. Words that are like no complaint tell
    nothing, and who wrote down complaints of the catalogue has read the words already: then those alone count.
    """
    meant = meant_in_catalogue(visit.complaint)
    if not meant or any(symptom.kind == "complaint" for symptom in visit.symptoms):
        return ()
    figures = load_circumstances().symptoms["complaint"]
    causes = _causing(parts, [cause for complaint in meant for cause in complaint.causes], figures, None)
    return (Symptom(visit.complaint, True, causes, figures.otherwise),)


def _causing(
    parts: Sequence[Part], causes: Sequence[Cause], figures: SymptomFigures, wheel: Wheel | None
) -> dict[str, float]:
    """Chance that each part, worn, causes a symptom; parts that cannot are left out."""
    return {part.id: chance for part in parts if (chance := _chance(part, causes, figures, wheel))}


def _chance(part: Part, causes: Sequence[Cause], figures: SymptomFigures, wheel: Wheel | None) -> float:
    """Chance that this part, worn, causes the symptom: by the strongest cause that points to it."""
    chances = [figures.by_weight[c.weight] for c in causes if {part.kind.id, part.kind.group} & set(c.points_to)]
    chance = max(chances, default=0.0)
    if wheel is None or _at_wheel(part, wheel):
        return chance
    return chance * figures.elsewhere


def _at_wheel(part: Part, wheel: Wheel) -> bool:
    """Whether a part is of a wheel or of its axle's middle."""
    end, side = wheel.split("-")
    of_rear = part.kind.id.startswith(("rear-", "leaf-", "trailing-", "twist-", "semi-"))
    return of_rear == (end == "rear") and part.side in (None, side)
