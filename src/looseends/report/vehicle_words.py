"""The words of the catalogue for one vehicle, as the handover speaks them."""

from __future__ import annotations

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import watches_of
from looseends.language import known_as, say
from looseends.report.vocabulary import Vocabulary
from looseends.vehicle.vehicle import SIDES, Vehicle


def vehicle_vocabulary(vehicle: Vehicle) -> Vocabulary:
    """Names of checks, supports, conditions and watches, how checks are done, cautions, gauge resolutions [mm]."""
    catalogue = load_catalogue()
    names: dict[str, str] = {complaint.id: complaint.name for complaint in catalogue.complaints.values()}
    names |= {pattern.id: known_as(pattern.name, es=pattern.spanish) for pattern in catalogue.wear_patterns.values()}
    names |= {check.id: check.name for check in catalogue.checks.values()}
    names |= {support.id: support.name for support in catalogue.supports.values()}
    names |= {condition.id: condition.words for condition in catalogue.conditions.values()}
    resolution: dict[str, float] = {}
    where: dict[tuple[str, str], str] = {}
    for check in catalogue.checks.values():
        for side in SIDES if check.sided else (None,):
            for place in watches_of(check, side):
                names.setdefault(place.id, _watch_name(vehicle, place.id))
                where[check.id, place.id] = place.words
                resolution[place.id] = min(
                    resolution.get(place.id, place.gauge_resolution_mm), place.gauge_resolution_mm
                )
    for part in vehicle.parts.values():  # what is looked at is no watch of a check
        names.setdefault(part.id, part.name)
    return Vocabulary(
        names=names,
        how={check.id: check.do for check in catalogue.checks.values()},
        cautions={check.id: check.caution for check in catalogue.checks.values()}
        | {support.id: support.caution for support in catalogue.supports.values()},
        resolution_mm=resolution,
        where=where,
    )


def _watch_name(vehicle: Vehicle, watch: str) -> str:
    part = vehicle.parts.get(watch.removesuffix(".axial"))
    if part is None:
        return watch.replace("-", " ")
    return say("{part}, along its axis", part=part.name) if watch.endswith(".axial") else part.name
