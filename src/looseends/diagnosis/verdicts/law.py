"""What the law says of single parts: readings beyond its limit, and conditions that it lists."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources

from looseends.catalogue import load_catalogue
from looseends.catalogue.entry import toml_entry
from looseends.catalogue.types import Limit
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.inference.explanation import Posterior
from looseends.diagnosis.verdicts.limits import Judged
from looseends.diagnosis.verdicts.remarks import watched_part
from looseends.inspection.types import Grounds
from looseends.language import say
from looseends.vehicle.limits import speaks_of
from looseends.vehicle.vehicle import Part, Vehicle


@dataclass(frozen=True)
class LawOfParts:
    """`kinds` that a limit speaks of alone, by limit; `listed` (condition, groups, limits) that list a condition."""

    kinds: Mapping[str, tuple[str, ...]]
    listed: tuple[tuple[str, tuple[str, ...], tuple[str, ...]], ...]


@cache
def load_law_of_parts() -> LawOfParts:
    """What ships; law is no shop's to change.

    Raises
    ------
    InputError
        If the file names a limit, kind or condition that the catalogue has not.
    """
    catalogue = load_catalogue()
    whole = toml_entry(
        (resources.files("looseends.diagnosis.verdicts") / "data/law.toml").read_text("utf-8"), "law.toml"
    )
    limits, kinds = tuple(catalogue.limits), tuple(catalogue.part_kinds)
    single = {e.known("limit", limits): e.choices("kinds", kinds) for e in whole.entries("single", "single")}
    listed = tuple(
        (e.known("condition", catalogue.conditions), e.texts("groups"), e.choices("limits", limits))
        for e in whole.entries("listed", "listed")
    )
    return LawOfParts(single, listed)


def beyond_law(
    judged: Sequence[Judged], vehicle: Vehicle, posterior: Posterior, beliefs: Beliefs
) -> dict[str, tuple[Grounds, ...]]:
    """Grounds by part that readings show beyond a limit of the law, in the state that the law speaks of.

    At a part's own joint the reading alone counts, as the law has it. At a place that shows other parts too, the part
    must also be the one that is worn. Of several readings at one place more must be beyond than within. What is only
    recalled or customary is never law.
    """
    places: dict[tuple[str, str], list[Judged]] = {}
    for entry in judged:
        if entry.limit.status == "law" and entry.finding.exceeded is not None:
            places.setdefault((entry.limit.id, entry.clue.reading.watch), []).append(entry)
    found: dict[str, tuple[Grounds, ...]] = {}
    for (_, watch), entries in places.items():
        beyond = [entry for entry in entries if entry.finding.exceeded]
        if 2 * len(beyond) <= len(entries):
            continue
        last = beyond[-1]
        for part in _parts_meant(last, vehicle):
            own = watched_part(watch) == part.id
            if own or (part.id in posterior.states and posterior.marginal(part.id) >= beliefs.worn_at_least):
                found[part.id] = (*found.get(part.id, ()), *_grounds(last))
    return found


def listed_by_law(condition: str, part: Part, vehicle: Vehicle, jurisdiction: str) -> Limit | None:
    """The law of a jurisdiction that lists a condition of this part on this vehicle; None where none on file does."""
    for limit in _listing(condition, part):
        if limit.status == "law" and limit.jurisdiction == jurisdiction and speaks_of(limit, vehicle):
            return limit
    return None


def may_be_listed(condition: str, part: Part, vehicle: Vehicle, jurisdiction: str) -> bool:
    """Whether some law on file of the jurisdiction, recalled ones too, lists it or cannot be said not to."""
    return any(
        limit.jurisdiction == jurisdiction and speaks_of(limit, vehicle) is not False
        for limit in _listing(condition, part)
    )


def listed_grounds(limit: Limit) -> Grounds:
    """The law that lists a condition, as grounds."""
    words = say("{citation} lists it: {condition}.", citation=limit.citation, condition=limit.condition or "")
    return Grounds("limit", words, "law", limit.source, "")


def _listing(condition: str, part: Part) -> list[Limit]:
    limits = load_catalogue().limits
    return [
        limits[name]
        for listed, groups, names in load_law_of_parts().listed
        if listed == condition and part.kind.group in groups
        for name in names
    ]


def _parts_meant(entry: Judged, vehicle: Vehicle) -> list[Part]:
    own = vehicle.parts.get(watched_part(entry.clue.reading.watch))
    kinds, side = load_law_of_parts().kinds.get(entry.limit.id, ()), entry.clue.check.setup.side
    named = [p for p in vehicle.parts.values() if p.kind.id in kinds and side in (None, p.side)]
    return ([] if own is None else [own]) + named


def _grounds(entry: Judged) -> tuple[Grounds, ...]:
    """The reading first, then the rule that it breaks."""
    observation, *_, rule = entry.finding.grounds
    return observation, Grounds("limit", entry.finding.words, "law", rule.source, observation.refers_to), rule
