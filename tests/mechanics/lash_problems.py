"""Lash problems drawn at random, by family: made up, degenerate, and reduced from real mechanisms.

Every draw is bounded below: the load on half-lines and on what has no wall is S y for some y, plus what closes a
half-line or stays within a seat. Along a direction that S does not feel such a load gains nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from looseends.catalogue.types import Axis
from looseends.mechanics.bodies import Array
from looseends.mechanics.certificate import Certificate, certify
from looseends.mechanics.clearance import Block, Clearance, ClearanceArrays, ball_sizes, clearance_arrays
from looseends.mechanics.gaps import seat_energy
from looseends.mechanics.kernel import Answers, solve_many
from looseends.mechanics.reduction import ReducedStroke
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import nominal_preload, prepare_check
from looseends.vehicle.specimen import drawn_specimen, nominal_specimen
from tests.mechanics.mechanisms import random_sample

MADE_UP = ("full", "sparse", "stiff and soft", "tiny and huge", "seats and no walls")
DEGENERATE = ("free mechanism", "massless chain", "coincident", "no load", "corner")
REAL = ("linkage", "worn linkage", "yard pickup", "worn yard pickup")
FAMILIES = (*MADE_UP, *DEGENERATE, *REAL)

VEHICLE = "yard-pickup"
SETUPS = (
    Setup("wheel39", "frame", "left", "held", "off", 0.0),
    Setup("bj-axial", "arm", "left", "held", "off", 0.0),
    Setup("idler", "frame", None, "held", "off", 0.0),
    Setup("bushpry", "ride", "left", "held", "off", 0.0),
)


@dataclass(frozen=True)
class Problems:
    """n problems on one stiffness, as `solve_many` takes them.

    `expected` (n, p) [mm] is an answer known beforehand, where the family has one.
    """

    family: str
    seed: int
    S: Array
    blocks: tuple[Block, ...]
    loads: Array
    semi: Array
    seats: Array
    softness: Array
    df: Array
    expected: Array | None = None

    def __len__(self) -> int:
        return len(self.loads)

    def stiffness(self, i: int) -> Array:
        """S of problem i with what softens it."""
        return np.asarray(self.S + np.diag(self.softness[i]))

    def energy(self, i: int, g: Array) -> float:
        """Energy [N·mm] of problem i at g, written out."""
        stored = 0.5 * g @ self.stiffness(i) @ g - self.loads[i] @ g
        return float(stored + np.sum(seat_energy(self.blocks, g, self.semi[i], self.seats[i])))

    def certificate(self, i: int, g: Array) -> Certificate:
        """Certificate of g by the readable way."""
        return certify(self.stiffness(i), self.loads[i], self.blocks, self.semi[i], g, self.seats[i])

    def solved(self, start: tuple[Array, Array] | None = None, *, parallel: bool = False) -> Answers:
        """Answers of the kernel."""
        return solve_many(
            self.S,
            self.loads,
            self.blocks,
            self.semi,
            seats=self.seats,
            softness=self.softness,
            df=self.df,
            start=start,
            parallel=parallel,
        )

    def only(self, i: int) -> Problems:
        """Problem i alone."""
        row = slice(i, i + 1)
        expected = None if self.expected is None else self.expected[row]
        return replace(
            self,
            loads=self.loads[row],
            semi=self.semi[row],
            seats=self.seats[row],
            softness=self.softness[row],
            expected=expected,
        )


def draw(family: str, seed: int, count: int = 5, joints: int | None = None) -> Problems:
    """`count` like problems of a family, the same for the same seed; `joints` fixes the size of a made-up one."""
    rng = np.random.default_rng([FAMILIES.index(family), seed])
    if family in REAL:
        return _real(family, seed, count, rng)
    return _made_up(family, seed, count, _blocks(family, joints or _size(rng), rng), rng)


def _size(rng: np.random.Generator) -> int:
    """1 to 80 joints, as many small ones as large ones."""
    return int(rng.integers(1, 13) if rng.random() < 0.5 else rng.integers(1, 81))


def _blocks(family: str, joints: int, rng: np.random.Generator) -> tuple[Block, ...]:
    """Balls, pins (a disc and an interval), slots and half-lines; joints that coincide are alike."""
    blocks: list[Block] = []
    at = 0
    alike = family in ("coincident", "massless chain")
    for _ in range(joints):
        kind = "ball" if alike else str(rng.choice(["ball", "pin", "slot", "half-line"], p=[0.35, 0.35, 0.15, 0.15]))
        for size in {"ball": (3,), "pin": (2, 1), "slot": (1,), "half-line": (1,)}[kind]:
            blocks.append(Block("half-line" if kind == "half-line" else "ball", at, at + size))
            at += size
    return tuple(blocks)


def _made_up(family: str, seed: int, count: int, blocks: tuple[Block, ...], rng: np.random.Generator) -> Problems:
    p = blocks[-1].stop
    S = _stiffness(family, p, rng)
    rows = [_wear(family, blocks, p, rng) for _ in range(count)]
    semi, seats, softness = (np.array(part) for part in zip(*rows, strict=True))
    loads, expected = np.zeros((count, p)), np.zeros((count, p))
    for i in range(count):
        total = S + np.diag(softness[i])
        if family == "corner":
            expected[i], force = _corner(blocks, semi[i], seats[i], rng)
            loads[i] = total @ expected[i] + force
        elif family != "no load":
            loads[i] = _load(total, blocks, semi[i], seats[i], rng)
    known = expected if family in ("corner", "no load") else None
    return Problems(family, seed, S, blocks, loads, semi, seats, softness, _change(S, rng), known)


def _change(S: Array, rng: np.random.Generator) -> Array:
    """A change of the load that every mechanism can carry: S y."""
    return np.asarray(S @ rng.normal(size=len(S)))


def _stiffness(family: str, p: int, rng: np.random.Generator) -> Array:
    """S = ZᵀZ (p, p) [N/mm] with 30 to 30,000 N/mm a joint."""
    root = np.sqrt(10.0 ** rng.uniform(1.5, 4.5, p))
    if family == "massless chain":
        # All joints stand in one row between the same two bodies: S feels the sum of their ways only.
        inner = rng.normal(size=(3, 3)) * root[:3]
        return np.asarray(np.tile(inner.T @ inner, (p // 3, p // 3)))
    m = max(1, int(p * (rng.choice([0.2, 0.5, 0.8]) if family == "free mechanism" else rng.choice([1.0, 1.5]))))
    Z = rng.normal(size=(m, p)) / np.sqrt(m)
    if family == "sparse":
        Z *= rng.random((m, p)) < 0.3
    if family == "stiff and soft" and m > 1:
        Z[m // 2 :] *= 1e-3
    Z *= root
    if family == "coincident":
        for at in range(0, p, 3):
            source = 3 * int(rng.integers(0, at // 3 + 1))
            Z[:, at : at + 3] = Z[:, source : source + 3]
    return np.asarray(Z.T @ Z)


def _wear(family: str, blocks: Sequence[Block], p: int, rng: np.random.Generator) -> tuple[Array, Array, Array]:
    """Semi-axes, seats and softness of one problem."""
    semi, softness, seats = np.zeros(p), np.zeros(p), np.zeros(len(blocks))
    low, high = (-3.0, 1.5) if family == "tiny and huge" else (-1.5, 0.7)
    seated = family in ("seats and no walls", "corner")
    for number, block in enumerate(blocks):
        part, size = slice(block.start, block.stop), block.stop - block.start
        if block.kind == "half-line":
            semi[part] = np.inf
            continue
        if seated and rng.random() < 0.4:
            seats[number] = 10.0 ** rng.uniform(0.0, 3.5)
        if family == "seats and no walls" and rng.random() < 0.3:
            semi[part] = np.where(rng.random(size) < 0.8, np.inf, 0.0)
            softness[part] = np.where(np.isinf(semi[part]), 10.0 ** rng.uniform(1.0, 4.0), 0.0) * (rng.random() < 0.7)
        elif rng.random() < 0.85:
            semi[part] = 10.0 ** rng.uniform(low, high) * rng.choice([1.0, 1.0, 0.3, 0.01], size)
            semi[part][rng.random(size) < 0.07] = 0.0
    return semi, seats, softness


def _load(S: Array, blocks: Sequence[Block], semi: Array, seats: Array, rng: np.random.Generator) -> Array:
    """A bounded load: any force on what has walls, S y on the rest."""
    p = len(S)
    force = rng.normal(size=p) * 10.0 ** rng.uniform(0.0, 4.0)
    if rng.random() < 0.3:
        force *= rng.random(p) < 0.3
    y = np.zeros(p)
    for number, block in enumerate(blocks):
        part = slice(block.start, block.stop)
        if np.all(np.isfinite(semi[part])):
            continue
        y[part] = rng.normal(size=block.stop - block.start) * 10.0 ** rng.uniform(-2.0, 1.0)
        if block.kind == "half-line":
            force[part] = -np.abs(force[part]) * (rng.random() < 0.5)
        else:
            force[part] *= seats[number] * rng.random() / max(float(np.linalg.norm(force[part])), 1e-30)
    return np.asarray(force + S @ y)


def _corner(blocks: Sequence[Block], semi: Array, seats: Array, rng: np.random.Generator) -> tuple[Array, Array]:
    """An answer g (p,) and its force (p,): blocks on their walls without force, or exactly as loaded as their seats.

    In h = g / semi-axis a ball holds the force λ h with λ = its seat's cost inside, at least that on its wall.
    """
    g, force = np.zeros(len(semi)), np.zeros(len(semi))
    costs = seats * ball_sizes(blocks, semi)
    for number, block in enumerate(blocks):
        part = slice(block.start, block.stop)
        if block.kind == "half-line":
            state = rng.integers(3)
            g[part], force[part] = [(0.0, 0.0), (10.0 ** rng.uniform(-2, 1), 0.0), (0.0, -rng.uniform(0, 1e3))][state]
            continue
        loose = np.flatnonzero(semi[part] > 0.0) + block.start
        if not loose.size:
            continue
        h = rng.normal(size=loose.size)
        h /= np.linalg.norm(h)
        length = float(rng.choice([0.0, rng.uniform(0.05, 0.95), 1.0, 1.0]))
        carried = costs[number] * (rng.random() if length == 0.0 and rng.random() < 0.5 else 1.0)
        if length == 1.0 and rng.random() < 0.4:
            carried += rng.uniform(0.0, 1e3)
        g[loose], force[loose] = semi[loose] * length * h, carried * h / semi[loose]
    return g, force


def _real(family: str, seed: int, count: int, rng: np.random.Generator) -> Problems:
    if family.endswith("yard pickup"):
        reduced, shares = pickup_strokes()[int(rng.integers(len(pickup_strokes())))]
        wear = [_worn_parts(reduced, rng, family.startswith("worn")) for _ in range(count)]
    else:
        kinds = ("plain", "zero", "tiny", "huge", "parallel", "coincident", "no-load")
        sample = random_sample(rng, str(rng.choice(kinds)))
        reduced, shares = sample.stroke.reduced, (-1.0, 0.0, 1.0)
        wear = [_scattered(sample.clearances, rng, family.startswith("worn")) for _ in range(count)]
    arrays = [clearance_arrays(w, reduced.joints, reduced.held, reduced.blocks, reduced.root**2) for w in wear]
    return _of_stroke(family, seed, reduced, arrays, rng.choice(shares, count))


def _of_stroke(
    family: str, seed: int, reduced: ReducedStroke, arrays: Sequence[ClearanceArrays], shares: Array
) -> Problems:
    n, p = len(arrays), len(reduced.f_base)
    return Problems(
        family,
        seed,
        reduced.S,
        reduced.blocks,
        reduced.f_base + shares[:, None] * reduced.f_hand,
        np.array([a.semi for a in arrays]).reshape(n, p),
        np.array([a.seats for a in arrays]).reshape(n, len(reduced.blocks)),
        np.array([a.softness for a in arrays]).reshape(n, p),
        reduced.f_hand,
    )


def _scattered(clearances: Mapping[str, Clearance], rng: np.random.Generator, worn: bool) -> dict[str, Clearance]:
    """Clearances of a linkage, made up to a half larger; `worn` also dries, softens and takes out joints."""
    factor = rng.uniform(0.5, 1.5)
    larger = {n: replace(c, radial=factor * c.radial, axial=factor * c.axial) for n, c in clearances.items()}
    return {name: _worn(c, rng) for name, c in larger.items()} if worn else larger


def _worn(clearance: Clearance, rng: np.random.Generator, missing: float = 0.15) -> Clearance:
    radial, axial = (float(rng.choice([1.0, 1.0, rng.uniform(0.02, 0.98)])) for _ in range(2))
    seat = float(10.0 ** rng.uniform(0.0, 3.5)) if rng.random() < 0.6 else 0.0
    gone = bool(rng.random() < missing)
    return replace(clearance, seat=seat, radial_stiffness_left=radial, axial_stiffness_left=axial, missing=gone)


@cache
def pickup_strokes() -> list[tuple[ReducedStroke, tuple[float, ...]]]:
    """Every stroke of some checks of the pickup, reduced, with its shares of the hand load."""
    vehicle = load_vehicles()[VEHICLE]
    specimen, preload = nominal_specimen(vehicle), nominal_preload(VEHICLE)
    prepared = [prepare_check(vehicle, specimen, setup, preload) for setup in SETUPS]
    return [(s.reduced, (s.first_share, s.last_share)) for check in prepared for s in check.strokes]


def _worn_parts(reduced: ReducedStroke, rng: np.random.Generator, worn: bool) -> dict[str, Clearance]:
    """Clearances of a pickup with sound joints drawn over their bands and up to three worn parts.

    `worn` parts are also dry or softened, sometimes missing; not where the whole would fall apart then.
    """
    vehicle = load_vehicles()[VEHICLE]
    parts = [part for part in vehicle.wearable if set(part.joints) & set(reduced.joints)]
    chosen = [parts[int(i)] for i in rng.choice(len(parts), int(rng.integers(0, 4)), replace=False)]
    axes: tuple[Axis, ...] = ("radial", "axial")
    travel = {(part.id, axis): rng.uniform(0.2, 4.0) for part in chosen for axis in axes}
    clearances = drawn_specimen(vehicle, rng).clearances(vehicle, travel)
    there = {name: c for name, c in clearances.items() if name in reduced.joints}
    if worn:
        for part in chosen:
            changed = _worn(there[next(j for j in part.joints if j in there)], rng)
            for name in part.joints:
                trial = {**there, name: changed}
                if name in there and _holds(reduced, trial):
                    there = trial
    return there


def _holds(reduced: ReducedStroke, clearances: Mapping[str, Clearance]) -> bool:
    """Whether the loads move what has no wall by less than a decimetre with all else locked."""
    arrays = clearance_arrays(clearances, reduced.joints, reduced.held, reduced.blocks, reduced.root**2)
    line = np.zeros(len(arrays.semi), dtype=bool)
    line[[b.start for b in reduced.blocks if b.kind == "half-line"]] = True
    free = np.flatnonzero(np.isinf(arrays.semi) & ~line)
    S = (reduced.S + np.diag(arrays.softness))[np.ix_(free, free)]
    loads = np.column_stack([reduced.f_base, reduced.f_hand])[free]
    moved = np.linalg.lstsq(S, loads, rcond=1e-12)[0] if free.size else np.zeros((0, 2))
    unheld = float(np.max(np.abs(S @ moved - loads), initial=0.0))
    largest = max(1.0, float(np.max(np.abs(loads), initial=0.0)))
    return bool(np.all(np.abs(moved) < 100.0)) and unheld < 1e-6 * largest
