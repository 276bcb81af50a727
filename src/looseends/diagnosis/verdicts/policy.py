"""A shop's policy: torn boots, pairs, urgency, thresholds and what matters next, as records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from looseends.catalogue.types import VerdictWord
from looseends.diagnosis.beliefs import Beliefs
from looseends.inspection.types import Urgency
from looseends.vehicle.vehicle import Part

URGENCIES: tuple[Urgency, ...] = ("now", "before long", "watch")
"""The most urgent first."""

TORN_BOOT = "torn-boot"
OTHERWISE = "otherwise"


@dataclass(frozen=True)
class TornBoot:
    """What a torn boot asks for.

    "plan where proven" holds for a joint that is proven tight and on which each of `clean_if_absent` was looked for and
    is absent, in the jurisdictions of `law_allows_in`.
    """

    rule: Literal["replace", "plan where proven"]
    clean_if_absent: tuple[str, ...]
    law_allows_in: tuple[str, ...]
    recheck: str
    source: str


@dataclass(frozen=True)
class PairRule:
    """What goes with a part that is replaced: recommended beside it, or not by rule."""

    id: str
    kinds: tuple[str, ...]
    groups: tuple[str, ...]
    advice: Literal["recommend", "by finding"]
    words: str
    source: str


@dataclass(frozen=True)
class UrgencyRules:
    """Urgency by verdict and group, and by condition; `order` of groups among findings that are as urgent."""

    by_verdict: Mapping[VerdictWord, Mapping[str, Urgency]]
    by_condition: Mapping[str, Urgency]
    order: tuple[str, ...]
    source: str


@dataclass(frozen=True)
class NextRules:
    """What information is worth by the part that it is about, and below which rate [bits/min] to stop.

    A part that is worn with at most the chance `unlikely_at_most` needs no further look; of the `safety_groups` with at
    most `unlikely_in_safety`. While one of these is open and there is time, the rate to stop at is
    `least_while_safety_open`.
    """

    complaint_weight: float
    unlikely_at_most: float
    least_bits_per_minute: float
    safety_groups: tuple[str, ...]
    unlikely_in_safety: float
    least_while_safety_open: float
    group_weight: Mapping[str, float]
    source: str

    def unlikely(self, group: str) -> float:
        """Chance to be worn up to which a part of a group needs no further look."""
        return self.unlikely_in_safety if group in self.safety_groups else self.unlikely_at_most


@dataclass(frozen=True)
class Policy:
    """Everything that a shop may decide; `name` is the file that it was read from, empty for what ships.

    `thresholds` replace the beliefs' figures of the same name; `support_changes` [min] the catalogue's time from one
    support to another.
    """

    name: str
    torn_boot: TornBoot
    urgency: UrgencyRules
    pairs: tuple[PairRule, ...]
    next: NextRules
    thresholds: Mapping[str, float] = field(default_factory=dict)
    support_changes: Mapping[tuple[str, str], float] = field(default_factory=dict)

    def applied_to(self, beliefs: Beliefs) -> Beliefs:
        """The beliefs with the shop's thresholds for verdicts."""
        changed: dict[str, Any] = dict(self.thresholds)
        return replace(beliefs, **changed)

    def sound_at_most(self, group: str, beliefs: Beliefs) -> float:
        """Chance to be worn up to which a part of a group may be called sound."""
        strict = self.next.unlikely_in_safety if group in self.next.safety_groups else 1.0
        return min(beliefs.sound_at_most, strict)

    def urgency_of(self, verdict: VerdictWord, group: str) -> Urgency | None:
        """How soon a finding of this verdict is due; None where nothing is to be done."""
        given = self.urgency.by_verdict.get(verdict)
        return None if given is None else given.get(group, given[OTHERWISE])

    def place(self, group: str) -> int:
        """Place of a group among findings that are as urgent, the first 0."""
        return self.urgency.order.index(group)

    def pair_rule(self, part: Part) -> PairRule | None:
        """The rule for what goes with a part: the first that names its kind, else the first that names its group."""
        named = [rule for rule in self.pairs if part.kind.id in rule.kinds]
        grouped = [rule for rule in self.pairs if part.kind.group in rule.groups]
        return next(iter([*named, *grouped]), None)

    def weight(self, group: str, *, raised: bool) -> float:
        """What one bit about a part of this group is worth; `raised`: the complaint makes it likelier."""
        weights = self.next.group_weight
        return weights.get(group, weights[OTHERWISE]) * (self.next.complaint_weight if raised else 1.0)
