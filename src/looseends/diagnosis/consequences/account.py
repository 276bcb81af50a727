"""Everything that follows from the worn parts of a vehicle, gathered: ledgers, repair, where play moves, the road."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.consequences.bench import Bench, Progress, untold
from looseends.diagnosis.consequences.ledger import Ledger, ledger_of
from looseends.diagnosis.consequences.moving import NextToGo, PlayMoves, next_to_go, play_moves
from looseends.diagnosis.consequences.patterns import ExpectedPattern, expected_patterns
from looseends.diagnosis.consequences.repair import Repair, smallest_repair
from looseends.diagnosis.consequences.road import PreparedRoad, RoadEffects, prepare_road, road_effects
from looseends.diagnosis.consequences.road_cases import load_road_cases
from looseends.diagnosis.consequences.wear import Cases
from looseends.vehicle.vehicle import Vehicle


@dataclass(frozen=True)
class Account:
    """What worn parts do to a vehicle.

    Ledgers, road and tire patterns are means over all `cases`. A repair is asked for `leading` only: the cases of the
    most probable set of worn parts, as if that set were known. `moves` and `next_part` speak of what comes after it. A
    part is proven worn from the chance `worn_at_least` on.
    """

    cases: Cases
    leading: Cases
    ledgers: tuple[Ledger, ...]
    repair: Repair
    moves: tuple[PlayMoves, ...]
    next_part: NextToGo | None
    road: tuple[RoadEffects, ...]
    patterns: tuple[ExpectedPattern, ...]
    worn_at_least: float


def account_of(
    vehicle: Vehicle,
    cases: Cases,
    jurisdiction: str,
    *,
    anyway: Collection[str] = (),
    progress: Progress = untold,
    worn_at_least: float | None = None,
) -> Account:
    """The whole account of worn parts; `anyway` are parts to replace for what was seen on them.

    A part is proven worn with a chance of `worn_at_least`, as the beliefs that ship have it if None.

    Raises
    ------
    InputError
        If a part has no joint, or more than 8 parts are worn.
    MechanicsError
        If the vehicle cannot rest in a support that is asked for.
    """
    sure = load_beliefs().worn_at_least if worn_at_least is None else worn_at_least
    bench = Bench(vehicle, progress)
    places, load_cases = bench.places(), list(load_road_cases().values())
    steps = len(places) + len(load_cases) + 1
    ledgers = []
    for done, place in enumerate(places):
        progress(f"lash ledger: {place.name}", done, steps)
        ledgers.append(ledger_of(bench, cases, place))
    progress("the repair that is enough", len(places), steps)
    leading = cases.of_set(cases.leading_set)
    own = ledgers if leading == cases else [ledger_of(bench, leading, place) for place in places]
    repair = smallest_repair(bench, leading, jurisdiction, anyway=anyway, ledgers=own)
    moves, next_part = play_moves(bench, own, repair.parts), next_to_go(bench, leading, repair.parts)
    roads: list[PreparedRoad] = []
    for done, case in enumerate(load_cases, len(places) + 1):
        progress(f"on the road: {case.name}", done, steps)
        roads.append(prepare_road(vehicle, case))
    effects = tuple(road_effects(road, cases) for road in roads)
    patterns = expected_patterns(roads, effects, cases)
    progress("done", steps, steps)
    return Account(cases, leading, tuple(ledgers), repair, moves, next_part, effects, patterns, sure)
