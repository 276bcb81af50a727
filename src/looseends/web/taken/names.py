"""Names of what a form offers, in every language that the catalogue gives them in."""

from __future__ import annotations

from looseends.catalogue import load_catalogue
from looseends.inspection.types import SymptomSeen
from looseends.language import Text, known_as


def wear_pattern_name(pattern_id: str) -> Text:
    """A pattern of tire wear."""
    pattern = load_catalogue().wear_patterns[pattern_id]
    return known_as(pattern.name, es=pattern.spanish)


def alteration_name(alteration_id: str) -> Text:
    """What somebody may have changed on a vehicle."""
    alteration = load_catalogue().alterations[alteration_id]
    return known_as(alteration.name, es=alteration.spanish)


def symptom_name(seen: SymptomSeen) -> Text | str:
    """What was told, or what the road test or a tire showed."""
    return wear_pattern_name(seen.id) if seen.kind == "tire" else load_catalogue().complaints[seen.id].name
