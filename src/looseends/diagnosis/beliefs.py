"""What the diagnosis believes before anything is seen, read from data."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache, cached_property
from importlib import resources


@dataclass(frozen=True)
class Learner:
    """How readings and looks of somebody who still learns differ from a practised person's."""

    spread_factor: float
    threshold_spread_factor: float
    wrong_chance: float
    look_sees_share: float
    look_false_calls_factor: float
    unsaid_chance: float


@dataclass(frozen=True)
class Beliefs:
    """Prior, severity, discrepancy, verdict thresholds and planning figures; meanings stand in data/beliefs.toml.

    Clearances and movements [mm], time [min]; knots and median are multiples of the reject clearance.
    """

    worn_chance: float
    knots: tuple[float, ...]
    median: float
    log_spread: float
    even_share: float
    only_leading: float
    only_other: float
    both: float
    floor_mm: float
    share_of_change: float
    shared_softness: float
    shared_part: float
    dead_zone_error_mm: float
    dead_zone_error_share: float
    springy_taken: float
    springy_taken_spread: float
    again_error_mm: float
    again_error_share: float
    wrong_chance: float
    wrong_reach_mm: float
    looks_alike: float
    pressed_chance: float
    ensemble_members: int
    hand_force_share: float
    geometry_common_mm: float
    geometry_own_mm: float
    share_members: int
    worn_at_least: float
    beyond_reject_at_least: float
    sound_at_most: float
    seen_at_least: float
    masked_chance: float
    cannot_show_at_most: float
    leading_sets: int
    again_at_most: int
    decides_from: float
    seldom: Mapping[str, tuple[str, ...]]
    learner: Learner

    @cached_property
    def of_learner(self) -> Beliefs:
        """The same about readings of somebody who still learns."""
        return replace(self, wrong_chance=self.learner.wrong_chance)

    @cached_property
    def impersonal(self) -> Beliefs:
        """The same with everybody reading the same share of what springs into a dead zone."""
        return replace(self, springy_taken_spread=0.0)


@cache
def load_beliefs() -> Beliefs:
    """The beliefs that ship with the package."""
    text = (resources.files("looseends.diagnosis") / "data" / "beliefs.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text)
    prior, severity, discrepancy = data["prior"], data["severity"], data["discrepancy"]
    learner, verdict, planning = data["learner"], data["verdict"], data["planning"]
    return Beliefs(
        worn_chance=prior["worn_chance_at_relative_wear_1"],
        knots=tuple(severity["knots_of_reject"]),
        median=severity["median_of_reject"],
        log_spread=severity["log_spread"],
        even_share=severity["even_share"],
        only_leading=severity["only_leading"],
        only_other=severity["only_other"],
        both=severity["both"],
        floor_mm=discrepancy["floor_mm"],
        share_of_change=discrepancy["share_of_change"],
        shared_softness=discrepancy["shared_softness_factor"],
        shared_part=discrepancy["shared_part_of_variance"],
        dead_zone_error_mm=discrepancy["dead_zone_error_mm"],
        dead_zone_error_share=discrepancy["dead_zone_error_share"],
        springy_taken=discrepancy["springy_taken_share"],
        springy_taken_spread=discrepancy["springy_taken_spread"],
        again_error_mm=discrepancy["again_error_mm"],
        again_error_share=discrepancy["again_error_share"],
        wrong_chance=discrepancy["wrong_reading_chance"],
        wrong_reach_mm=discrepancy["wrong_reading_reach_mm"],
        looks_alike=discrepancy["looks_alike"],
        pressed_chance=discrepancy["pressed_chance"],
        ensemble_members=discrepancy["ensemble_members"],
        hand_force_share=discrepancy["hand_force_share"],
        geometry_common_mm=discrepancy["geometry_common_mm"],
        geometry_own_mm=discrepancy["geometry_own_mm"],
        share_members=discrepancy["share_members"],
        worn_at_least=verdict["worn_at_least"],
        beyond_reject_at_least=verdict["beyond_reject_at_least"],
        sound_at_most=verdict["sound_at_most"],
        seen_at_least=verdict["seen_at_least"],
        masked_chance=verdict["masked_chance"],
        cannot_show_at_most=verdict["cannot_show_at_most"],
        leading_sets=planning["leading_sets"],
        again_at_most=planning["again_at_most"],
        decides_from=planning["decides_from_log_odds"],
        seldom={check: tuple(supports) for check, supports in planning["seldom"].items()},
        learner=Learner(
            spread_factor=learner["spread_factor"],
            threshold_spread_factor=learner["threshold_spread_factor"],
            wrong_chance=learner["wrong_reading_chance"],
            look_sees_share=learner["look_sees_share"],
            look_false_calls_factor=learner["look_false_calls_factor"],
            unsaid_chance=learner["unsaid_chance"],
        ),
    )
