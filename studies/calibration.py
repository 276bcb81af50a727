"""Calibration of probabilities against what was drawn: the slope of a logistic regression."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.optimize import minimize
from scipy.special import expit

from looseends.mechanics.bodies import Array


def calibration_slope(marginals: Sequence[tuple[float, bool]]) -> float:
    """Slope of a logistic regression of worn on the log odds of the marginals; 1 is calibrated, less is too sure.

    Source: D. R. Cox, Biometrika 45 (1958) 562-565 (from memory).
    """
    return calibration(marginals)[0]


def calibration(marginals: Sequence[tuple[float, bool]]) -> tuple[float, float]:
    """That slope with its standard error, marginals taken as independent; 0 and 0 for fewer than ten.

    Source: Fisher information of a logistic regression.
    """
    if len(marginals) < 10:
        return 0.0, 0.0
    p = np.clip(np.array([m for m, _ in marginals]), 1e-6, 1.0 - 1e-6)
    x, y = np.log(p / (1.0 - p)), np.array([float(w) for _, w in marginals])
    design = np.column_stack([np.ones_like(x), x])

    def loss(beta: Array) -> float:
        return float(np.sum(np.logaddexp(0.0, design @ beta) - y * (design @ beta)))

    def slope_of_loss(beta: Array) -> Array:
        return np.asarray(design.T @ (expit(design @ beta) - y))

    beta = minimize(loss, np.array([0.0, 1.0]), jac=slope_of_loss, method="BFGS").x
    told = expit(design @ beta)
    information = design.T @ (design * (told * (1.0 - told))[:, None])
    return float(beta[1]), float(np.sqrt(np.linalg.pinv(information)[1, 1]))
