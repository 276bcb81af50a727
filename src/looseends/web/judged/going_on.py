"""What the readings of a bay's visits gave, kept for the next reading, and what the visits of one vehicle share."""

from __future__ import annotations

from collections import OrderedDict

from looseends.diagnosis.inference.diagnose import Diagnosed, Diagnosing
from looseends.diagnosis.inference.in_common import InCommon
from looseends.diagnosis.shop import Shop
from looseends.diagnosis.tables.store import TableStore
from looseends.inspection.types import Visit
from looseends.vehicle.vehicle import Vehicle

_MOST_VISITS, _MOST_VEHICLES, _MOST_WHOLE = 64, 6, 8
"""So many of each: some 6 MB a visit, 80 a vehicle, and 13 for a visit that is kept whole."""


class GoingOn:
    """The visits that go on; one thread at a time."""

    def __init__(
        self,
        tables: TableStore,
        shop: Shop,
        *,
        most_visits: int = _MOST_VISITS,
        most_vehicles: int = _MOST_VEHICLES,
        most_whole: int = _MOST_WHOLE,
    ) -> None:
        self._tables, self._shop = tables, shop
        self._most_visits, self._most_vehicles, self._most_whole = most_visits, most_vehicles, most_whole
        self._vehicles: OrderedDict[str, InCommon] = OrderedDict()
        self._visits: OrderedDict[str, Diagnosing] = OrderedDict()
        self._whole: OrderedDict[str, Diagnosed] = OrderedDict()

    def diagnosed(self, visit_id: str, visit: Visit, vehicle: Vehicle) -> Diagnosed:
        """The visit laid against its vehicle; the same object where it was so asked lately.

        Raises
        ------
        MechanicsError
            If a setup of the visit cannot be settled.
        """
        known = self._whole.pop(visit_id, None)
        if known is None or known.visit != visit or known.vehicle is not vehicle:
            known = self._diagnosing(visit_id, vehicle).diagnosed(visit)
        self._whole[visit_id] = known
        while len(self._whole) > self._most_whole:
            self._whole.popitem(last=False)
        return known

    def in_common(self, vehicle: Vehicle) -> InCommon:
        """What visits of a vehicle share; begun anew, with its visits, where its file was changed."""
        found = self._vehicles.pop(vehicle.id, None)
        if found is None or found.vehicle is not vehicle:
            found = InCommon(vehicle, self._tables, self._shop.beliefs, lasting=True)
        self._vehicles[vehicle.id] = found
        while len(self._vehicles) > self._most_vehicles:
            self._vehicles.popitem(last=False)
        return found

    def _diagnosing(self, visit_id: str, vehicle: Vehicle) -> Diagnosing:
        """What goes on with a visit; begun anew where its vehicle became another, or left the memory."""
        common, found = self.in_common(vehicle), self._visits.pop(visit_id, None)
        if found is None or found.common is not common:
            found = Diagnosing(vehicle, self._tables, self._shop.beliefs, common=common)
        self._visits[visit_id] = found
        held = list(self._vehicles.values())
        for other, diagnosing in list(self._visits.items()):
            if len(self._visits) > self._most_visits or diagnosing.common not in held:
                del self._visits[other]
        return found
