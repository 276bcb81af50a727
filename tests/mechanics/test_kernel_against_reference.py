"""Independent: the compiled kernel against the readable reference, on 5,000 problems, half of them of real mechanisms.

The gap of every answer is recomputed from g by `certificate.certify`; a part is solved by `lash` too.
"""

from __future__ import annotations

import os
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from looseends.errors import MechanicsError
from looseends.mechanics.bodies import Array
from looseends.mechanics.clearance import Block
from looseends.mechanics.constants import GAP_TOLERANCE
from looseends.mechanics.gaps import support_gaps
from looseends.mechanics.kernel import Answers, solve_many
from looseends.mechanics.lash import LashSolution, solve_lash, tangent
from tests.mechanics.lash_problems import DEGENERATE, FAMILIES, MADE_UP, REAL, Problems, draw

DRAWS = {**dict.fromkeys((*MADE_UP, *DEGENERATE), 50), **dict.fromkeys(REAL, 125)}
"""Draws of five like problems, by family: 2,500 made-up problems and 2,500 real ones."""

MOST_FALLBACKS = {
    **dict.fromkeys(MADE_UP, 0.01),
    **dict.fromkeys(DEGENERATE, 0.02),
    # Many joints that share one stiffness: their least energy is flat over a whole body of answers.
    "massless chain": 0.2,
    "coincident": 0.12,
    "linkage": 0.005,
    "worn linkage": 0.005,
    "yard pickup": 0.0,
    "worn yard pickup": 0.0,
}
"""Share of a family that may be left to the general solver."""

COMPARED = 4
"""Draws of each family that the reference solves too; it takes some 10 ms a problem."""


@cache
def _solved(family: str, seed: int) -> tuple[Problems, Answers]:
    problems = draw(family, seed)
    return problems, problems.solved()


@pytest.mark.parametrize("family", FAMILIES)
def test_five_thousand_answers_are_certified(family: str, record_property: pytest.RecordProperty) -> None:
    fallbacks, worst, count = 0, 0.0, 0
    for seed in range(DRAWS[family]):
        problems, answers = _solved(family, seed)
        for i in range(len(problems)):
            certificate = problems.certificate(i, answers.g[i])
            assert certificate.holds, (seed, i, certificate)
            assert answers.scaled_gap[i] == pytest.approx(certificate.scaled_gap, abs=1e-9), (seed, i)
            worst = max(worst, certificate.scaled_gap)
        fallbacks += int(np.sum(answers.fallback))
        count += len(problems)
    record_property("share of fallbacks", fallbacks / count)
    record_property("worst gap", worst)
    print(f"{family}: {fallbacks} of {count} left to the general solver, worst gap {worst:.1e}")
    assert fallbacks <= MOST_FALLBACKS[family] * count


def _magnitude(problems: Problems, i: int, g: Array) -> float:
    """Size of the terms [N·mm] that an energy is the small difference of."""
    return float(0.5 * abs(g) @ abs(problems.stiffness(i)) @ abs(g) + abs(problems.loads[i]) @ abs(g))


@pytest.mark.parametrize("family", FAMILIES)
def test_energies_are_the_references(family: str) -> None:
    for seed in range(COMPARED):
        problems, answers = _solved(family, seed)
        for i in range(len(problems)):
            S, seats = problems.stiffness(i), problems.seats[i]
            theirs = solve_lash(S, problems.loads[i], problems.blocks, problems.semi[i], seats=seats)
            ours = problems.certificate(i, answers.g[i])
            assert ours.holds, (seed, i)
            rounding = 1e-13 * _magnitude(problems, i, answers.g[i]) + 1e-15
            difference = problems.energy(i, answers.g[i]) - problems.energy(i, theirs.g)
            assert -theirs.certificate.gap - rounding <= difference <= ours.gap + rounding, (seed, i)


@pytest.mark.parametrize("family", ["corner", "no load"])
def test_answers_known_beforehand_have_no_less_energy(family: str) -> None:
    """Blocks on their walls without force, or loaded exactly as far as their seats; and nothing loaded at all."""
    for seed in range(DRAWS[family]):
        problems, answers = _solved(family, seed)
        assert problems.expected is not None
        for i, expected in enumerate(problems.expected):
            rounding = 1e-13 * _magnitude(problems, i, expected) + 1e-15
            ours = problems.certificate(i, answers.g[i])
            assert ours.holds, (seed, i)
            assert problems.energy(i, answers.g[i]) <= problems.energy(i, expected) + ours.gap + rounding, (seed, i)


def _clear_cut(problems: Problems, i: int, g: Array, f: Array) -> bool:
    """Whether every block clearly touches, clearly stands off, clearly sticks or clearly slides: the slope is one."""
    for number, block in enumerate(problems.blocks):
        part = slice(block.start, block.stop)
        semi = problems.semi[i][part]
        if not np.any(semi > 0.0):
            continue
        loose = semi > 0.0
        scale = np.where(np.isinf(semi[loose]), 1.0, semi[loose])
        h, force = g[part][loose] / scale, f[part][loose] * scale
        stiffness = max(float(np.max(np.diag(problems.stiffness(i))[part][loose] * scale**2)), 1e-12)
        length, pull = float(np.linalg.norm(h)), float(np.linalg.norm(force)) / stiffness
        if block.kind == "half-line":
            clear = length > 1e-4 or pull > 1e-4
        else:
            finite = scale[np.isfinite(semi[loose])]
            seat = float(problems.seats[i][number] * (np.max(finite) if finite.size else 1.0)) / stiffness
            touching = bool(np.all(np.isfinite(semi[loose]))) and length > 1.0 - 1e-8
            # Touching with force over its seat; sliding well off zero; sticking well below its seat; free inside.
            over = pull - seat
            stuck = seat > 0.0 and length == 0.0
            clear = over > 1e-4 if touching else (over < -1e-4 if stuck else 1e-4 < length < 1.0 - 1e-4 or seat == 0.0)
            clear = clear and (touching or stuck or not np.all(np.isfinite(semi[loose])) or length < 1.0 - 1e-4)
        if not clear:
            return False
    return True


@pytest.mark.parametrize("family", [name for name in FAMILIES if name not in ("no load", "corner")])
def test_slopes_are_the_references_where_the_face_is_clear_cut(family: str) -> None:
    """Compared by what they do to the joints' forces: along a free mechanism a slope is not one."""
    compared = 0
    for seed in range(DRAWS[family]):
        problems, answers = _solved(family, seed)
        for i in range(len(problems)):
            if answers.scaled_gap[i] > 1e-10 or not _clear_cut(problems, i, answers.g[i], answers.f[i]):
                continue
            S, seats = problems.stiffness(i), problems.seats[i]
            solution = LashSolution(answers.g[i], answers.f[i], problems.certificate(i, answers.g[i]))
            theirs = tangent(S, problems.blocks, problems.semi[i], solution, problems.df, seats)
            change = S @ (answers.slope[i] - theirs)
            tolerance = 1e-5 * float(np.max(np.abs(problems.df)))
            assert change == pytest.approx(0.0, abs=tolerance), (seed, i)
            compared += 1
    assert compared >= 10


@pytest.mark.parametrize("family", REAL)
def test_slopes_are_the_differences_of_neighbouring_answers(family: str) -> None:
    """Only where both sides show the same slope: between them no block has met or left its wall."""
    step, compared = 1e-4, 0
    for seed in range(25):
        problems, answers = _solved(family, seed)
        S, df = problems.S, problems.df
        up, down = (replace(problems, loads=problems.loads + s * step * df).solved().g for s in (1.0, -1.0))
        forward, back = (up - answers.g) / step, (answers.g - down) / step
        for i in range(len(problems)):
            size = 1e-3 * float(np.max(np.abs(df)))
            if float(np.max(np.abs(S @ (forward[i] - back[i])))) > 1e-2 * size or answers.scaled_gap[i] > 1e-11:
                continue
            assert S @ (answers.slope[i] - 0.5 * (forward[i] + back[i])) == pytest.approx(0.0, abs=size), (seed, i)
            compared += 1
    assert compared >= 20


@pytest.mark.parametrize("family", FAMILIES)
def test_a_start_from_a_like_or_unlike_answer_changes_nothing(family: str) -> None:
    for seed in range(10):
        problems, answers = _solved(family, seed)
        for start in ((np.roll(answers.g, 1, axis=0), np.roll(answers.f, 1, axis=0)), (answers.g, answers.f)):
            again = problems.solved(start)
            for i in range(len(problems)):
                gaps = [problems.certificate(i, a.g[i]) for a in (answers, again)]
                assert gaps[1].holds
                rounding = 1e-13 * _magnitude(problems, i, answers.g[i]) + 1e-15
                difference = problems.energy(i, answers.g[i]) - problems.energy(i, again.g[i])
                assert -gaps[1].gap - rounding <= difference <= gaps[0].gap + rounding, (seed, i)


def _same(one: Answers, other: Answers, rows: slice) -> None:
    for name in ("g", "f", "slope", "scaled_gap", "fallback"):
        assert np.array_equal(getattr(one, name), getattr(other, name)[rows]), name


@pytest.mark.parametrize("family", FAMILIES)
def test_a_batch_is_its_problems_one_by_one(family: str) -> None:
    for seed in range(6):
        problems, answers = _solved(family, seed)
        for i in range(len(problems)):
            _same(problems.only(i).solved(), answers, slice(i, i + 1))


@pytest.mark.parametrize("family", ["full", "coincident", "yard pickup", "worn yard pickup"])
def test_threads_give_what_one_thread_gives(family: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "cpu_count", lambda: 3)
    problems = draw(family, 999, count=31)
    _same(problems.solved(parallel=True), problems.solved(), slice(None))


@settings(max_examples=150)
@given(seed=st.integers(0, 2**32 - 1), family=st.sampled_from(FAMILIES), joints=st.integers(1, 20))
def test_any_draw_is_certified_and_has_the_references_energy(seed: int, family: str, joints: int) -> None:
    problems = draw(family, seed, count=1, joints=joints)
    answers = problems.solved()
    certificate = problems.certificate(0, answers.g[0])
    assert certificate.holds
    assert answers.f[0] == pytest.approx(problems.loads[0] - problems.stiffness(0) @ answers.g[0], rel=1e-9, abs=1e-6)
    theirs = solve_lash(
        problems.stiffness(0), problems.loads[0], problems.blocks, problems.semi[0], seats=problems.seats[0]
    )
    rounding = 1e-13 * _magnitude(problems, 0, answers.g[0]) + 1e-15
    difference = problems.energy(0, answers.g[0]) - problems.energy(0, theirs.g)
    assert -theirs.certificate.gap - rounding <= difference <= certificate.gap + rounding


def test_a_pull_that_nothing_holds_is_refused() -> None:
    """A half-line without stiffness pulled open, and a part without a wall pulled past its seat."""
    line, ball = (Block("half-line", 0, 1),), (Block("ball", 0, 3),)
    far = np.full((1, 3), np.inf)
    with pytest.raises(MechanicsError, match="could not be solved"):
        solve_many(np.zeros((1, 1)), np.ones((1, 1)), line, far[:, :1])
    pull = np.array([[3.0, 4.0, 0.0]])
    with pytest.raises(MechanicsError, match="could not be solved"):
        solve_many(np.zeros((3, 3)), pull, ball, far, seats=np.array([[4.9]]))
    assert not np.any(solve_many(np.zeros((3, 3)), pull, ball, far, seats=np.array([[5.0]])).g)


def test_the_draws_hold_every_state_and_size() -> None:
    """1 to 80 joints; balls, discs, intervals and half-lines; locked, stuck, sliding, on the wall, without a wall."""
    seen: set[str] = set()
    sizes: set[int] = set()
    for family in FAMILIES:
        for seed in range(40):
            problems, answers = _solved(family, seed)
            sizes.add(len(problems.blocks))
            for number, block in enumerate(problems.blocks):
                part = slice(block.start, block.stop)
                for i in range(len(problems)):
                    seen.add(_state(problems, i, number, answers.g[i][part]))
    assert min(sizes) == 1
    assert max(sizes) > 80
    kinds = {"line open", "line pressed", "locked", "inside 1", "inside 2", "inside 3", "wall 1", "wall 2", "wall 3"}
    assert seen >= kinds | {"stuck", "sliding", "no wall 1", "no wall 2", "no wall 3"}


def _state(problems: Problems, i: int, number: int, g: Array) -> str:
    block = problems.blocks[number]
    semi = problems.semi[i][block.start : block.stop]
    if block.kind == "half-line":
        return "line open" if g[0] > 0.0 else "line pressed"
    size = int(np.sum(semi > 0.0))
    if not size:
        return "locked"
    if np.any(np.isinf(semi)):
        return f"no wall {size}"
    length = float(np.linalg.norm(g[semi > 0.0] / semi[semi > 0.0]))
    if length > 1.0 - 1e-9:
        return f"wall {size}"
    if problems.seats[i][number] > 0.0:
        return "sliding" if length > 0.0 else "stuck"
    return f"inside {size}"


def test_a_wrong_answer_would_be_told() -> None:
    """Every answer of a draw, moved by a thousandth of its joints' clearance, loses its certificate."""
    problems, answers = _solved("yard pickup", 3)
    for i in range(len(problems)):
        wrong = problems.certificate(i, 0.999 * answers.g[i])
        assert wrong.scaled_gap > GAP_TOLERANCE
        f = problems.loads[i] - problems.stiffness(i) @ answers.g[i]
        assert float(np.min(support_gaps(problems.blocks, answers.g[i], f, problems.semi[i]))) > -1e-6


def test_what_moves_far_for_hardly_any_force_is_brought_to_its_certificate() -> None:
    """Forces of a hundredth of a newton beside stiffnesses of ten thousand, and joints on their walls without force."""
    problems = draw("free mechanism", 1_000_236, count=10).only(8)
    answers = problems.solved()
    assert answers.fallback[0]
    assert problems.certificate(0, answers.g[0]).holds


def test_a_ball_soft_one_way_and_stiff_another_is_set_exactly_enough() -> None:
    """A multiplier found to a share of the stiff direction alone would throw the kernel off its way near the end."""
    assert not draw("full", 500_003, count=50, joints=40).only(13).solved().fallback[0]
