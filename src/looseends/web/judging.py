"""Judgements of visits, computed one at a time and kept until the visit says something new."""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import dataclass

from looseends.catalogue import load_catalogue
from looseends.diagnosis.diagnose import diagnose
from looseends.diagnosis.judge import judgement_of
from looseends.diagnosis.next_step import Enough, Step, next_step
from looseends.diagnosis.shop import Shop
from looseends.errors import InputError
from looseends.inspection.types import Judgement, Visit
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.vehicle import Vehicle
from looseends.web.preparing import Preparing, Progress

_MOST_KEPT = 256


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
            shop = self.shop
            diagnosed = diagnose(visit, vehicle, store=self._preparing.tables, beliefs=shop.beliefs)
            found = Judged(judgement_of(diagnosed, shop.policy), next_step(diagnosed, policy=shop.policy, looks=False))
        with self._kept_lock:
            self._kept[visit_id] = (visit, found)
            self._kept.move_to_end(visit_id)
            while len(self._kept) > _MOST_KEPT:
                self._kept.popitem(last=False)
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
        raise InputError(f'visit: vehicle must be one that is known, found "{visit.vehicle}".')
    return vehicles[visit.vehicle]
