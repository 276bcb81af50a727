"""Judgements of visits, computed one at a time and kept until the visit says something new."""

from __future__ import annotations

import gc
import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from looseends.catalogue import load_catalogue
from looseends.diagnosis.consequences.account import Account
from looseends.diagnosis.consequences.of_visit import account_of_visit
from looseends.diagnosis.inference.diagnose import Diagnosed, diagnose
from looseends.diagnosis.judge import Standing, judgement_of, replaced_as_seen, standing_of
from looseends.diagnosis.next_step import Enough, Step, next_step
from looseends.diagnosis.planning.looks import fault_chances
from looseends.diagnosis.shop import Shop
from looseends.errors import InputError, MechanicsError
from looseends.inspection.types import Judgement, Visit
from looseends.language import refusal
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.vehicle import Vehicle
from looseends.web.judged.going_on import GoingOn
from looseends.web.judged.preparing import Preparing, Progress

_MOST_KEPT = 256
_MOST_ACCOUNTS = 64


_Made = TypeVar("_Made")
_Kept = OrderedDict[str, tuple[Visit, _Made]]
"""By visit, with the visit as it was then."""


@dataclass(frozen=True)
class Judged:
    """What a sheet shows after a record: how every part stands, and what to do now or why to stop.

    `faults`: the chance that each part which only a look shows has a fault, as long as it was not looked at.
    """

    standing: Standing | Judgement
    step: Step | Enough
    faults: Mapping[str, float] = field(default_factory=dict)


class Judging:
    """Judges in the caller's thread, which must be a worker's and not the one that answers requests."""

    def __init__(self, preparing: Preparing, shop: Shop) -> None:
        self._preparing, self.shop = preparing, shop
        self._turn = threading.Lock()  # two cores in a bay's computer: one judgement at a time leaves one for pages
        self._judged: OrderedDict[str, tuple[Visit, Judged]] = OrderedDict()
        self._judgements: OrderedDict[str, tuple[Visit, Judgement]] = OrderedDict()
        self._accounts: OrderedDict[str, tuple[Visit, Account | None]] = OrderedDict()
        self._kept_lock = threading.Lock()
        self._settled = False
        self._going_on = GoingOn(preparing.tables, shop)

    def judgement(self, visit_id: str, visit: Visit) -> Judgement | Progress:
        """The whole judgement of a visit, or how far the tables are that it waits for; raises as `judged` does."""
        return self._made(self._judgements, visit_id, visit, lambda found: judgement_of(found, self.shop.policy))

    def known(self, visit_id: str, visit: Visit) -> Judgement | None:
        """The judgement of a visit if it has been made already."""
        return self._known(self._judgements, visit_id, visit)

    def judged(self, visit_id: str, visit: Visit) -> Judged | Progress:
        """How a visit's parts stand, with its next step, or how far the tables are that it waits for.

        Raises
        ------
        InputError
            If the visit's vehicle is none that is known.
        MechanicsError
            If a setup of the visit cannot be settled.
        """
        return self._made(self._judged, visit_id, visit, self._judged_of)

    def _judged_of(self, found: Diagnosed) -> Judged:
        policy = self.shop.policy
        return Judged(standing_of(found, policy), next_step(found, policy=policy), fault_chances(found))

    def _made(
        self, kept: _Kept[_Made], visit_id: str, visit: Visit, make: Callable[[Diagnosed], _Made]
    ) -> _Made | Progress:
        """What is made of a visit, kept from when it was asked before, else made now."""
        if (known := self._known(kept, visit_id, visit)) is not None:
            return known
        vehicle = vehicle_of(visit)
        checks = load_catalogue().checks
        setups = [check.setup for check in visit.checks if checks[check.setup.check].kind == "movement"]
        if not self._preparing.ready(vehicle, setups):
            return self._preparing.progress(vehicle.id, setups)
        with self._turn:
            if (known := self._known(kept, visit_id, visit)) is not None:
                return known
            found = make(self._going_on.diagnosed(visit_id, visit, vehicle))
            self._settle_memory()
        self._keep(kept, _MOST_KEPT, visit_id, (visit, found))
        return found

    def step_within(self, visit_id: str, visit: Visit, minutes_left: float) -> Step | Enough:
        """The next step of a visit that was judged before, in so many minutes; raises as `judged` does."""
        with self._turn:
            diagnosed = self._going_on.diagnosed(visit_id, visit, vehicle_of(visit))
            return next_step(diagnosed, minutes_left, self.shop.policy)

    def account(self, visit_id: str, visit: Visit) -> Account | None:
        """What the worn parts of a visit do, which takes seconds; None where nothing is worn or too much to be told.

        Raises
        ------
        InputError
            If the visit's vehicle is none that is known.
        """
        if self.knows_account(visit_id, visit):
            return self._accounts[visit_id][1]
        with self._turn:
            if self.knows_account(visit_id, visit):
                return self._accounts[visit_id][1]
            found = self._account(visit)
        self._keep(self._accounts, _MOST_ACCOUNTS, visit_id, (visit, found))
        return found

    def knows_account(self, visit_id: str, visit: Visit) -> bool:
        """Whether it was worked out already."""
        with self._kept_lock:
            kept = self._accounts.get(visit_id)
            return kept is not None and kept[0] == visit

    def _account(self, visit: Visit) -> Account | None:
        diagnosed = diagnose(
            visit, vehicle_of(visit), store=self._preparing.tables, usual=False, beliefs=self.shop.beliefs
        )
        try:
            return account_of_visit(diagnosed, replaced_as_seen(visit, diagnosed, self.shop.policy))
        except MechanicsError:  # it rests where it was checked, but in no support that the account asks for
            return None

    def _settle_memory(self) -> None:
        """After the first judgement: catalogue, vehicles and program stay, and are not to be searched for garbage.

        The search takes longer than a judgement that goes on, and would come with every fifth.
        """
        if not self._settled:
            gc.collect()
            gc.freeze()
            self._settled = True

    def _known(self, kept: _Kept[_Made], visit_id: str, visit: Visit) -> _Made | None:
        with self._kept_lock:
            found = kept.get(visit_id)
            return found[1] if found is not None and found[0] == visit else None

    def _keep(self, kept: _Kept[_Made], most: int, visit_id: str, made: tuple[Visit, _Made]) -> None:
        with self._kept_lock:
            kept[visit_id] = made
            kept.move_to_end(visit_id)
            while len(kept) > most:
                kept.popitem(last=False)


def vehicle_of(visit: Visit) -> Vehicle:
    """The vehicle that a visit is of.

    Raises
    ------
    InputError
        If it is none of those that are known.
    """
    vehicles = load_vehicles()
    if visit.vehicle not in vehicles:
        raise InputError(refusal('visit: vehicle must be one that is known, found "{found}".', found=visit.vehicle))
    return vehicles[visit.vehicle]
