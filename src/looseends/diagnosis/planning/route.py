"""The route: which checks to do under which supports, in which order, and what each of them proves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import Axis
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.observed.looked import load_looks, looked_at, setups_of_look
from looseends.diagnosis.observed.opening import Opening, load_opening
from looseends.diagnosis.planning import stands
from looseends.diagnosis.planning.shortest import Choice, Look, most_proven, shortest
from looseends.diagnosis.planning.unproven import Left, Together, left_unproven, proven_together
from looseends.diagnosis.planning.walk import Leg, Proof, Step, legs_of, setup_order
from looseends.diagnosis.planning.ways import By, Way
from looseends.diagnosis.tables.states import reject_clearance, worn_axes
from looseends.diagnosis.verdicts.policy import Policy
from looseends.diagnosis.verdicts.policy_file import load_policy
from looseends.errors import InputError
from looseends.language import refusal
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Vehicle

Proofs = Mapping[Setup, Mapping[str, Proof]]
"""What each setup proves, by part."""

_WORTH_A_LOOK, _AS_WELL = 0.5, 0.03
"""A part that nothing proves is looked at where it shows with more than this chance, and so little less than best."""


@dataclass(frozen=True)
class Route:
    """An opening, then legs; `minutes` in all, the opening included.

    Each part is proven by one step alone; `together` are those that several steps prove between them, `unproven` what
    is left, and why. `goal` and `bound`: what was sought and what no route can better, minutes for a full route
    (`within` None), else the share of the suspicion proven within so many minutes. `asked` is the chance that proves,
    seen `by`.
    """

    vehicle: str
    by: By
    asked: float
    opening: Opening
    legs: tuple[Leg, ...]
    together: tuple[Together, ...]
    unproven: tuple[Left, ...]
    minutes: float
    within: float | None
    goal: float
    bound: float

    @property
    def steps(self) -> tuple[Step, ...]:
        """All steps in the order in which they are done."""
        return tuple(step for leg in self.legs for step in leg.steps)


def full_route(vehicle: Vehicle, ways: Sequence[Way], by: By, beliefs: Beliefs, policy: Policy | None = None) -> Route:
    """The shortest route that proves every part which some way proves, seen by one observer.

    What no movement proves a look without movement may; who has nothing but eyes does none. A part that neither proves,
    but some way shows more likely than not, is looked at where it shows best.

    Raises
    ------
    LooseEndsError
        If the solver cannot prove that the route is the shortest.
    """
    led = leading(vehicle, ways)
    proofs = _with_best(_all_proofs(vehicle, led, by, beliefs), led, by)
    looks = _looks(proofs)
    wanted = frozenset().union(*(look.proves for look in looks))
    changes = change_minutes(policy)
    choice = shortest(looks, changes, wanted)
    return _route(vehicle, led, by, beliefs, proofs, choice, changes, None, None)


def route_within(
    vehicle: Vehicle,
    ways: Sequence[Way],
    by: By,
    beliefs: Beliefs,
    weights: Mapping[str, float],
    minutes: float,
    policy: Policy | None = None,
) -> Route:
    """The route that proves the greatest share of the weights by part within some minutes, opening included.

    Raises
    ------
    InputError
        If these minutes are too few for any check.
    LooseEndsError
        If the solver cannot prove that no other route proves more.
    """
    led = leading(vehicle, ways)
    proofs = _all_proofs(vehicle, led, by, beliefs)
    looks, changes, opening = _looks(proofs), change_minutes(policy), load_opening()
    least = opening.minutes + min((look.minutes + changes[look.support] for look in looks), default=0.0)
    if minutes < least:
        raise InputError(
            refusal(
                "looseends route: --minutes must be at least {least}, for the lift points and the quickest "
                "check, found {found}.",
                least=f"{least:g}",
                found=f"{minutes:g}",
            )
        )
    total = sum(weights.values())
    shares = {part: weight / total for part, weight in weights.items()}
    choice = most_proven(looks, changes, shares, minutes - opening.minutes)
    return _route(vehicle, led, by, beliefs, proofs, choice, changes, minutes, shares)


def leading(vehicle: Vehicle, ways: Sequence[Way]) -> list[Way]:
    """The ways that show the axis along which each part wears first: the one that a verdict of sound asks for."""
    axes = leading_axes(vehicle)
    return [way for way in ways if way.axis == axes[way.part]]


def looks_proving(vehicle: Vehicle, ways: Sequence[Way], by: By, beliefs: Beliefs) -> list[Look]:
    """Every setup, of checks without movement too, as a look with the parts that it proves to one observer."""
    return _looks(_all_proofs(vehicle, leading(vehicle, ways), by, beliefs))


def leading_axes(vehicle: Vehicle) -> dict[str, Axis]:
    """The axis along which each part wears first, by part, in the vehicle's order."""
    return {part.id: axes[0] for part in vehicle.wearable if (axes := worn_axes(part))}


def change_minutes(policy: Policy | None = None) -> dict[str, float]:
    """Minutes to bring the vehicle to each support; on one of them it comes in.

    A route is chosen before its order: what a policy says of the way from where the vehicle comes in holds for all.
    """
    return {name: stands.change_minutes(None, name, policy or load_policy()) for name in load_catalogue().supports}


def _proofs(ways: Sequence[Way], by: By, beliefs: Beliefs) -> Proofs:
    """In the order in which setups are named, what each proves."""
    found: dict[Setup, dict[str, Proof]] = {}
    for way in sorted(ways, key=lambda way: setup_order(way.setup)):
        if way.sights[by].chance >= beliefs.seen_at_least:
            found.setdefault(way.setup, {})[way.part] = _proof(way, by, enough=True)
    return found


def _all_proofs(vehicle: Vehicle, ways: Sequence[Way], by: By, beliefs: Beliefs) -> Proofs:
    """What each setup proves; looks without movement prove only what no movement proves, for they have no figure."""
    proofs = _proofs(ways, by, beliefs)
    proven = set().union(*proofs.values())
    found = {setup: dict(of_setup) for setup, of_setup in proofs.items()}
    if by != "eye":
        for setup, of_setup in _proofs_by_look(vehicle, beliefs).items():
            if new := {part: proof for part, proof in of_setup.items() if part not in proven}:
                found[setup] = new
    return dict(sorted(found.items(), key=lambda entry: setup_order(entry[0])))


def _proofs_by_look(vehicle: Vehicle, beliefs: Beliefs) -> dict[Setup, dict[str, Proof]]:
    """What looks prove of parts with play, in every support that the vehicle knows; the watch is what they look for."""
    axes, found = leading_axes(vehicle), {}
    for look in (look for look in load_looks() if look.chance >= beliefs.seen_at_least):
        for setup in setups_of_look(look, vehicle):
            parts = [p for p in looked_at(look, setup, vehicle) if p.id in axes and p.kind.id in look.wear]
            found[setup] = {
                p.id: Proof(
                    p.id, axes[p.id], reject_clearance(p, axes[p.id]), look.wear[p.kind.id], look.chance, 0.0, False
                )
                for p in parts
            }
    return found


def _with_best(proofs: Proofs, ways: Sequence[Way], by: By) -> Proofs:
    """What each setup proves, and what it shows as well as any of a part that none proves."""
    proven = set().union(*proofs.values())
    best: dict[str, float] = {}
    for way in ways:
        best[way.part] = max(best.get(way.part, 0.0), way.sights[by].chance)
    found = {setup: dict(of_setup) for setup, of_setup in proofs.items()}
    for way in ways:
        chance = way.sights[by].chance
        if way.part not in proven and chance > max(_WORTH_A_LOOK, best[way.part] - _AS_WELL):
            found.setdefault(way.setup, {})[way.part] = _proof(way, by, enough=False)
    return dict(sorted(found.items(), key=lambda entry: setup_order(entry[0])))


def _proof(way: Way, by: By, *, enough: bool) -> Proof:
    sight = way.sights[by]
    seen = (sight.watch, sight.chance, sight.free_mm, sight.dead_zone)
    return Proof(way.part, way.axis, way.reject_mm, *seen, enough)


def _looks(proofs: Proofs) -> list[Look]:
    checks = load_catalogue().checks
    looks = []
    for setup, proven in proofs.items():
        check = checks[setup.check]
        trouble = float(setup.brake != check.brake_states[0]) + float(setup.steer != check.steer_states[0])
        looks.append(Look(setup.support, check.minutes, frozenset(proven), trouble))
    return looks


def _route(
    vehicle: Vehicle,
    ways: Sequence[Way],
    by: By,
    beliefs: Beliefs,
    proofs: Proofs,
    choice: Choice,
    changes: Mapping[str, float],
    within: float | None,
    shares: Mapping[str, float] | None,
) -> Route:
    opening, setups = load_opening(), list(proofs)
    legs = legs_of([setups[i] for i in choice.taken], proofs, changes, shares)
    steps = [step for leg in legs for step in leg.steps]
    known = {proof.part for step in steps for proof in step.proves}
    rest = [part for part in leading_axes(vehicle) if part not in known]
    together = proven_together(rest, steps, ways, by, beliefs)
    rest = [part for part in rest if part not in {found.part for found in together}]
    before = 0.0 if shares else opening.minutes  # a full route's goal is its minutes
    return Route(
        vehicle=vehicle.id,
        by=by,
        asked=beliefs.seen_at_least,
        opening=opening,
        legs=legs,
        together=together,
        unproven=left_unproven(rest, leading_axes(vehicle), ways, by, beliefs, within),
        minutes=opening.minutes + choice.minutes,
        within=within,
        goal=before + choice.goal,
        bound=before + choice.bound,
    )
