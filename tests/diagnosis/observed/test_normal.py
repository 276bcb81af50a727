"""The normal distribution's function against the library's (independent)."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import ndtr as library_ndtr

from looseends.diagnosis.normal import ndtr


@pytest.mark.parametrize(("reach", "within"), [(8.0, 5e-14), (30.0, 5e-13)])
def test_independent_chances_as_by_the_library(reach: float, within: float) -> None:
    x = np.linspace(-reach, reach, 20_001)
    assert np.max(np.abs(ndtr(x) / library_ndtr(x) - 1.0)) < within


def test_exact_middle_and_far_ends() -> None:
    assert ndtr(np.array([[-np.inf, 0.0, np.inf]])) == pytest.approx(np.array([[0.0, 0.5, 1.0]]), abs=1e-14)
    assert ndtr(-2.0).shape == ()


def test_invariant_rises() -> None:
    assert np.all(np.diff(ndtr(np.linspace(-37.0, 5.0, 50_001))) > 0.0)
