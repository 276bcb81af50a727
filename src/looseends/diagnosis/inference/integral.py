"""The integral of all readings' likelihood over what they share, by Laplace's rule, in many states at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from looseends.diagnosis.inference.readings import Stack, expansions, stacks_of
from looseends.diagnosis.observed.likelihood import Evidence, GaugeReading
from looseends.mechanics.bodies import Array

_WIDENED = (1.0, 0.2, 0.03, 0.0, 0.0)
"""Share of the shared variance that is left with each reading while z is sought: from wide to none, so that no reading
is given up as wrong before z had a chance to explain it."""


@dataclass(frozen=True)
class Rows:
    """All readings in n states: evidence (k), movement (n, k, 2) [mm] and the spread (n, k, 2) [mm] of each alone.

    `otherwise` (n, k): log likelihood that each has besides, whatever all readings share.
    """

    evidence: Sequence[Evidence]
    movement: Array
    own: Array
    otherwise: Array | float = -np.inf

    @cached_property
    def _stacks(self) -> tuple[Stack, ...]:
        return stacks_of(self.evidence)

    @cached_property
    def _least(self) -> Array:
        """Least movement (k, 1) [mm]: none; but a gauge's shift may take back what is read into a dead zone."""
        return np.array([[-np.inf if isinstance(one, GaugeReading) else 0.0] for one in self.evidence])

    def expanded(self, shift: Array, more: Array) -> tuple[Array, Array, Array]:
        """Log likelihood, slope and information (n, k) with movements shifted [mm] and variances widened [mm^2]."""
        movement = np.maximum(self.movement + shift[..., None], self._least)
        value, slope, information = expansions(self._stacks, movement, np.sqrt(self.own**2 + more[..., None]))
        every = np.logaddexp(value, self.otherwise)
        share = np.exp(value - every)
        return every, share * slope, share * information


@dataclass(frozen=True)
class Loadings:
    """How far [mm] shared errors of one standard deviation shift every reading.

    `common` (k, f): the same in all states; `own` (n, k, p): by what each state moves.
    """

    common: Array
    own: Array

    def shift(self, z: Array) -> Array:
        """Shift (n, k) [mm] of every reading by errors z (n, f + p)."""
        count = self.common.shape[1]
        return np.asarray(z[:, :count] @ self.common.T + np.matmul(self.own, z[:, count:, None])[..., 0])

    def pull(self, each: Array) -> Array:
        """Sum (n, f + p) over the readings of some number (n, k) of each by its loading."""
        own = np.matmul(each[:, None], self.own)[:, 0]
        return np.concatenate([each @ self.common, own], axis=1)

    def precision(self, information: Array) -> Array:
        """Inverse covariance (n, f + p, f + p) of z after readings of this information (n, k) [1/mm2]."""
        states, count = len(information), self.common.shape[1]
        weighted = self.own * information[..., None]
        found = np.empty((states, count + self.own.shape[2], count + self.own.shape[2]))
        # What is common to all states is one product, and not one of each.
        found[:, :count, :count] = (information @ self._squares).reshape(states, count, count)
        found[:, count:, :count] = np.tensordot(weighted, self.common, axes=(1, 0))
        found[:, :count, count:] = found[:, count:, :count].transpose(0, 2, 1)
        found[:, count:, count:] = np.matmul(weighted.transpose(0, 2, 1), self.own)
        return found + np.eye(found.shape[1])

    @cached_property
    def _squares(self) -> Array:
        """Products (k, f f) of every two common loadings of a reading."""
        return np.asarray((self.common[:, :, None] * self.common[:, None, :]).reshape(len(self.common), -1))

    @property
    def variance(self) -> Array:
        """Variance (n, k) [mm2] of every reading by what is shared."""
        return np.asarray(np.sum(self.common**2, axis=1) + np.sum(self.own**2, axis=2))


def log_integral(rows: Rows, loadings: Loadings) -> Array:
    """Log of the integral (n,) of all readings' likelihood over z.

    Source: Laplace's rule; D. J. C. MacKay, Information Theory, Inference, and Learning Algorithms, 2003, chapter 27
    (from memory). Slopes and information as in Fisher's scoring.
    """
    shared = loadings.variance
    shift: Array = np.zeros_like(shared)
    z: Array = np.zeros((len(shared), 0))
    for widened in _WIDENED:
        _, slope, information = rows.expanded(shift, widened * shared)
        pull = loadings.pull(slope + information * shift)
        z = np.asarray(np.linalg.solve(loadings.precision(information), pull[..., None]), dtype=float)[..., 0]
        shift = loadings.shift(z)
    value, _, information = rows.expanded(shift, np.zeros_like(shared))
    # Positive definite by what it is: the determinant is the product of the squared diagonal of its root.
    root = np.diagonal(np.linalg.cholesky(loadings.precision(information)), axis1=1, axis2=2)
    return np.asarray(value.sum(axis=1) - 0.5 * np.sum(z**2, axis=1) - np.log(root).sum(axis=1))
