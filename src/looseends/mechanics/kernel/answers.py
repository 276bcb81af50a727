"""Many lash problems on one stiffness: in, solved one after the other or on all cores, out with certificates."""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor

import numpy as np

from looseends.mechanics.answers import Answers, put_general_answer
from looseends.mechanics.bodies import Array
from looseends.mechanics.clearance import Block
from looseends.mechanics.constants import GAP_TOLERANCE
from looseends.mechanics.kernel.compiled import compiled
from looseends.mechanics.kernel.problem import Batch, answer
from looseends.mechanics.kernel.room import Room, new_room

_ROUNDS = 100


def solve_many(
    S: Array,
    loads: Array,
    blocks: Sequence[Block],
    semi: Array,
    *,
    seats: Array | None = None,
    softness: Array | None = None,
    df: Array | None = None,
    start: tuple[Array, Array] | None = None,
    parallel: bool = False,
) -> Answers:
    """Least-energy clearances of n problems that share S (p, p) [N/mm] and blocks.

    Parameters
    ----------
    loads : (n, p) joint forces with all clearances locked [N].
    semi : (n, p) semi-axes [mm]; seats (n, blocks) [N]; softness (n, p) [N/mm] on the diagonal; as in `solve_lash`.
    df : (p,) change of the load [N] for which the slope is wanted.
    start : g and f (n, p) of like problems; they only save time.
    parallel : spread over the cores; leave it off inside a worker of a process pool.

    Raises
    ------
    MechanicsError
        If a problem has no certified answer, from the kernel or from the general solver.
    ValueError
        If an array has another shape than is said above; the compiled code would read past its end.
    """
    n, p = loads.shape
    _refuse_other_shapes(S, blocks, n, p, semi=semi, softness=softness, seats=seats, df=df, start=start)
    batch = Batch(
        np.ascontiguousarray(S),
        np.ascontiguousarray(loads),
        np.ascontiguousarray(semi),
        np.zeros((n, len(blocks))) if seats is None else np.ascontiguousarray(seats),
        np.zeros((n, p)) if softness is None else np.ascontiguousarray(softness),
        np.zeros(0) if df is None else np.ascontiguousarray(df),
        np.zeros((0, p)) if start is None else np.ascontiguousarray(np.nan_to_num(start[0])),
        np.zeros((0, p)) if start is None else np.ascontiguousarray(np.nan_to_num(start[1])),
        np.array([block.start for block in blocks], dtype=np.intp),
        np.array([block.stop for block in blocks], dtype=np.intp),
        np.array([block.kind == "half-line" for block in blocks], dtype=np.bool_),
    )
    answers = Answers.none_yet(n, p)
    _solve(batch, answers, (os.cpu_count() or 1) if parallel else 1)
    for i in np.flatnonzero(~(answers.scaled_gap <= GAP_TOLERANCE)):
        stiffness = batch.S + np.diag(batch.softness[i])
        put_general_answer(answers, int(i), stiffness, batch.loads[i], blocks, batch.semi[i], batch.seats[i], batch.df)
    return answers


def _refuse_other_shapes(
    S: Array,
    blocks: Sequence[Block],
    n: int,
    p: int,
    *,
    semi: Array,
    softness: Array | None,
    seats: Array | None,
    df: Array | None,
    start: tuple[Array, Array] | None,
) -> None:
    wanted = [("S", S, (p, p)), ("semi", semi, (n, p)), ("softness", softness, (n, p)), ("df", df, (p,))]
    wanted.append(("seats", seats, (n, len(blocks))))
    wanted += [] if start is None else [("start g", start[0], (n, p)), ("start f", start[1], (n, p))]
    for name, array, shape in wanted:
        if array is not None and array.shape != shape:
            raise ValueError(f"{name} has the shape {array.shape}; accepted is {shape}")
    covered = [block.start for block in blocks], [block.stop for block in blocks]
    if covered[0] != [0, *covered[1][:-1]][: len(blocks)] or (covered[1][-1:] or [0]) != [p]:
        raise ValueError(f"the blocks must follow each other and cover {p} unknowns")
    if any(not 1 <= block.stop - block.start <= 3 for block in blocks):
        raise ValueError("a block has one to three unknowns")


def _solve(batch: Batch, answers: Answers, threads: int) -> None:
    """Every problem of the batch, the rows dealt out to so many threads; the kernel runs without the interpreter."""
    n = len(answers.g)
    out = (answers.g, answers.f, answers.slope, answers.scaled_gap)
    if threads == 1 or n < 2 * threads:
        _each(batch, 0, 1, new_room(batch.S.shape[0]), *out)
        return
    rooms = [new_room(batch.S.shape[0]) for _ in range(threads)]
    with ThreadPoolExecutor(threads) as pool:
        for done in [pool.submit(_each, batch, first, threads, room, *out) for first, room in enumerate(rooms)]:
            done.result()


@compiled
def _each(batch: Batch, first: int, step: int, room: Room, g: Array, f: Array, slope: Array, scaled_gap: Array) -> None:
    for i in range(first, g.shape[0], step):
        scaled_gap[i] = answer(batch, i, room, g[i], f[i], slope[i], _ROUNDS)
