"""The order in which the setups of a route are done, and what each adds to what is proven."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import Axis
from looseends.vehicle.setup import Setup


@dataclass(frozen=True)
class Proof:
    """A part that a step proves: its wear to the reject clearance [mm total travel] is seen there with this chance.

    `free_mm` is the free travel that this wear adds at the watch; `dead_zone`: read the dead zone there. Where the
    chance is too small to prove it, and no other step shows it better, it is not `enough`.
    """

    part: str
    axis: Axis
    reject_mm: float
    watch: str
    chance: float
    free_mm: float
    dead_zone: bool
    enough: bool = True


@dataclass(frozen=True)
class Step:
    """One check in one setup [min]: `proves` what nothing before it did, `again` the parts that were proven already.

    `shows`: what no step proves and none shows better.
    """

    number: int
    setup: Setup
    minutes: float
    proves: tuple[Proof, ...]
    again: tuple[str, ...]
    shows: tuple[Proof, ...] = ()


@dataclass(frozen=True)
class Leg:
    """The steps under one support, and the minutes to bring the vehicle there."""

    support: str
    minutes: float
    steps: tuple[Step, ...]


def setup_order(setup: Setup) -> tuple[int, int, str, bool, bool]:
    """The catalogue's order of supports and checks, left before right, plainly done before held or free."""
    catalogue = load_catalogue()
    check = catalogue.checks[setup.check]
    places = (list(catalogue.supports).index(setup.support), list(catalogue.checks).index(setup.check))
    return (*places, setup.side or "", setup.brake != check.brake_states[0], setup.steer != check.steer_states[0])


def legs_of(
    setups: Sequence[Setup],
    proofs: Mapping[Setup, Mapping[str, Proof]],
    change_minutes: Mapping[str, float],
    shares: Mapping[str, float] | None = None,
) -> tuple[Leg, ...]:
    """The setups as steps, grouped by support: what needs no change first, then in the catalogue's order.

    With shares of a suspicion by part, what proves most of it per minute goes first, so that a visit which is broken
    off has proven much.
    """
    groups: dict[str, list[Setup]] = {}
    for setup in sorted(setups, key=lambda setup: _worth_first([setup], 0.0, proofs, shares)):
        groups.setdefault(setup.support, []).append(setup)
    order = sorted(
        groups,
        key=lambda support: (
            change_minutes[support] > 0.0 and shares is None,
            *_worth_first(groups[support], change_minutes[support], proofs, shares),
        ),
    )
    legs: list[Leg] = []
    known: set[str] = set()
    number = 0
    for support in order:
        steps = []
        for setup in groups[support]:
            number += 1
            steps.append(_step(number, setup, proofs[setup], known))
            known |= set(proofs[setup])
        legs.append(Leg(support, change_minutes[support], tuple(steps)))
    return tuple(legs)


def _worth_first(
    setups: Sequence[Setup],
    change_minutes: float,
    proofs: Mapping[Setup, Mapping[str, Proof]],
    shares: Mapping[str, float] | None,
) -> tuple[float, tuple[int, int, str, bool, bool]]:
    """Sorts the greatest share of the suspicion per minute first; without shares, and among equals, by name."""
    minutes = change_minutes + sum(_minutes(setup) for setup in setups)
    proven = set().union(*(proofs[setup] for setup in setups))
    share = sum(shares.get(part, 0.0) for part in proven) if shares else 0.0
    return -round(share / minutes, 9), setup_order(setups[0])


def _step(number: int, setup: Setup, proofs: Mapping[str, Proof], known: set[str]) -> Step:
    new = [proof for part, proof in proofs.items() if part not in known]
    return Step(
        number,
        setup,
        _minutes(setup),
        tuple(proof for proof in new if proof.enough),
        tuple(part for part in proofs if part in known),
        tuple(proof for proof in new if not proof.enough),
    )


def _minutes(setup: Setup) -> float:
    return load_catalogue().checks[setup.check].minutes
