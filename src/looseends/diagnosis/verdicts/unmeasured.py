"""How far an answer hangs on what nobody measured, and which measurement would sharpen it most."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.observed.words import WatchName
from looseends.language import InSentence, Length, Percent, Text, say
from looseends.mechanics.bodies import Array, Pose
from looseends.vehicle.bodies import body_centers
from looseends.vehicle.carrying import Preload
from looseends.vehicle.groups import groups_of
from looseends.vehicle.scatter import GroupMove, moved
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import Worn, answer_stroke, hold, prepare_held
from looseends.vehicle.specimen import Specimen, drawn_specimen, nominal_specimen
from looseends.vehicle.tape.questions import load_questions
from looseends.vehicle.vehicle import Vehicle

JOINTS_AND_HAND = "joints and hand"
"""What no tape can tell: stiffness and sound play of the joints, and how hard the hand pushes."""

_DRAWS = 16
"""Specimens drawn for the doubt that is left with every measurement."""

COUNTS = 0.05
"""A share of the variance below this is not told."""

_SLANT = np.array([0.8, -1.0, 0.9])
"""A move that no group is blind to, in sigmas."""

_SHOWS_MM = 0.005
"""A group that moves no watch as far as this is not looked at further."""


@dataclass(frozen=True)
class Doubt:
    """The doubt in one watch of a check: its spread [mm], 1 sigma, and the share of its variance by cause.

    Causes are groups of joint centers, numbers of the vehicle, and `JOINTS_AND_HAND`. Shares sum up to 1.
    """

    watch: str
    moves_mm: float
    spread_mm: float
    shares: Mapping[str, float]

    @property
    def unmeasured(self) -> float:
        """Share of the variance that hangs on what was not measured."""
        return sum(share for cause, share in self.shares.items() if cause != JOINTS_AND_HAND)


def doubts(
    vehicle: Vehicle, setup: Setup, preload: Preload, worn: Worn, beliefs: Beliefs, *, force: float | None = None
) -> tuple[Doubt, ...]:
    """The doubt in every watch of a check, on a vehicle whose file gives a spread; none without one.

    Each cause is moved by its own spread alone, and what changes is taken as straight from there: 1 sigma at a time,
    shifts of each side and leans. `force` [N] replaces the check's own.

    Raises
    ------
    MechanicsError
        If the vehicle cannot rest in this support.
    """
    if vehicle.spread is None:
        return ()
    specimen = nominal_specimen(vehicle)
    shown = _Shown(vehicle, specimen, setup, preload, worn, force)
    variance = {name: _group_variance(shown, name) for name in vehicle.spread.groups}
    for name, share in vehicle.spread.numbers.items():
        variance[name] = np.asarray(shown.change(moved(vehicle, {}, {name: float(np.exp(share))})) ** 2)
    variance[JOINTS_AND_HAND] = _joints_variance(shown, beliefs)
    total = np.maximum(sum(variance.values()), 1e-12)
    return tuple(
        Doubt(
            watch,
            float(shown.nominal[k]),
            float(np.sqrt(total[k])),
            {cause: float(part[k] / total[k]) for cause, part in variance.items()},
        )
        for k, watch in enumerate(shown.watches)
    )


def doubt_words(doubt: Doubt, vehicle: Vehicle) -> Text:
    """One sentence or two: how large the doubt is, how much of it comes from what was not measured, what to measure."""
    said = say(
        "{watch} moves {movement}, give or take {spread}",
        watch=WatchName(doubt.watch),
        movement=Length(doubt.moves_mm, 2),
        spread=Length(doubt.spread_mm, 2),
    )
    by_tape = {cause: share for cause, share in doubt.shares.items() if cause != JOINTS_AND_HAND}
    if not by_tape or doubt.unmeasured < COUNTS:
        return say("{movement}; hardly any of it hangs on what was not measured.", movement=said)
    cause = max(by_tape, key=lambda name: by_tape[name])
    return say(
        "{movement}; {share} of the doubt hangs on what was not measured, {most} from {cause}: {measure}.",
        movement=said,
        share=Percent(doubt.unmeasured),
        most=Percent(by_tape[cause]),
        cause=cause_words(cause, vehicle),
        measure=measure_words(cause, vehicle),
    )


def cause_words(cause: str, vehicle: Vehicle) -> str:
    """A cause of doubt in words."""
    groups = groups_of(vehicle.points)
    return groups[cause].words if cause in groups else say("the number {name}", name=cause)


def measure_words(cause: str, vehicle: Vehicle) -> str:
    """What to measure against a cause of doubt."""
    groups, questions = groups_of(vehicle.points), load_questions()
    if cause in groups:
        return groups[cause].measure
    if cause in questions:
        return say("measure it, {how}", how=InSentence(questions[cause].how))
    return say("look it up or measure it, and write it into the vehicle's file")


def sharpens_most(found: Sequence[Doubt]) -> str | None:
    """The cause that the readings of a check hang on most, together; None where none counts."""
    total: dict[str, float] = {}
    for doubt in found:
        for cause, share in doubt.shares.items():
            if cause != JOINTS_AND_HAND:
                total[cause] = total.get(cause, 0.0) + share * doubt.spread_mm**2
    everything = sum(doubt.spread_mm**2 for doubt in found)
    best = max(total, key=lambda cause: total[cause], default=None)
    return best if best is not None and total[best] > COUNTS * everything else None


class _Shown:
    """Total movement (k,) [mm] of every watch on a vehicle, and what another vehicle shows more."""

    def __init__(
        self, vehicle: Vehicle, specimen: Specimen, setup: Setup, preload: Preload, worn: Worn, force: float | None
    ) -> None:
        self.vehicle, self.specimen, self.setup, self.preload = vehicle, specimen, setup, preload
        self.worn, self.force = worn, force
        self._poses = hold(vehicle, specimen, setup, preload).poses
        self.watches: tuple[str, ...] = ()
        self.nominal = self._movements(vehicle, specimen, 1.0)

    def change(self, vehicle: Vehicle, specimen: Specimen | None = None, hand: float = 1.0) -> Array:
        """Change (k,) [mm] against the nominal vehicle; `hand` multiplies the force."""
        return np.asarray(self._movements(vehicle, specimen or self.specimen, hand) - self.nominal)

    def _movements(self, vehicle: Vehicle, specimen: Specimen, hand: float) -> Array:
        start = {
            name: Pose(center, self._poses[name].rotation, self._poses[name].shift)
            for name, center in body_centers(vehicle).items()
        }
        held = hold(vehicle, specimen, self.setup, self.preload, start)
        prepared = prepare_held(vehicle, held, self.setup, force=self.force, force_share=hand)
        clearances = specimen.clearances(vehicle, self.worn)
        answers = [answer_stroke(stroke, clearances).movements for stroke in prepared.strokes]
        self.watches = tuple(name for answer in answers for name in answer)
        return np.array([movement.total for answer in answers for movement in answer.values()])


def _group_variance(shown: _Shown, name: str) -> Array:
    """Variance (k,) [mm²] from one group: σ common² (left + right)² + σ own² (left² + right²), and its leans."""
    assert shown.vehicle.spread is not None
    spread, none = shown.vehicle.spread.groups[name], np.zeros(3)
    step = float(np.hypot(spread.common, spread.own))
    # Most groups lie where a check shows nothing of them: one move of all at once tells.
    slant = GroupMove(step * _SLANT, -0.7 * step * _SLANT, spread.lean * _SLANT[:2])
    variance = shown.change(moved(shown.vehicle, {name: slant}, {})) ** 2
    if np.max(variance) < _SHOWS_MM**2:
        return variance
    variance = np.zeros(len(shown.watches))
    for along in np.eye(3) if step else ():
        left = shown.change(moved(shown.vehicle, {name: GroupMove(step * along, none, np.zeros(2))}, {})) / step
        right = shown.change(moved(shown.vehicle, {name: GroupMove(none, step * along, np.zeros(2))}, {})) / step
        variance += spread.common**2 * (left + right) ** 2 + spread.own**2 * (left**2 + right**2)
    for lean in np.eye(2) if spread.lean else ():
        variance += shown.change(moved(shown.vehicle, {name: GroupMove(none, none, spread.lean * lean)}, {})) ** 2
    return variance


def _joints_variance(shown: _Shown, beliefs: Beliefs) -> Array:
    rng = np.random.default_rng(_DRAWS)
    changes = [
        shown.change(
            shown.vehicle,
            drawn_specimen(shown.vehicle, rng),
            float(rng.uniform(1.0 - beliefs.hand_force_share, 1.0 + beliefs.hand_force_share)),
        )
        for _ in range(_DRAWS)
    ]
    return np.asarray(np.var(changes, axis=0, ddof=1))
