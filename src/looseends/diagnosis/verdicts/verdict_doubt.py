"""How far the verdicts of a visit hang on what nobody measured of a vehicle that is known by tape."""

from __future__ import annotations

from dataclasses import dataclass

from looseends.catalogue.types import Axis
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.verdicts.unmeasured import Doubt, doubt_words, doubts
from looseends.inspection.types import Finding, Judgement
from looseends.language import Text, say
from looseends.vehicle.carrying import Preload
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Vehicle

_MOST = 3
"""So many verdicts at most are looked at: each takes some seconds."""


@dataclass(frozen=True)
class VerdictDoubt:
    """A verdict on wear, the setup of the reading at the part itself, and the doubt in that reading."""

    part: str
    name: str
    setup: Setup
    doubt: Doubt


def verdict_doubts(
    judgement: Judgement, vehicle: Vehicle, preload: Preload, beliefs: Beliefs
) -> tuple[VerdictDoubt, ...]:
    """The doubt in the readings at worn parts, the gravest verdicts first; none where the geometry is known.

    The part is taken to be as worn as the verdict says. A part that was not read at its own place has none.

    Raises
    ------
    MechanicsError
        If the vehicle cannot rest in a support of the visit.
    """
    if vehicle.spread is None:
        return ()
    found: list[VerdictDoubt] = []
    for finding in sorted(judgement.findings, key=lambda f: (f.verdict != "replace", -f.probability)):
        read = _own_reading(judgement, finding)
        if read is None or finding.axis is None or finding.clearance_mm is None or len(found) == _MOST:
            continue
        setup, watch = read
        worn: dict[tuple[str, Axis], float] = {(finding.part, finding.axis): finding.clearance_mm}
        of_setup = {doubt.watch: doubt for doubt in doubts(vehicle, setup, preload, worn, beliefs)}
        found.append(VerdictDoubt(finding.part, finding.name, setup, of_setup[watch]))
    return tuple(found)


def verdict_doubt_words(found: VerdictDoubt, vehicle: Vehicle) -> Text:
    """The verdict's doubt as a sentence."""
    return say("{part}: with the wear found, {movement}", part=found.name, movement=doubt_words(found.doubt, vehicle))


def _own_reading(judgement: Judgement, finding: Finding) -> tuple[Setup, str] | None:
    """Setup and watch of the first reading at the part itself, of a verdict that says it is worn."""
    if finding.verdict not in ("replace", "plan"):
        return None
    for check in judgement.visit.checks:
        for reading in check.readings:
            if reading.watch.removesuffix(".axial") == finding.part:
                return check.setup, reading.watch
    return None
