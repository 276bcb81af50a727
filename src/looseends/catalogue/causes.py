"""Causes that a complaint or a tire's wear points to, with the weight of each."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from looseends.catalogue.entry import Entry
from looseends.catalogue.types import PartGroup, PartKind

Weight = Literal["strong", "medium", "weak"]
Angle = Literal["camber", "caster", "toe", "thrust", "ride height", "steering axis"]
WEIGHTS: tuple[Weight, ...] = get_args(Weight)


@dataclass(frozen=True)
class Cause:
    """One likely cause: how strongly it is meant, in words, and what it points to.

    `points_to` names part kinds or groups, `angles` wheel angles; both empty where the cause is neither (pressure,
    load, habit). `direction` says which way, where the trade knows it. A weight chooses the next check; it is no
    finding.
    """

    weight: Weight
    words: str
    points_to: tuple[str, ...]
    angles: tuple[Angle, ...]
    direction: str | None = None


@dataclass(frozen=True)
class CauseNames:
    """All names that a complaint or a wear pattern may refer to: part kinds by id, checks."""

    part_kinds: Mapping[str, PartKind]
    checks: Collection[str]


def named_checks(entry: Entry, names: CauseNames) -> tuple[str, ...]:
    """The checks that an entry names, the deciding one first.

    Raises
    ------
    InputError
        If there is none, or one is unknown.
    """
    checks = entry.choices("checks", tuple(names.checks))
    if not checks:
        raise entry.refuse("checks", "a list with at least one check")
    return checks


def read_causes(entry: Entry, kinds: Mapping[str, PartKind]) -> tuple[Cause, ...]:
    """The [[…cause]] tables of an entry, strongest first.

    Raises
    ------
    InputError
        If a field is not as `Cause` describes it, or a part kind or group is unknown.
    """
    known = (*kinds, *get_args(PartGroup))
    causes = [_cause(cause, known) for cause in entry.entries("cause", "cause")]
    return tuple(sorted(causes, key=lambda cause: WEIGHTS.index(cause.weight)))


def _cause(entry: Entry, known: tuple[str, ...]) -> Cause:
    cause = Cause(
        weight=entry.choice("weight", WEIGHTS),
        words=entry.text("words"),
        points_to=entry.choices("points_to", known),
        angles=entry.choices("angles", get_args(Angle)) if entry.has("angles") else (),
        direction=entry.optional_text("direction"),
    )
    entry.finish()
    return cause


def weights_by_kind(causes: Iterable[Cause], kinds: Mapping[str, PartKind]) -> dict[str, Weight]:
    """Part kinds that the causes point to, a group standing for each of its kinds, with the strongest weight of each.

    Parameters
    ----------
    causes : iterable of Cause
        Those of one complaint or one wear pattern.
    kinds : mapping
        Part kinds by id.

    Source
    ------
    Own convention: the strongest mention counts.
    """
    found: dict[str, Weight] = {}
    for cause in sorted(causes, key=lambda each: WEIGHTS.index(each.weight)):
        for kind in kinds.values():
            if {kind.id, kind.group} & set(cause.points_to):
                found.setdefault(kind.id, cause.weight)
    return found
