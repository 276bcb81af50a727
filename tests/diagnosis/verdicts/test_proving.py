"""What nothing proved: why, and by which way it would be, also where the first could not be gone."""

from __future__ import annotations

from collections.abc import Mapping

from looseends.diagnosis.judge import judgement_of
from looseends.diagnosis.tables.table import ResponseTable
from looseends.diagnosis.verdicts.policy_file import load_policy
from looseends.inspection.types import NotChecked, Unproven
from looseends.vehicle.setup import Setup
from tests.diagnosis.made_tables import CARRIER, ON_ARM, ON_FRAME, growing, made_table, states_of
from tests.diagnosis.made_visits import made_diagnosed

WHEEL126 = Setup("wheel126", "arm", "left", "held", "off", 0.0)


def tables(*shares: tuple[Setup, float]) -> dict[Setup, ResponseTable]:
    """Setups that show a share of the carrier's play."""
    (states,) = states_of(CARRIER)
    return {setup: made_table({CARRIER: growing(states, {0: share})}, setup=setup) for setup, share in shares}


def unproven(over: Mapping[Setup, ResponseTable], *skipped: NotChecked) -> Unproven:
    """What is said of the carrier, which nobody looked at."""
    (entry,) = judgement_of(made_diagnosed(over, [CARRIER], not_checked=skipped), load_policy()).unproven
    return entry


def test_a_part_that_was_left_out_keeps_its_reason_and_is_offered_the_next_best_way() -> None:
    found = unproven(tables((ON_ARM, 1.0), (WHEEL126, 0.4)), NotChecked(1, CARRIER, "the stand slipped"))
    assert found.why == "Not checked: the stand slipped"
    assert (found.proving_check, found.proving_support) == ("bj-axial", "arm")
    first, then = found.proving_words.split("If that cannot be done: ")
    assert "Lift the wheel with a bar" in first
    assert "Shake the wheel at 12 and 6 o'clock" in then


def test_another_support_is_another_way() -> None:
    found = unproven(tables((ON_ARM, 1.0), (ON_FRAME, 0.7)), NotChecked(1, CARRIER, "seized"))
    assert "held at the frame" in found.proving_words.split("If that cannot be done: ")[1]


def test_where_nothing_else_shows_it_that_is_said() -> None:
    found = unproven(tables((ON_ARM, 1.0), (WHEEL126, 0.01)), NotChecked(1, CARRIER, "seized"))
    assert found.proving_words.endswith("If that cannot be done: no other check shows it well.")


def test_a_part_that_nobody_left_out_is_offered_its_best_way_alone() -> None:
    found = unproven(tables((ON_ARM, 1.0), (WHEEL126, 0.7)))
    assert "If that cannot be done" not in found.proving_words
    assert "Not checked" not in found.why


def test_a_part_left_out_without_a_reason_says_so() -> None:
    found = unproven(tables((ON_ARM, 1.0)), NotChecked(1, CARRIER, ""))
    assert found.why == "It was left out, and nobody wrote down why."


def test_a_check_that_was_left_out_gives_its_reason_and_another_is_offered() -> None:
    found = unproven(tables((ON_ARM, 1.0), (ON_FRAME, 0.5), (WHEEL126, 0.4)), NotChecked(1, "bj-axial", "no bar"))
    assert "Lift the wheel with a bar was not done: no bar" in found.why
    assert "Shake the wheel at 12 and 6 o'clock" in found.proving_words.split("If that cannot be done: ")[1]


def test_a_check_that_was_left_out_is_not_advised_next() -> None:
    over = tables((ON_ARM, 1.0), (WHEEL126, 0.4))
    for skipped, first in (((), "bj-axial"), ((NotChecked(1, "bj-axial", "no bar"),), "wheel126")):
        told = judgement_of(made_diagnosed(over, [CARRIER], not_checked=skipped, odds={CARRIER: 0.0}), load_policy())
        assert told.next_checks[0].setup.check == first
