"""How the compiled kernel agrees with the readable reference and its certificate, on 100,000 problems.

About five minutes on one core; nearly all of it goes into drawing problems and certifying answers by the readable way.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from looseends.errors import MechanicsError
from looseends.mechanics.kernel import warm_up
from looseends.mechanics.lash import solve_lash
from tests.mechanics.lash_problems import FAMILIES, REAL, Problems, draw

NAME = "kernel_agreement"
COUNT = 100_000
"""Problems in all, half of them of real mechanisms."""

TOGETHER = 10
"""Like problems on one stiffness, solved in one call."""

EVERY = 100
"""One problem in so many is solved by the reference too."""

FIRST_SEED = 1_000_000
"""Other draws than those of the tests."""


@dataclass
class Tally:
    """What came of one family's problems.

    `worst_gap` is the largest energy-scaled gap by `certificate.certify`, `own_differs` the largest difference to what
    the kernel itself says; `energy_differs` the largest difference to the reference's energy over the energy at stake.
    """

    problems: int = 0
    uncertified: int = 0
    fallback: int = 0
    most_blocks: int = 0
    compared: int = 0
    worst_gap: float = 0.0
    own_differs: float = 0.0
    energy_differs: float = 0.0
    refused: list[int] = field(default_factory=list)

    def add(self, problems: Problems) -> None:
        """Solve and judge one draw; what the kernel and the reference refuse is kept by its seed."""
        self.most_blocks = max(self.most_blocks, len(problems.blocks))
        self.problems += len(problems)
        try:
            answers = problems.solved()
        except MechanicsError:
            self.refused.append(problems.seed)
            self.uncertified += len(problems)
            return
        self.fallback += int(np.sum(answers.fallback))
        for i, (g, own) in enumerate(zip(answers.g, answers.scaled_gap, strict=True)):
            certificate = problems.certificate(i, g)
            self.uncertified += not certificate.holds
            self.worst_gap = max(self.worst_gap, certificate.scaled_gap)
            self.own_differs = max(self.own_differs, abs(float(own) - certificate.scaled_gap))
        if problems.seed % (EVERY // TOGETHER) == 0:
            self._compare(problems, answers.g[0])

    def _compare(self, problems: Problems, g: np.ndarray) -> None:
        S, blocks, seats = problems.stiffness(0), problems.blocks, problems.seats[0]
        theirs = solve_lash(S, problems.loads[0], blocks, problems.semi[0], seats=seats)
        stake = 0.5 * abs(float(g @ S @ g)) + abs(float(problems.loads[0] @ g)) + 1e-9
        difference = abs(problems.energy(0, g) - problems.energy(0, theirs.g)) / stake
        self.energy_differs = max(self.energy_differs, difference)
        self.compared += 1

    def row(self) -> dict[str, Any]:
        """One row of the table."""
        return {
            "problems": self.problems,
            "most blocks": self.most_blocks,
            "not certified": self.uncertified,
            "left to the general solver": self.fallback,
            "share %": round(100.0 * self.fallback / max(self.problems, 1), 3),
            "worst gap": self.worst_gap,
            "own gap differs": self.own_differs,
            "compared": self.compared,
            "worst energy difference": self.energy_differs,
        }


def run(rows: list[str] | None) -> dict[str, Any]:
    """The study: every chosen family of problems."""
    return study(rows, COUNT)


def study(rows: list[str] | None, count: int) -> dict[str, Any]:
    """The study with another number of problems."""
    warm_up()
    tallies = {name: _tally(name, count) for name in FAMILIES if rows is None or name in rows}
    total = sum(tally.problems for tally in tallies.values())
    return {
        "title": "The compiled kernel against its certificate and the readable reference",
        "about": (
            f"{total} lash problems drawn as in tests/mechanics/lash_problems.py, {TOGETHER} like ones on one "
            "stiffness: made up of 1 to 80 joints, degenerate, and reduced from random linkages and from checks on the "
            "yard pickup. Gaps are energy-scaled, recomputed from the clearances taken up by the readable certificate; "
            "an answer counts as certified up to 1e-8. What the kernel does not bring there it leaves to the general "
            f"solver. One problem in {EVERY} is also solved by the reference; energies differ by the share stated of "
            "the energy at stake."
        ),
        "rows": {name: tally.row() for name, tally in tallies.items()},
        "not certified": sum(tally.uncertified for tally in tallies.values()),
        "left to the general solver": sum(tally.fallback for tally in tallies.values()),
        "draws refused": sum(len(tally.refused) for tally in tallies.values()),
    }


def _tally(family: str, count: int) -> Tally:
    """One family: half of all problems go to the real ones, shared alike among each half's families."""
    families = len(REAL) if family in REAL else len(FAMILIES) - len(REAL)
    tally = Tally()
    for number in range(max(1, count // (2 * families * TOGETHER))):
        tally.add(draw(family, FIRST_SEED + number, count=TOGETHER))
    print(f"  {family}: {tally.problems} problems", flush=True)
    return tally
