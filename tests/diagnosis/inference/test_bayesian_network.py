"""The posterior against a Bayesian network of parts, symptoms, conditions and grades that another library solves.

A part is a node with its states, a symptom the library's own noisy-or, a condition a node under its part, a grade a
table of chances under the parts that move its watch. Those chances are written out in tests/diagnosis/enumeration.py.

Source: C. Gonzales, L. Torti, P.-H. Wuillemin, aGrUM, a Graphical Universal Model framework, 2017 (from memory).
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

import numpy as np
import pytest

from looseends.catalogue import load_catalogue
from looseends.diagnosis.inference.before import with_conditions
from looseends.diagnosis.inference.posterior import posterior
from looseends.diagnosis.inference.prior import Prior
from looseends.diagnosis.observed.circumstances import load_circumstances
from looseends.diagnosis.observed.evidence import clues_of
from looseends.diagnosis.observed.symptoms import Symptom
from looseends.diagnosis.tables.table import ResponseTable
from looseends.inspection.types import ConditionSeen, Grade, Hidden, Reading
from tests.diagnosis.enumeration import Case
from tests.diagnosis.made_tables import (
    BEARING,
    CARRIER,
    FOLLOWER,
    JAM_NUT,
    TREAD,
    WATCHES,
    beliefs,
    check_done,
    growing,
    made_table,
    seen,
    states_of,
)

with warnings.catch_warnings():  # its compiled types name no module, of which Python warns
    warnings.simplefilter("ignore")
    import pyagrum as gum

PARTS = (JAM_NUT, "sway-bar-bushing-left", "tie-rod-jam-nut-right", "sway-bar-bushing-right")
ODDS = dict(zip(PARTS, (-1.0, -0.7, -1.2, -0.9), strict=True))
MOVED = {JAM_NUT: {0: 1.0, 3: 0.4}, PARTS[1]: {1: 0.9, 3: 0.7}, PARTS[2]: {2: 0.8, 1: 0.5}, PARTS[3]: {2: 0.6, 3: 0.3}}
"""Share of each part's clearance that shows at a watch, by the watch's number; the tread shows three parts."""

GREASED = Hidden(JAM_NUT, "grease")
FLUSH, TORN = "wear-indicator-flush", "torn-boot"


def read(watch: str, by: str, grade: Grade) -> Reading:
    """A grade by one of the observers."""
    return Reading(watch, by, None, grade, "")  # type: ignore[arg-type]


@dataclass(frozen=True)
class Told:
    """What a made visit says."""

    readings: tuple[Reading, ...]
    symptoms: tuple[Symptom, ...] = ()
    conditions: tuple[ConditionSeen, ...] = ()
    hidden: tuple[Hidden, ...] = ()


WANDERS = Symptom("wanders", True, {JAM_NUT: 0.5, PARTS[1]: 0.25}, 0.12)
KNOCKS = Symptom("knocks", False, {PARTS[1]: 0.6, PARTS[3]: 0.3}, 0.05)
VISITS = {
    "grades": Told((read(CARRIER, "hand", "slight"), read(TREAD, "eye", "clear"), read(FOLLOWER, "group", "none"))),
    "ear and feel": Told(
        (read(CARRIER, "ear", "knock"), read(FOLLOWER, "feel", "rising"), read(BEARING, "feel", "dead zone"))
    ),
    "symptoms alone": Told((), (WANDERS, KNOCKS)),
    "conditions": Told(
        (read(TREAD, "hand", "clear"),), (), (seen(JAM_NUT, FLUSH), replace(seen(PARTS[2], FLUSH), present=False))
    ),
    "torn boot": Told((read(TREAD, "ear", "silent"),), (KNOCKS,), (seen(PARTS[1], TORN),)),
    "hidden by grease": Told((read(CARRIER, "hand", "none"), read(BEARING, "hand", "slight")), (), (), (GREASED,)),
    "all of it": Told(
        (read(CARRIER, "ear", "silent"), read(TREAD, "eye", "slight"), read(BEARING, "hand", "clear")),
        (WANDERS, KNOCKS),
        (seen(PARTS[1], TORN), replace(seen(JAM_NUT, FLUSH), present=False)),
    ),
}


HIDDEN_BESIDE_ANOTHER = Told((read(CARRIER, "hand", "none"), read(TREAD, "hand", "slight")), (), (), (GREASED,))
"""A part that is hidden moves the tread together with others, of which one shows."""


def table_of(parts: Sequence[str]) -> ResponseTable:
    """How much every state of every part shows."""
    return made_table({s.part.id: growing(s, MOVED[s.part.id]) for s in states_of(*parts)})


class Network:
    """The same visit as a network: `names` of its nodes that stand for parts, states from 1, 0 for a sound one."""

    def __init__(self, parts: Sequence[str], told: Told) -> None:
        self.net, self.parts, self.told = gum.BayesNet("visit"), tuple(parts), told
        self.states = {s.part.id: s for s in states_of(*parts)}
        self.case = Case(self.states, ODDS, table_of(parts), (), dict.fromkeys(WATCHES, 0.02), beliefs())
        self.hidden = {one.part: load_circumstances().hidden[one.by] for one in told.hidden}
        self.evidence: dict[str, int] = {}
        for part in parts:
            chance = 1.0 / (1.0 + math.exp(-ODDS[part]))
            self._node(part, [], [1.0 - chance, *(chance * self.states[part].weight)])
            self._node(f"worn {part}", [part], [[1.0, 0.0], *[[0.0, 1.0]] * len(self.states[part].weight)])
        for number, symptom in enumerate(told.symptoms):
            self._symptom(f"symptom {number}", symptom)
        for number, condition in enumerate(told.conditions):
            self._condition(f"condition {number}", condition)
        for number, reading in enumerate(told.readings):
            self._grade(f"reading {number}", reading)

    def _node(self, name: str, parents: Sequence[str], chances: Sequence[Any]) -> None:
        """A node with its chances given its parents, the last axis its own."""
        table = np.array(chances, dtype=float)
        self.net.add(gum.LabelizedVariable(name, name, table.shape[-1]))
        for parent in parents:
            self.net.addArc(parent, name)
        for key in product(*(range(size) for size in table.shape[:-1])):
            self.net.cpt(name)[dict(zip(parents, key, strict=True))] = table[key].tolist()

    def _symptom(self, name: str, symptom: Symptom) -> None:
        self.net.addNoisyORNet(gum.LabelizedVariable(name, name, 2), symptom.otherwise)
        for part, chance in symptom.causes.items():
            if part in self.parts:
                self.net.addWeightedArc(f"worn {part}", name, chance)
        self.evidence[name] = int(symptom.present)

    def _condition(self, name: str, condition: ConditionSeen) -> None:
        figures, states = load_circumstances().conditions[condition.condition], self.states[condition.part]
        beyond = [False, *(states.clearance(0) >= states.reject[0])]
        chances = [figures.seen_if_beyond if past else figures.seen_if_within for past in beyond]
        if figures.odds_factor is not None:
            chances = [0.1, *[0.1 * figures.odds_factor] * len(states.weight)]
        self._node(name, [condition.part], [[1.0 - chance, chance] for chance in chances])
        self.evidence[name] = int(condition.present)

    def _grade(self, name: str, reading: Reading) -> None:
        """The grade's chances given the parts that move its watch, where they may be hidden as what then shows."""
        watch = WATCHES.index(reading.watch)
        moving = [part for part in self.parts if watch in MOVED[part]]
        shown = [self._shown(name, part) for part in moving]
        grades = load_catalogue().observers[reading.by].grades
        sizes = [len(self.states[part].weight) + 1 for part in moving]
        rows = np.array([self._row(reading, grades, key, moving) for key in product(*(range(n) for n in sizes))])
        self._node(name, shown, rows.reshape(*sizes, len(grades)))
        self.evidence[name] = grades.index(str(reading.grade))

    def _shown(self, reading: str, part: str) -> str:
        """A node that is in the part's state, or sound with the chance that the part is hidden."""
        if part not in self.hidden:
            return part
        name, states = f"{part} shown in {reading}", np.eye(len(self.states[part].weight) + 1)
        self._node(name, [part], (1.0 - self.hidden[part]) * states + self.hidden[part] * states[0])
        return name

    def _row(self, reading: Reading, grades: Sequence[str], key: Sequence[int], moving: Sequence[str]) -> list[float]:
        worn = tuple((part, number - 1) for part, number in zip(moving, key, strict=True) if number)
        recorded = [replace(reading, grade=grade) for grade in grades]  # type: ignore[arg-type]
        return [self.case.shown_so([one], worn, [(1.0, 1.0)] * len(worn)) for one in recorded]

    def sets(self) -> dict[frozenset[str], float]:
        """Probability of every set of worn parts."""
        solver = gum.LazyPropagation(self.net)
        worn = [f"worn {part}" for part in self.parts]
        solver.addJointTarget(set(worn))
        solver.setEvidence(self.evidence)
        solver.makeInference()
        joint = solver.jointPosterior(set(worn))
        found = {}
        for key in product((0, 1), repeat=len(worn)):
            parts = frozenset(part for part, there in zip(self.parts, key, strict=True) if there)
            found[parts] = float(joint[dict(zip(worn, key, strict=True))])
        return found


def found_sets(parts: Sequence[str], told: Told) -> dict[frozenset[str], float]:
    """Probability of every set as the diagnosis finds it."""
    table, done = table_of(parts), replace(check_done(*told.readings), hidden=told.hidden)
    states, odds = with_conditions(states_of(*parts), {part: ODDS[part] for part in parts}, told.conditions)
    clues = clues_of([done], {1: table}, states, beliefs())
    found = posterior(states, Prior(odds, told.symptoms), clues, beliefs())
    return {frozenset(e.parts): float(p) for e, p in zip(found.explanations, found.probabilities, strict=True)}


def only_of(parts: Sequence[str], told: Told) -> Told:
    """What is told without conditions of other parts."""
    return replace(told, conditions=tuple(c for c in told.conditions if c.part in parts))


def largest(first: Mapping[frozenset[str], float], other: Mapping[frozenset[str], float]) -> float:
    """The largest difference of any set's probability."""
    return max(abs(p - other.get(worn, 0.0)) for worn, p in first.items())


def marginals(sets: Mapping[frozenset[str], float], parts: Sequence[str]) -> dict[str, float]:
    """Chance that each part is worn."""
    return {part: sum(p for worn, p in sets.items() if part in worn) for part in parts}


@pytest.mark.parametrize("parts", [PARTS[:1], PARTS[:2], PARTS[1:3], PARTS[2:]], ids="+".join)
@pytest.mark.parametrize("told", VISITS.values(), ids=VISITS)
def test_independent_up_to_two_parts_as_by_a_bayesian_network(told: Told, parts: tuple[str, ...]) -> None:
    """Here the sum is over all states, so both agree."""
    told = only_of(parts, told)
    found, expected = found_sets(parts, told), Network(parts, told).sets()
    assert found.keys() == expected.keys()
    assert largest(expected, found) < 1e-6
    assert marginals(found, parts) == pytest.approx(marginals(expected, parts), abs=1e-6)
    assert max(found, key=found.__getitem__) == max(expected, key=expected.__getitem__)


@pytest.mark.parametrize("parts", [PARTS[:3], PARTS[1:], PARTS], ids=["three", "other three", "four"])
@pytest.mark.parametrize("told", VISITS.values(), ids=VISITS)
def test_independent_three_and_four_parts_as_by_a_bayesian_network(told: Told, parts: tuple[str, ...]) -> None:
    """Larger sets are grown from leading ones and summed over the states that count: right to a few parts in 10⁴."""
    told = only_of(parts, told)
    found, expected = found_sets(parts, told), Network(parts, told).sets()
    assert largest(expected, found) < 3e-4
    assert marginals(found, parts) == pytest.approx(marginals(expected, parts), abs=3e-4)
    assert max(found, key=found.__getitem__) == max(expected, key=expected.__getitem__)


@pytest.mark.parametrize("parts", [PARTS[:2], PARTS], ids=["two", "four"])
def test_independent_a_hidden_part_that_shares_a_reading_with_another_is_right_to_two_hundredths(
    parts: tuple[str, ...],
) -> None:
    """What each part's doubt adds to a shared reading is taken from where it moves that reading alone."""
    found, expected = found_sets(parts, HIDDEN_BESIDE_ANOTHER), Network(parts, HIDDEN_BESIDE_ANOTHER).sets()
    assert largest(expected, found) < 2e-2
    assert max(found, key=found.__getitem__) == max(expected, key=expected.__getitem__)


def test_exact_the_network_is_told_apart_from_one_with_another_chance() -> None:
    """The comparison has teeth: a symptom's cause a little stronger moves a set by far more than is allowed."""
    parts, told = PARTS[:2], VISITS["symptoms alone"]
    stronger = replace(told, symptoms=(replace(WANDERS, causes={JAM_NUT: 0.51, PARTS[1]: 0.25}), KNOCKS))
    assert largest(found_sets(parts, told), Network(parts, stronger).sets()) > 1e-4
