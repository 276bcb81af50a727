"""Judgements of visits, computed one at a time and kept until the visit says something new."""

from __future__ import annotations

import gc
import threading
from collections import OrderedDict
from dataclasses import dataclass

from looseends.catalogue import load_catalogue
from looseends.diagnosis.consequences.account import Account
from looseends.diagnosis.consequences.of_visit import account_of_visit
from looseends.diagnosis.diagnose import Diagnosing, diagnose
from looseends.diagnosis.judge import judgement_of, replaced_as_seen
from looseends.diagnosis.next_step import Enough, Step, next_step
from looseends.diagnosis.shop import Shop
from looseends.errors import InputError, MechanicsError
from looseends.inspection.types import Judgement, Visit
from looseends.language import refusal
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.vehicle import Vehicle
from looseends.web.preparing import Preparing, Progress

_MOST_KEPT = 256
_MOST_ACCOUNTS = 64

_MOST_GOING_ON = 4
"""Of so many visits what their readings gave is kept for the next reading: a bay's benches, some 60 MB each."""


@dataclass(frozen=True)
class Judged:
    """A visit's judgement, and what to do now or why to stop."""

    judgement: Judgement
    step: Step | Enough


class Judging:
    """Judges in the caller's thread, which must be a worker's and not the one that answers requests."""

    def __init__(self, preparing: Preparing, shop: Shop) -> None:
        self._preparing, self.shop = preparing, shop
        self._turn = threading.Lock()  # two cores in a bay's computer: one judgement at a time leaves one for pages
        self._kept: OrderedDict[str, tuple[Visit, Judged]] = OrderedDict()
        self._kept_lock = threading.Lock()
        self._accounts: OrderedDict[str, tuple[Visit, Account | None]] = OrderedDict()
        self._settled = False
        self._going_on: OrderedDict[str, Diagnosing] = OrderedDict()

    def judgement(self, visit_id: str, visit: Visit) -> Judgement | Progress:
        """The judgement of a visit, or how far the tables are that it waits for; raises as `judged` does."""
        found = self.judged(visit_id, visit)
        return found if isinstance(found, Progress) else found.judgement

    def known(self, visit_id: str, visit: Visit) -> Judgement | None:
        """The judgement of a visit if it has been made already."""
        found = self._known(visit_id, visit)
        return None if found is None else found.judgement

    def judged(self, visit_id: str, visit: Visit) -> Judged | Progress:
        """The judgement of a visit with its next step, or how far the tables are that it waits for.

        Raises
        ------
        InputError
            If the visit's vehicle is none that is known.
        MechanicsError
            If a setup of the visit cannot be settled.
        """
        if (known := self._known(visit_id, visit)) is not None:
            return known
        vehicle = vehicle_of(visit)
        checks = load_catalogue().checks
        setups = [check.setup for check in visit.checks if checks[check.setup.check].kind == "movement"]
        if not self._preparing.ready(vehicle, setups):
            return self._preparing.progress(vehicle.id, setups)
        with self._turn:
            if (known := self._known(visit_id, visit)) is not None:
                return known
            diagnosed, policy = self._diagnosing(visit_id, vehicle).diagnosed(visit), self.shop.policy
            found = Judged(judgement_of(diagnosed, policy), next_step(diagnosed, policy=policy, looks=False))
            self._settle_memory()
        with self._kept_lock:
            self._kept[visit_id] = (visit, found)
            self._kept.move_to_end(visit_id)
            while len(self._kept) > _MOST_KEPT:
                self._kept.popitem(last=False)
        return found

    def step_within(self, visit_id: str, visit: Visit, minutes_left: float) -> Step | Enough:
        """The next step of a visit that was judged before, in so many minutes; raises as `judged` does."""
        with self._turn:
            diagnosed = self._diagnosing(visit_id, vehicle_of(visit)).diagnosed(visit)
            return next_step(diagnosed, minutes_left, self.shop.policy, looks=False)

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
        with self._kept_lock:
            self._accounts[visit_id] = (visit, found)
            self._accounts.move_to_end(visit_id)
            while len(self._accounts) > _MOST_ACCOUNTS:
                self._accounts.popitem(last=False)
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

    def _diagnosing(self, visit_id: str, vehicle: Vehicle) -> Diagnosing:
        """What goes on with this visit; begun anew where its vehicle became another, or its file was changed."""
        found = self._going_on.pop(visit_id, None)
        if found is None or found.vehicle is not vehicle:
            found = Diagnosing(vehicle, self._preparing.tables, self.shop.beliefs, lasting=True)
        self._going_on[visit_id] = found
        while len(self._going_on) > _MOST_GOING_ON:
            self._going_on.popitem(last=False)
        return found

    def _known(self, visit_id: str, visit: Visit) -> Judged | None:
        with self._kept_lock:
            kept = self._kept.get(visit_id)
            return kept[1] if kept is not None and kept[0] == visit else None


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
