"""The posterior written out as plain sums: every set of up to a few parts, every state, every reading, one by one.

Shares no formula's code with looseends.diagnosis: densities, severity cells and pair corrections are written again.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations, product

import numpy as np
from scipy.special import erfc

from looseends.catalogue import load_catalogue
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.tables.states import PartStates
from looseends.diagnosis.tables.table import ResponseTable
from looseends.inspection.types import Reading

DOUBT_OF_SHARE = 0.6
"""How far people differ in the share of springy movement that they take for play, as a part of that share."""

MOVES = 1e-3
"""What changes a watch by less [mm] does not move it."""

ALIKE = 0.15
"""Shares of a part's change are taken as one where they differ by less."""

Worn = tuple[tuple[str, int], ...]
"""Worn parts with the number of their state."""


Shown = tuple[float, float]
"""Share of a part's change that shows, of movement in all and of free travel."""


def mean_of(shares: Sequence[Shown]) -> Shown:
    """The mean of each."""
    return sum(s[0] for s in shares) / len(shares), sum(s[1] for s in shares) / len(shares)


def normal_below(z: float) -> float:
    """Standard normal distribution."""
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


def normal(off: float, deviation: float) -> float:
    """Density [1/mm] of a normal error."""
    return math.exp(-0.5 * (off / deviation) ** 2) / (deviation * math.sqrt(2.0 * math.pi))


def rest_error(springs: float, free: float, softness: float, resolution: float, beliefs: Beliefs) -> float:
    """Standard deviation [mm] of what a gauge shows beyond the dead zone that was read."""
    judging = math.hypot(beliefs.dead_zone_error_mm, beliefs.dead_zone_error_share * free)
    gauge = math.hypot(beliefs.again_error_mm, beliefs.again_error_share * (free + springs))
    return math.sqrt(
        softness + judging**2 + gauge**2 + (beliefs.springy_taken_spread * springs) ** 2 + resolution**2 / 6.0
    )


def wrong_density(beliefs: Beliefs, resolution: float, dead_zone_of: tuple[float, float] | None) -> float:
    """Density of a wrong reading; of a dead zone and what was shown in all, half of them show all as loose."""
    anywhere = beliefs.wrong_chance / beliefs.wrong_reach_mm
    if dead_zone_of is None:
        return anywhere
    reading, in_all = dead_zone_of
    loose = 2.0 * normal(in_all - reading, rest_error(0.0, 0.0, 0.0, resolution, beliefs))
    return anywhere * (0.5 / (in_all + resolution) + 0.5 * loose)


def rest_density(
    reading: float, in_all: float, total: tuple[float, float], free: tuple[float, float], resolution: float, b: Beliefs
) -> float:
    """Density [1/mm] of what was shown beyond a dead zone that is right: what springs there, or a factor of it."""
    springs, softness = max(total[0] - free[0], 0.0), max(total[1] ** 2 - free[1] ** 2, 0.0)
    error = rest_error(springs, free[0], softness, resolution, b)
    rest, mean, least = in_all - reading, (1.0 - b.springy_taken) * springs, b.dead_zone_error_mm + resolution
    factor = math.log((max(rest, 0.0) + least) / (mean + least))
    return 0.8 * normal(rest - mean, error) + 0.2 * normal(factor, 0.8) / (max(rest, 0.0) + least)


def gauge_density(reading: float, predicted: float, sd: float, resolution: float, beliefs: Beliefs) -> float:
    """Density [1/mm] of a gauge reading of one movement, wrong ones included."""
    bell = normal(reading - predicted, math.hypot(sd, resolution / math.sqrt(12.0)))
    return (1.0 - beliefs.wrong_chance) * bell + wrong_density(beliefs, resolution, None)


def dead_zone(
    total: tuple[float, float], free: tuple[float, float], beliefs: Beliefs, in_all: float | None = None
) -> tuple[float, float]:
    """Where a dead zone is read and its standard deviation [mm], from movement in all and free, each with its own.

    A little of what springs is read into it, by each person another little, and nobody sees sharply where it ends.
    Where the gauge showed the movement in all, it is known what springs.
    """
    total = total if in_all is None else (in_all, 0.0)
    springs = max(total[0] - free[0], 0.0)
    variance = (
        free[1] ** 2
        + (beliefs.springy_taken * total[1]) ** 2
        + (beliefs.springy_taken_spread * springs) ** 2
        + beliefs.dead_zone_error_mm**2
        + (beliefs.dead_zone_error_share * free[0]) ** 2
    )
    return free[0] + beliefs.springy_taken * springs, math.sqrt(variance)


def grade_chance(grade: int, observer_id: str, total: tuple[float, float], free: tuple[float, float]) -> float:
    """Chance of a grade for a predicted movement, in all and free, each with its standard deviation [mm]."""
    observer = load_catalogue().observers[observer_id]
    taken_for_play = observer.elastic_share * max(total[0] - free[0], 0.0)
    felt = free[0] + taken_for_play
    variance = free[1] ** 2 + (observer.elastic_share * total[1]) ** 2 + (DOUBT_OF_SHARE * taken_for_play) ** 2
    deviation = math.sqrt(variance)

    def beyond(threshold: float) -> float:
        scatter = math.hypot(observer.spread, deviation / max(felt, threshold))
        return normal_below(math.log(max(felt, 1e-6) / threshold) / scatter)

    edges = [1.0, *(beyond(threshold) for threshold in observer.thresholds), 0.0]
    return (1.0 - observer.lapse) * (edges[grade] - edges[grade + 1]) + observer.lapse / len(observer.grades)


def read_together(
    readings: Sequence[Reading],
    resolution: float,
    total: tuple[float, float],
    free: tuple[float, float],
    beliefs: Beliefs,
) -> float:
    """Likelihood of readings of one watch: the model errs alike in all of them, by t of its standard deviations."""
    t = np.linspace(-8.0, 8.0, 1601)
    product = np.exp(-0.5 * t**2) / math.sqrt(2.0 * math.pi)
    for reading in readings:
        if reading.gauge_mm is not None:
            if reading.free_mm is None:
                shown, mean, shared, own = reading.gauge_mm, total[0], total[1], 0.0
            else:
                shown, shared = reading.free_mm, free[1]
                mean, own = dead_zone((total[0], 0.0), (free[0], 0.0), beliefs, reading.gauge_mm)
            variance = (
                own**2 + beliefs.again_error_mm**2 + (beliefs.again_error_share * mean) ** 2 + resolution**2 / 12.0
            )
            bell = np.exp(-((shown - mean - shared * t) ** 2) / (2.0 * variance)) / math.sqrt(2.0 * math.pi * variance)
            both = None if reading.free_mm is None else (reading.free_mm, reading.gauge_mm)
            rest = 1.0 if both is None else rest_density(*both, total, free, resolution, beliefs)
            product *= (1.0 - beliefs.wrong_chance) * bell * rest + wrong_density(beliefs, resolution, both)
        else:
            observer = load_catalogue().observers[reading.by]
            off = math.hypot(free[1], observer.elastic_share * total[1]) * t
            in_all, loose = np.maximum(total[0] + off, 0.0), np.maximum(free[0] + off, 0.0)
            springs = observer.elastic_share * np.maximum(in_all - loose, 0.0)
            felt = loose + springs
            edges = [np.ones_like(t)]
            for threshold in observer.thresholds:
                scatter = np.hypot(observer.spread, DOUBT_OF_SHARE * springs / np.maximum(felt, threshold))
                edges.append(0.5 * erfc(-np.log(np.maximum(felt, 1e-6) / threshold) / scatter / math.sqrt(2.0)))
            edges.append(np.zeros_like(t))
            grade, even = observer.grades.index(str(reading.grade)), observer.lapse / len(observer.grades)
            product *= (1.0 - observer.lapse) * (edges[grade] - edges[grade + 1]) + even
    return float(product.sum() * (t[1] - t[0]))


def cell(states: PartStates, changes: Sequence[float], state: int) -> float:
    """Standard deviation [mm] of a prediction over the severities that one state stands for."""
    knots = [tuple(int(k) for k in row) for row in states.index]
    variance = 0.0
    for axis, knot in enumerate(knots[state]):
        if knot < 0:
            continue
        neighbors = []
        for step in (-1, 1):
            moved = list(knots[state])
            moved[axis] = min(max(knot + step, 0), len(states.knots[axis]) - 1)
            neighbors.append(changes[knots.index(tuple(moved))])
        variance += (abs(neighbors[1] - neighbors[0]) / 2.0) ** 2 / 12.0
    return math.sqrt(variance)


@dataclass(frozen=True)
class Case:
    """States, prior log odds, one table, its readings with the gauge's resolution [mm].

    `doubts` keeps how much the shares alone change a part's likelihood of a reading, once it is worked out, `alones`
    that likelihood.
    """

    states: Mapping[str, PartStates]
    log_odds: Mapping[str, float]
    table: ResponseTable
    readings: Sequence[Reading]
    resolutions: Mapping[str, float]
    beliefs: Beliefs
    doubts: dict[tuple[str, tuple[str, int]], float] = field(default_factory=dict)
    alones: dict[tuple[str, tuple[str, int]], float] = field(default_factory=dict)

    @property
    def groups(self) -> list[list[Reading]]:
        """Readings by watch."""
        return [
            [r for r in self.readings if r.watch == watch] for watch in dict.fromkeys(r.watch for r in self.readings)
        ]

    def shares(self, part: str, watch: int) -> list[Shown]:
        """Shares of a part's change that vehicles show at a watch; shares that are all but alike as their mean."""
        if part not in self.table.shares:
            return [(1.0, 1.0)]
        shares = [(float(row[watch, 0]), float(row[watch, 1])) for row in self.table.shares[part]]
        spans = [max(of) - min(of) for of in zip(*shares, strict=True)]
        return shares if max(spans) >= ALIKE else [mean_of(shares)]

    def predicted(self, worn: Worn, shown: Sequence[Shown], watch: int, which: int) -> tuple[float, float]:
        """Movement [mm] and its standard deviation, each part's change `shown` in its share: `which` 0 all, 1 free."""
        table, beliefs = self.table, self.beliefs
        changes = [
            share[which] * float(table.singles[part][state, watch, which]) if part in table.singles else 0.0
            for (part, state), share in zip(worn, shown, strict=True)
        ]
        change = sum(changes)
        for (first, i), (second, j) in combinations(worn, 2):
            pair, rows, columns = table.pairs.get((first, second)), i, j
            if pair is None:
                pair, rows, columns = table.pairs.get((second, first)), j, i
            for (a, b), grid in {} if pair is None else pair.grids.items():
                change += float(grid[pair.first[rows, a] + 1, pair.second[columns, b] + 1, watch, which])
        # Softness is common to all readings of one vehicle and is in the movement in all only.
        scatter = float(table.spread[watch, which]) * (beliefs.shared_softness if which == 0 else 1.0)
        variance = scatter**2 + beliefs.floor_mm**2 + (beliefs.share_of_change * change) ** 2
        for (part, state), share in zip(worn, shown, strict=True):
            if part in table.singles:
                ladder = [share[which] * float(c) for c in table.singles[part][:, watch, which]]
                variance += cell(self.states[part], ladder, state) ** 2
        return max(float(table.sound[watch, which]) + change, 0.0), math.sqrt(variance)

    def shown_so(self, group: Sequence[Reading], worn: Worn, shown: Sequence[Shown]) -> float:
        """Likelihood of the readings of one watch where each part shows this share of its change."""
        reading = group[0]
        watch, resolution = self.table.watches.index(reading.watch), self.resolutions[reading.watch]
        total, free = self.predicted(worn, shown, watch, 0), self.predicted(worn, shown, watch, 1)
        if len(group) > 1:
            return read_together(group, resolution, total, free, self.beliefs)
        if reading.free_mm is not None:
            assert reading.gauge_mm is not None
            both = reading.free_mm, reading.gauge_mm
            mean, error = dead_zone(total, free, self.beliefs, reading.gauge_mm)
            bell = normal(reading.free_mm - mean, math.hypot(error, resolution / math.sqrt(12.0)))
            right = bell * rest_density(*both, total, free, resolution, self.beliefs)
            return (1.0 - self.beliefs.wrong_chance) * right + wrong_density(self.beliefs, resolution, both)
        if reading.gauge_mm is not None:
            return gauge_density(reading.gauge_mm, *total, resolution, self.beliefs)
        grade = load_catalogue().observers[reading.by].grades.index(str(reading.grade))
        return grade_chance(grade, reading.by, total, free)

    def alone(self, group: Sequence[Reading], worn: tuple[str, int]) -> float:
        """Likelihood of one watch with one worn part, worked out once."""
        asked = group[0].watch, worn
        if asked not in self.alones:
            self.alones[asked] = self._alone(group, worn)
        return self.alones[asked]

    def _alone(self, group: Sequence[Reading], worn: tuple[str, int]) -> float:
        """That likelihood: any of its shares, or hidden by grease, rust or a dry joint.

        Where a dead zone was read, the joint may also be pressed to one end: it moves, and none of that lightly.
        """
        shares = self.shares(worn[0], self.table.watches.index(group[0].watch))
        seen = sum(self.shown_so(group, (worn,), (share,)) for share in shares) / len(shares)
        if any(reading.free_mm is not None for reading in group):
            pressed = self.shown_so(group, (worn,), ((mean_of(shares)[0], 0.0),))
            seen += self.beliefs.pressed_chance * (pressed - seen)
        hidden = self.beliefs.masked_chance if self.table.shares else 0.0
        return (1.0 - hidden) * seen + hidden * self.shown_so(group, (), ())

    def together(self, group: Sequence[Reading], worn: Worn) -> float:
        """Likelihood of one watch, several worn parts: all at their mean share, times what each one's doubt adds.

        That makes it no greater than it is at the mean shares, or with the best of the parts alone that move the watch.
        """
        name = group[0].watch
        watch = self.table.watches.index(name)
        means = [mean_of(self.shares(part, watch)) for part, _ in worn]
        likelihood = most = self.shown_so(group, worn, means)
        for one, mean in zip(worn, means, strict=True):
            if (name, one) not in self.doubts:
                self.doubts[name, one] = self.alone(group, one) / self.shown_so(group, (one,), (mean,))
            likelihood *= self.doubts[name, one]
            if self.moves(one[0], watch):
                most = max(most, self.alone(group, one))
        return min(likelihood, most)

    def moves(self, part: str, watch: int) -> bool:
        """Whether a part moves a watch in some state."""
        return part in self.table.singles and float(np.abs(self.table.singles[part][:, watch]).max()) >= MOVES

    def likelihood(self, worn: Worn) -> float:
        """Product of the likelihoods of all readings."""
        if not worn:
            return math.prod(self.shown_so(group, (), ()) for group in self.groups)
        if len(worn) == 1:
            return math.prod(self.alone(group, worn[0]) for group in self.groups)
        return math.prod(self.together(group, worn) for group in self.groups)

    def probabilities(self, most: int = 2) -> dict[Worn, float]:
        """Probability of every set of at most so many worn parts in every state."""
        weights: dict[Worn, float] = {(): self.likelihood(())}
        names = list(self.states)
        for chosen in [chosen for size in range(1, most + 1) for chosen in combinations(names, size)]:
            prior = math.prod(math.exp(self.log_odds[name]) for name in chosen)
            for numbers in product(*(range(len(self.states[name].weight)) for name in chosen)):
                worn = tuple(zip(chosen, numbers, strict=True))
                of_states = math.prod(float(self.states[name].weight[number]) for name, number in worn)
                weights[worn] = prior * of_states * self.likelihood(worn)
        total = sum(weights.values())
        return {worn: weight / total for worn, weight in weights.items()}
