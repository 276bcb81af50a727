"""Which parts are worn, and how far: every set of no, one or two worn parts, and from leading sets on three and four.

A reading's prediction is the sound vehicle's plus each worn part's change plus the pairs' corrections. The likelihood
of several parts differs from the product of each one's only in readings that more than one of them moves.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

import numpy as np

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.inference.counted import Counted, CountedLater, in_a_row
from looseends.diagnosis.inference.explanation import Explanation, Posterior
from looseends.diagnosis.inference.growth import with_larger_sets
from looseends.diagnosis.inference.known import Known
from looseends.diagnosis.inference.prior import Prior
from looseends.diagnosis.inference.readings import ReadingSet
from looseends.diagnosis.inference.two_worn import pairs_of
from looseends.diagnosis.inference.views import AllViews, PartViews
from looseends.diagnosis.inference.worn_sets import up_to_two
from looseends.diagnosis.observed.evidence import Clue
from looseends.diagnosis.tables.states import PartStates
from looseends.mechanics.bodies import Array


def posterior(
    states: Sequence[PartStates],
    prior: Prior | Mapping[str, float],
    clues: Sequence[Clue],
    beliefs: Beliefs,
    known: Known | None = None,
) -> Posterior:
    """Posterior over all sets of at most two worn parts, and over those of three and four that grow from leading ones.

    `prior` may be given as log odds by part. `known` holds what an earlier posterior of the same vehicle by the same
    beliefs worked out; it saves time and changes nothing.

    Source: Bayes' rule; derived in docs/diagnosis.md.
    """
    believed = prior if isinstance(prior, Prior) else Prior(prior)
    known = known or Known()
    readings = ReadingSet.of(clues, beliefs)
    views = AllViews.of(known.rows_of(states), readings, known.columns)
    sets = up_to_two(views.rows.names)
    prior_weights = believed.log_weights_of(sets)
    singles = _singles(views, prior_weights[1 : len(states) + 1])
    pairs = pairs_of(views, singles, prior_weights, readings, known.pairs)
    none = Explanation.sound()
    found = Posterior(
        sets,
        np.array([none.log_weight, *(single.log_weight for single in singles), *pairs.log_weights]),
        in_a_row([none.counted, *(single.counted for single in singles)], pairs.counted),
        {s.part.id: s for s in states},
        PartViews(views),
        believed,
        np.zeros(len(sets.parts), dtype=bool),
    )
    return with_larger_sets(found, views, readings, known)


def _singles(views: AllViews, log_prior: Array) -> list[Explanation]:
    """Every set of one worn part, from the log prior weight (p,) of each."""
    rows = views.rows
    logs = rows.log_part + views.gain.sum(axis=1)
    log_weights = (log_prior + rows.log_sums(logs)).tolist()

    def counted(number: int) -> Counted:
        own = logs[rows.of_part(number)]
        return Counted.of(np.arange(len(own))[:, None], own)

    return [
        Explanation((name,), log_weights[n], CountedLater(partial(counted, n))) for n, name in enumerate(rows.names)
    ]
