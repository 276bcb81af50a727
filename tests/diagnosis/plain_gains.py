"""What every reading says of one set of worn parts, written for that set alone: a plain reference for many at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from looseends.diagnosis.inference.readings import ReadingSet
from looseends.diagnosis.inference.views import PartView, Places, change_together, doubted
from looseends.mechanics.bodies import Array


def gain_together(parts: Sequence[str], places: Places, views: Mapping[str, PartView], readings: ReadingSet) -> Array:
    """Gain (n, k) of the log likelihood of every reading with several parts worn, over the sound vehicle's.

    Where only one of them moves a reading it is that part's own. Where several do, or two do together though one of
    them alone does not, it is that of all changes together
    at their mean shares, and what each part's doubt about its share adds alone (`doubted`).
    """
    own = [views[part].gain[places[:, i]] for i, part in enumerate(parts)]
    total = np.sum(own, axis=0) if own else np.zeros((len(places), len(readings.clues)))
    moving = np.sum([views[part].moves for part in parts], axis=0) if parts else np.zeros(len(readings.clues))
    shared = np.flatnonzero((moving >= 2) | readings.beside(parts))
    if shared.size:
        change, cell = change_together(parts, places, views, readings, shared)
        each = [views[part].gain[places[:, i]][:, shared] for i, part in enumerate(parts)]
        shown = sum(views[part].shown[places[:, i]][:, shared] for i, part in enumerate(parts))
        best = np.max(
            [np.where(views[part].moves[shared], own, -np.inf) for part, own in zip(parts, each, strict=True)], axis=0
        )
        total[:, shared] = doubted(readings.gain(change, cell, shared), total[:, shared] - shown, best)
    return np.asarray(total)
