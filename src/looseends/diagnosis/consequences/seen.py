"""Parts that must be replaced for what was seen on them, whatever they let move."""

from __future__ import annotations

from collections.abc import Iterable

from looseends.catalogue import load_catalogue
from looseends.inspection.types import ConditionSeen


def to_replace_as_seen(conditions: Iterable[ConditionSeen]) -> tuple[str, ...]:
    """Ids of parts with a condition, seen and there, that is called unsafe or to be replaced, each once."""
    known = load_catalogue().conditions
    there = (c for c in conditions if c.present)
    return tuple(dict.fromkeys(c.part for c in there if known[c.condition].verdict in ("unsafe", "replace")))
