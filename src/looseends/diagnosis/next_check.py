"""Which check tells most per minute: expected information about the worn set, by hand grades."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.detect import best_by_hand
from looseends.diagnosis.explanation import Explanation, Posterior
from looseends.diagnosis.likelihood import grade_chances
from looseends.diagnosis.proving import best_setup
from looseends.diagnosis.states import PartStates
from looseends.diagnosis.table import ResponseTable
from looseends.inspection.types import NextCheck
from looseends.language import say
from looseends.mechanics.bodies import Array
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Vehicle

_SETS = 40
_DRAWS = 400
_TELLS = 0.3
"""A setup is said to tell about a part whose play at the reject clearance it shows by hand with this chance."""


def next_checks(
    vehicle: Vehicle,
    posterior: Posterior,
    tables: Mapping[Setup, ResponseTable],
    done: Sequence[Setup],
    passed_without_proof: Sequence[PartStates],
    beliefs: Beliefs,
    count: int = 3,
) -> tuple[NextCheck, ...]:
    """The most telling checks that were not done in this setup yet, best first.

    A part that stands on record as tight without proof comes before all: what is written there may be trusted.
    """
    here = done[-1].support if done else None
    ranked = []
    for setup, table in tables.items():
        if setup in done:
            continue
        bits = expected_information(posterior, table, beliefs)
        minutes = load_catalogue().checks[setup.check].minutes
        minutes += 0.0 if setup.support == here else beliefs.support_change_minutes
        ranked.append((bits / minutes, bits, minutes, setup, table))
    ranked.sort(key=lambda entry: -entry[0])
    proving = {best_setup(s.part, s, tables, beliefs): s.part.name for s in reversed(passed_without_proof)}
    ranked.sort(key=lambda entry: entry[3] not in proving)
    return tuple(
        _described(vehicle, posterior, *entry[1:], proving.get(entry[3]), beliefs)
        for entry in ranked[:count]
        if entry[1] > 0.01 or entry[3] in proving
    )


def expected_information(posterior: Posterior, table: ResponseTable, beliefs: Beliefs) -> float:
    """Expected information [bits] that hand grades at all watches of a setup give about which set is worn.

    Watches are taken as independent given the set; the entropy of their joint is drawn with fixed numbers.
    Source: mutual information, C. E. Shannon, Bell System Technical Journal 27 (1948) 379-423.
    """
    leading = posterior.leading(_SETS)
    weight = np.array([p for _, p in leading])
    weight /= weight.sum()
    chances = np.array([_grade_table(explanation, posterior, table, beliefs) for explanation, _ in leading])
    telling = np.flatnonzero(np.ptp(chances, axis=0).max(axis=1) > 0.02)
    if not telling.size:
        return 0.0
    logs = np.log(chances[:, telling])
    rng = np.random.default_rng(0)
    drawn_set = rng.choice(len(weight), _DRAWS, p=weight)
    steps = np.cumsum(chances[drawn_set][:, telling], axis=-1)
    grades = (rng.random((_DRAWS, len(telling)))[..., None] > steps[..., :-1]).sum(axis=-1)
    picked = np.take_along_axis(logs[None], grades[:, None, :, None].repeat(len(weight), 1), axis=3)[..., 0]
    joint = picked.sum(axis=2)
    own = joint[np.arange(_DRAWS), drawn_set]
    mixture = np.log(np.exp(joint) @ weight)
    return float(max(0.0, np.mean(own - mixture)) / np.log(2.0))


def _grade_table(explanation: Explanation, posterior: Posterior, table: ResponseTable, beliefs: Beliefs) -> Array:
    """Chance (k, 4) of each hand grade at each watch, averaged over the set's states."""
    observer = load_catalogue().observers["hand"]
    change = np.zeros((1, len(table.watches), 2))
    weights = np.ones(1)
    for name in explanation.parts:
        states = posterior.states[name]
        marginal = explanation.state_weights(name, len(states.weight))
        keep = np.argsort(-marginal)[:6]
        part = table.change(name, len(states.weight))[keep]
        change = (change[:, None] + part[None, :]).reshape(-1, len(table.watches), 2)
        weights = (weights[:, None] * marginal[keep][None, :]).reshape(-1)
    spread = np.sqrt(table.spread**2 + beliefs.floor_mm**2 + (beliefs.share_of_change * change) ** 2)
    chances = grade_chances(observer, np.maximum(table.sound + change, 0.0), spread)
    return np.asarray(np.tensordot(weights / weights.sum(), chances, axes=1))


def _described(
    vehicle: Vehicle,
    posterior: Posterior,
    bits: float,
    minutes: float,
    setup: Setup,
    table: ResponseTable,
    unproven: str | None,
    beliefs: Beliefs,
) -> NextCheck:
    doubtful = {
        vehicle.parts[name].name: posterior.marginal(name)
        for name, states in posterior.states.items()
        if best_by_hand(table, states, states.axes[0], beliefs)[0] > _TELLS
    }
    apart = [name for name, chance in doubtful.items() if 0.02 < chance < beliefs.worn_at_least]
    apart = sorted(apart, key=lambda name: -doubtful[name])[:3]
    if unproven is not None:
        reason = say("{part} is on record as tight, from a check that could not have shown its play", part=unproven)
    elif apart:
        reason = say("tells most per minute about {parts}", parts=tuple(apart))
    else:
        reason = say("tells most per minute about parts not looked at yet")
    # The table's: a check's own list is for every vehicle, and names parts that this one has not.
    return NextCheck(setup, table.watches, minutes, bits, tuple(apart), reason)
