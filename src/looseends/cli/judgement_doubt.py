"""What `looseends judge` says of a tape vehicle besides: how far its verdicts hang on what nobody measured."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from looseends.cli.output import console
from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.verdicts.verdict_doubt import VerdictDoubt, verdict_doubt_words, verdict_doubts
from looseends.errors import MechanicsError
from looseends.inspection.types import Judgement
from looseends.language import Speech, say
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.shake import nominal_preload


def doubts_of(judgement: Judgement) -> tuple[VerdictDoubt, ...]:
    """The doubt in the verdicts; none where a vehicle as far off as its file allows could not rest in a support."""
    vehicle = load_vehicles()[judgement.visit.vehicle]
    if vehicle.spread is None:
        return ()
    try:
        return verdict_doubts(judgement, vehicle, nominal_preload(vehicle.id), load_beliefs())
    except MechanicsError as error:
        sys.stderr.write(f"How far verdicts hang on what was not measured cannot be told: {error}.\n")
        return ()


def print_doubts(found: Sequence[VerdictDoubt], judgement: Judgement, speech: Speech) -> None:
    """A sentence for each verdict."""
    vehicle = load_vehicles()[judgement.visit.vehicle]
    if found:
        console().print(speech.words(say("By tape (1 sigma):")), style="bold")
    for doubt in found:
        console().print(f"  {speech.words(verdict_doubt_words(doubt, vehicle))}", soft_wrap=True)
