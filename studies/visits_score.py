"""What is counted of one visit in the study, and what a row of visits comes to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import exp

import numpy as np
from scipy.stats import beta

from looseends.diagnosis.inference.before import believed_before
from looseends.diagnosis.inference.diagnose import Diagnosed
from looseends.diagnosis.inference.prior import Prior
from looseends.diagnosis.observed.symptoms import Symptom
from looseends.diagnosis.verdicts.all_read import AllRead
from looseends.diagnosis.verdicts.verdict import verdict_of
from looseends.diagnosis.verdicts.verdict_word import PartEvidence
from looseends.inspection.types import CheckDone, Reading
from looseends.vehicle.vehicle import Part, Vehicle
from studies.calibration import calibration
from studies.truth import StandingVehicle

GRAVE = 2.0
"""Play over this multiple of the reject clearance in a steering ball joint or a carrier must not be missed."""

FELT_MM = 0.25
"""Blame what moved most blames only what a finger feels."""

_SIZE_MM: Mapping[str, float] = {"none": 0.0, "slight": 0.3, "clear": 1.0, "gross": 2.0}
_LEAST_CHANCE = 1e-12


@dataclass(frozen=True)
class Score:
    """One visit. `marginals` are those above 0.05 of parts that are worn or sound, with whether they are worn.

    `apart_first` is the exact set with masked parts counted neither way; `in_reach`: some visit within the time could
    prove every worn part. `log_parts` is the sum over parts of the log chance of what they are; `weighed`: the true set
    is among those that the posterior counts. Of grave play `silent` joints are masked: no reading of the visit could
    show them.
    """

    worn: int
    exact_first: bool
    apart_first: bool
    in_reach: bool
    most_right: bool
    checklist_right: bool
    false_calls: int
    grave: int
    grave_missed: int
    grave_sound: int
    silent: int
    log_score: float
    prior_log_score: float
    log_parts: float
    prior_log_parts: float
    weighed: bool
    marginals: tuple[tuple[float, bool], ...]
    minutes: float


def scored(
    true: StandingVehicle, found: Diagnosed, order: Sequence[CheckDone], minutes: float, in_reach: bool
) -> Score:
    """A visit's score; `order` is that in which its checks were done."""
    vehicle, posterior = found.vehicle, found.posterior
    worn, any_wear = true.parts(vehicle, least_share=1.0), true.parts(vehicle, least_share=0.5)
    told = {part: posterior.marginal(part) for part in posterior.states}
    prior = prior_of(found)
    before = {part: _prior_chance(prior, (part,), posterior.states) for part in posterior.states}
    counted = [part for part in told if part in worn or part not in any_wear]
    grave = grave_parts(true, vehicle)
    felt = grave - true.masked
    first = frozenset(posterior.leading(1)[0][0].parts)
    # A set not weighed by itself has what the nearest smaller one has, and each part more what it counts alone.
    listed = sum(
        p
        for e, p in zip(posterior.explanations, posterior.probabilities.tolist(), strict=True)
        if worn <= set(e.parts) <= any_wear
    )
    return Score(
        worn=len(worn),
        exact_first=worn <= first <= any_wear,
        apart_first=worn - true.masked <= first <= any_wear,
        in_reach=in_reach,
        most_right=worn <= moved_most(vehicle, order) <= any_wear,
        checklist_right=worn <= checklist(vehicle, order) <= any_wear,
        false_calls=sum(told[part] >= found.beliefs.worn_at_least for part in set(told) - any_wear),
        grave=len(felt),
        grave_missed=sum(told[part] < 0.5 for part in felt),
        grave_sound=sum(_called_sound(found, part) for part in felt),
        silent=len(grave & true.masked),
        log_score=_log(listed or exp(posterior.log_chance(worn))),
        prior_log_score=_log(prior_of_truth(prior, worn, any_wear)),
        log_parts=sum(_log(told[part] if part in worn else 1.0 - told[part]) for part in counted),
        prior_log_parts=sum(_log(before[part] if part in worn else 1.0 - before[part]) for part in counted),
        weighed=listed > 0.0,
        marginals=tuple((told[part], part in worn) for part in counted if told[part] > 0.05),
        minutes=minutes,
    )


def grave_parts(true: StandingVehicle, vehicle: Vehicle) -> frozenset[str]:
    """Ball joints of the steering, and carriers, with play beyond twice their reject clearance."""
    return frozenset(part for part in true.parts(vehicle, least_share=GRAVE) if _must_not_part(vehicle.parts[part]))


def _must_not_part(part: Part) -> bool:
    if part.figure is None:
        return False
    return part.kind.group == "carrier" or (part.kind.group == "steering" and part.figure.shape == "ball")


def _called_sound(found: Diagnosed, part: str) -> bool:
    read = AllRead(found.posterior, found.clues, found.beliefs)
    return verdict_of(PartEvidence(found.vehicle.parts[part], found.states[part], read, [])) == "sound"


def _log(chance: float) -> float:
    return float(np.log(max(chance, _LEAST_CHANCE)))


def prior_of(found: Diagnosed) -> Prior:
    """What was believed before anything was read or looked at; what looks came to stands in the posterior's prior."""
    untouched = replace(found.visit, conditions=())
    return believed_before(untouched, tuple(found.states.values()), found.beliefs)[1]


def _prior_chance(prior: Prior, worn: Sequence[str], parts: Mapping[str, object]) -> float:
    return prior_of_truth(prior, frozenset(worn), frozenset(parts))


def prior_of_truth(prior: Prior, worn: frozenset[str], any_wear: frozenset[str]) -> float:
    """Chance before any reading that these parts are worn, and others only among those with any wear.

    Sums over all sets in closed form: a product for the odds, and one more for every set of symptoms that nothing
    caused (inclusion and exclusion of noisy-ors).
    """
    of_all, of_truth = 0.0, 0.0
    for sign, kept in _absences(prior):
        each = {part: np.exp(odds) * kept.get(part, 1.0) for part, odds in prior.log_odds.items()}
        of_all += sign * float(np.prod([1.0 + odds for odds in each.values()]))
        in_set = np.prod([each[part] for part in worn])
        of_truth += sign * float(in_set * np.prod([1.0 + each[part] for part in any_wear - worn if part in each]))
    return of_truth / of_all


def _absences(prior: Prior) -> list[tuple[float, dict[str, float]]]:
    """Terms whose signed sum is the chance of all symptoms: each with what it leaves of every part's odds."""
    terms: list[tuple[float, dict[str, float]]] = [(1.0, {})]
    for symptom in prior.symptoms:
        assert isinstance(symptom, Symptom)  # nobody drives a drawn vehicle
        absent = []
        for sign, kept in terms:
            left = kept | {part: kept.get(part, 1.0) * (1.0 - c) for part, c in symptom.causes.items()}
            absent.append((sign * (1.0 - symptom.otherwise), left))
        terms = terms + [(-sign, kept) for sign, kept in absent] if symptom.present else absent
    return terms


def moved_most(vehicle: Vehicle, checks: Sequence[CheckDone]) -> frozenset[str]:
    """The plain rule: blame the part that moved most at its own watch, if a finger feels it."""
    moved: dict[str, float] = {}
    for part, reading in _own_readings(vehicle, checks):
        moved[part.id] = max(moved.get(part.id, 0.0), _amount(reading))
    most = max(moved, key=lambda part: moved[part], default="")
    return frozenset({most}) if moved.get(most, 0.0) > FELT_MM else frozenset()


def checklist(vehicle: Vehicle, checks: Sequence[CheckDone]) -> frozenset[str]:
    """The fixed checklist: each part is judged once, by the first look at its own watch, in the order of the checks.

    It is blamed where that look shows clear play: graded clear or gross, or a dead zone from the reject clearance on.
    What was called there is not looked at again.
    """
    judged: dict[str, bool] = {}
    for part, reading in _own_readings(vehicle, checks):
        judged.setdefault(f"{part.id} {reading.watch}", _clear(part, reading))
    return frozenset(key.split()[0] for key, blamed in judged.items() if blamed)


def _own_readings(vehicle: Vehicle, checks: Sequence[CheckDone]) -> list[tuple[Part, Reading]]:
    found = [(reading.watch.removesuffix(".axial"), reading) for done in checks for reading in done.readings]
    return [(vehicle.parts[part], reading) for part, reading in found if part in vehicle.parts]


def _amount(reading: Reading) -> float:
    shown = reading.gauge_mm if reading.free_mm is None else reading.free_mm
    return shown if shown is not None else _SIZE_MM[str(reading.grade)]


def _clear(part: Part, reading: Reading) -> bool:
    if reading.grade is not None or part.figure is None:
        return reading.grade in ("clear", "gross")
    axial = reading.watch.endswith(".axial")
    first, second = (part.figure.axial, part.figure.radial) if axial else (part.figure.radial, part.figure.axial)
    reject = first.reject if first.reject is not None else second.reject
    return reject is not None and _amount(reading) >= reject


def summary(scores: Sequence[Score]) -> dict[str, float | int | str]:
    """One row of the study's page."""
    count, marginals = len(scores), [pair for score in scores for pair in score.marginals]
    slope, error = calibration(marginals)
    sure = [worn for p, worn in marginals if p > 0.9]
    grave, missed = sum(s.grave for s in scores), sum(s.grave_missed for s in scores)
    low, high = interval(missed, grave)
    return {
        "vehicles": count,
        "exact set first %": _percent(sum(s.exact_first for s in scores), count),
        "masked parts apart %": _percent(sum(s.apart_first for s in scores), count),
        "all worn parts in reach %": _percent(sum(s.in_reach for s in scores), count),
        "of these exact %": _percent(
            sum(s.in_reach and s.exact_first for s in scores), sum(s.in_reach for s in scores)
        ),
        "blame what moved most %": _percent(sum(s.most_right for s in scores), count),
        "fixed checklist %": _percent(sum(s.checklist_right for s in scores), count),
        "false calls per vehicle": round(sum(s.false_calls for s in scores) / count, 3),
        "grave play": grave,
        "grave play missed": missed,
        "missed %": _percent(missed, grave),
        "its 95 % interval": f"{100 * low:.1f} to {100 * high:.1f}",
        "grave play called sound": sum(s.grave_sound for s in scores),
        "grave play masked": sum(s.silent for s in scores),
        "log score": _mean([s.log_score for s in scores]),
        "prior's log score": _mean([s.prior_log_score for s in scores]),
        "log score of parts": _mean([s.log_parts for s in scores]),
        "prior's of parts": _mean([s.prior_log_parts for s in scores]),
        "true set not weighed %": _percent(sum(not s.weighed for s in scores), count),
        "calibration slope": round(slope, 2),
        "its standard error": round(error, 2),
        "above 0.9": len(sure),
        "above 0.9, worn %": _percent(sum(sure), len(sure)),
        "minutes": _mean([s.minutes for s in scores]),
    }


def interval(found: int, count: int) -> tuple[float, float]:
    """95 % interval of a share, exact.

    Source: C. J. Clopper and E. S. Pearson, Biometrika 26 (1934) 404-413 (from memory).
    """
    low = float(beta.ppf(0.025, found, count - found + 1)) if found else 0.0
    high = float(beta.ppf(0.975, found + 1, count - found)) if found < count else 1.0
    return low, high


def _percent(part: int, whole: int) -> float:
    return round(100.0 * part / whole, 1) if whole else 0.0


def _mean(values: Sequence[float]) -> float:
    return round(float(np.mean(values)), 3)
