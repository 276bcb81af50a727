"""What doubt about shares adds where several worn parts move a reading: nothing that fits already gets likelier."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from looseends.diagnosis.inference.views import doubted

GAINS = st.floats(-30.0, 10.0)


@given(GAINS, GAINS, GAINS)
def test_invariant_no_more_than_together_or_the_best_alone(together: float, doubt: float, best: float) -> None:
    found = float(doubted(np.array(together), np.array(doubt), np.array(best)))
    assert found <= max(together, best)
    assert found <= together + doubt


def test_exact_two_parts_that_hide_each_other_are_no_likelier_than_a_sound_vehicle() -> None:
    """Each alone is off by far and its doubt saves much of it; together they show what a sound vehicle shows."""
    alone, at_mean_share = -3.8, -6.9
    doubt = 2.0 * (alone - at_mean_share)
    assert float(doubted(np.array(0.0), np.array(doubt), np.array(alone))) == 0.0


def test_exact_where_doubt_makes_it_less_likely_it_counts_in_full() -> None:
    assert float(doubted(np.array(2.0), np.array(-0.5), np.array(1.0))) == 1.5
