"""Joint states that an enlarged set of worn parts is weighed in."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.inference.explanation import Explanation, Posterior
from looseends.diagnosis.inference.views import Places, grid
from looseends.mechanics.bodies import Array

_GRID = 4000
_FLOORS = (1e-4, 1e-3, 1e-2, 0.03, 0.1, 0.2, 0.4)
"""Joint states of that grid at most, and the shares of a part's leading state below which states are left out of it."""


def counting(first: Explanation, found: Posterior) -> Places:
    """A grid of the states that count in the set or in the sets of one part fewer."""
    shares = [_state_shares(first, part, found) for part in first.parts]
    for floor in _FLOORS:
        states = [np.flatnonzero(share >= floor * share.max()) for share in shares]
        if np.prod([len(s) for s in states]) <= _GRID:
            break
    return grid(*states)


def _state_shares(first: Explanation, part: str, found: Posterior) -> Array:
    """How much each state (s,) of a part counts: the most of the set as estimated and of the sets of one part fewer."""
    count, sets = len(found.states[part].weight), found.sets
    share = first.state_weights(part, count)
    for other in first.parts:
        number = sets.number.get(frozenset(first.parts) - {other}) if other != part else None
        if number is not None:
            np.maximum(share, found.counted[number].of_part(sets.parts[number].index(part), count), out=share)
    return share


def product_of(places: Places, states: NDArray[np.intp]) -> Places:
    """Joint states (n m, parts + 1) of some joint states (n, parts) with every state (m,) of one more part."""
    joint = np.empty((len(places), len(states), places.shape[1] + 1), dtype=np.intp)
    joint[..., :-1], joint[..., -1] = places[:, None], states
    return joint.reshape(-1, joint.shape[2])
