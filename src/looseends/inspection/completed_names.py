"""Names that a person may shorten: a part or a watch without its side, where only one can be meant."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from looseends.catalogue.names import unknown_name_sentence
from looseends.catalogue.types import WatchPlace
from looseends.errors import InputError
from looseends.inspection.plain_values import shown
from looseends.language import Text, refusal
from looseends.vehicle.setup import Side

# The words that only place a part; what remains in front of them is its kind.
POSITIONS = frozenset({"left", "right", "front", "rear", "inner", "outer", "upper", "lower"})


def completed_part(given: str, side: Side | None, parts: Collection[str], *, key: str, where: str) -> str:
    """The part of the vehicle that is meant by its id, or by its kind where that names one part (of `side`).

    Raises
    ------
    InputError
        If no part or several parts could be meant.
    """
    if given in parts:
        return given
    candidates = _placed(given, side, parts)
    if len(candidates) > 1:
        raise InputError(_several_sentence(key, given, candidates, where))
    if not candidates:
        raise InputError(unknown_name_sentence(key, shown(given)[1:-1], parts, where=where))
    return candidates[0]


def completed_watch(given: str, side: Side | None, watches: Mapping[str, WatchPlace], *, where: str) -> WatchPlace:
    """The watch of a check that is meant by its id, by the part it looks at, or by that part's kind.

    Raises
    ------
    InputError
        If no watch or several watches could be meant.
    """
    if given in watches:
        return watches[given]
    by_part = [watch for watch in watches.values() if watch.part == given]
    candidates = by_part or [watches[name] for name in _placed(given, side, watches)]
    if not candidates:
        parts = _placed(given, side, {watch.part for watch in watches.values() if watch.part is not None})
        candidates = [watch for watch in watches.values() if watch.part in parts]
    if len(candidates) > 1:
        raise InputError(_several_sentence("watch", given, [watch.id for watch in candidates], where))
    if not candidates:
        raise InputError(unknown_name_sentence("watch", shown(given)[1:-1], watches, where=where))
    return candidates[0]


def kind_of(part: str, kinds: Collection[str]) -> str | None:
    """The part kind that a part's id starts with, where nothing but its place follows; None otherwise."""
    words = part.split("-")
    for length in range(len(words), 0, -1):
        kind = "-".join(words[:length])
        if kind in kinds:
            return kind
        if words[length - 1] not in POSITIONS:
            return None
    return None


def _placed(given: str, side: Side | None, names: Collection[str]) -> list[str]:
    """The names that are `given` followed by words of place only, on `side` if there is one.

    An axis behind a point ("lower-ball-joint.axial") must be the same in both.
    """
    kind, _, axis = given.partition(".")
    found = []
    for name in names:
        base, _, axis_of_name = name.partition(".")
        rest = base.removeprefix(kind + "-").split("-")
        on_side = side is None or side in rest
        if base.startswith(kind + "-") and axis == axis_of_name and POSITIONS.issuperset(rest) and on_side:
            found.append(name)
    return sorted(found)


def _several_sentence(key: str, given: str, candidates: Collection[str], where: str) -> Text:
    return refusal(
        "{where}: {key} {given} may mean several, write one of {accepted}.",
        where=where,
        key=key,
        given=shown(given),
        accepted=", ".join(candidates),
    )
