"""People who call everything at least slight are taken so; people who do not are not."""

from __future__ import annotations

import numpy as np
import pytest

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import watches_of
from looseends.diagnosis.inference.diagnose import weighed
from looseends.diagnosis.inference.overcalling import CALLED_UP, suspected
from looseends.diagnosis.inference.prior import Prior
from looseends.diagnosis.observed.grade import Grade
from looseends.diagnosis.tables.states import worn_axes
from looseends.inspection.types import Grade as GradeWord
from looseends.vehicle.setup import Setup
from tests.diagnosis.made_tables import beliefs, by_hand, growing, made_clues, made_table, states_of, yard_pickup

SHAKE = Setup("wheel39", "frame", "left", "held", "off", 0.0)
PARTS = tuple(
    watch.part
    for watch in watches_of(load_catalogue().checks["wheel39"], "left")
    if watch.part == watch.id and watch.part in yard_pickup().parts and worn_axes(yard_pickup().parts[watch.part])
)


def read(*grades: GradeWord) -> tuple[Prior, tuple[str, ...], float]:
    """Prior, who is taken as calling everything, and the largest chance that a part is worn, one grade a part."""
    states = states_of(*PARTS)
    singles = {s.part.id: growing(s, {n: 1.0}, len(PARTS)) for n, s in enumerate(states)}
    table = made_table(singles, setup=SHAKE, watches=PARTS, sound=[[0.02, 0.01]] * len(PARTS), spread=0.02)
    clues = made_clues(table, states, *(by_hand(part, grade) for part, grade in zip(PARTS, grades, strict=True)))
    prior = Prior(dict.fromkeys(PARTS, -3.0))
    found = weighed(states, prior, clues, beliefs())
    return prior, found.overcalling, max(found.posterior.marginal(part) for part in PARTS)


def test_who_calls_all_slight_is_taken_so_and_nothing_is_blamed() -> None:
    _, who, largest = read(*["slight"] * len(PARTS))
    assert who == ("Ines Calder",)
    assert largest < 0.2


def test_who_calls_all_slight_still_finds_what_is_gross() -> None:
    _, who, largest = read(*["slight"] * (len(PARTS) - 1), "gross")
    assert who == ("Ines Calder",)
    assert largest > 0.4


@pytest.mark.parametrize("slight", [1, 2])
def test_who_calls_most_things_still_is_believed(slight: int) -> None:
    _, who, largest = read(*["none"] * (len(PARTS) - slight), *["slight"] * slight)
    assert who == ()
    assert largest > 0.3


def test_few_grades_tell_nothing_about_a_person() -> None:
    states = states_of(PARTS[0])
    table = made_table({PARTS[0]: growing(states[0], {0: 1.0}, 1)}, setup=SHAKE, watches=PARTS[:1])
    assert suspected(made_clues(table, states, by_hand(PARTS[0], "slight"))) == ()


def test_exact_what_is_called_up_moves_from_nothing_to_slight() -> None:
    observer = load_catalogue().observers["hand"]
    movement, spread = np.array([0.05, 0.02]), np.array([0.02, 0.02])
    plain = [float(np.exp(Grade(g, observer).log_likelihood(movement, spread))) for g in range(4)]
    up = [float(np.exp(Grade(g, observer, called_up=CALLED_UP).log_likelihood(movement, spread))) for g in range(4)]
    assert up[0] == pytest.approx(0.1 * plain[0])
    assert up[1] == pytest.approx(plain[1] + 0.9 * plain[0])
    assert up[2:] == plain[2:]
