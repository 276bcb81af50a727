"""What a handover prints, as plain text records."""

from __future__ import annotations

from dataclasses import dataclass

from looseends.catalogue.types import VerdictWord


@dataclass(frozen=True)
class GroundText:
    """One reason: its sort, its sentence, the limit's status and source, and the observation it rests on."""

    kind: str
    words: str
    status: str
    source: str
    refers_to: str
    anchor: str


@dataclass(frozen=True)
class FindingText:
    """One finding as it is printed; `shown_by` are the observations, in words."""

    part: str
    name: str
    verdict: VerdictWord
    summary: str
    shown_by: str
    effect: str
    advice: str
    amount: str
    chance: str
    grounds: tuple[GroundText, ...]


@dataclass(frozen=True)
class UnprovenText:
    """Parts that nothing could show for the same reason, why, and what would prove them."""

    names: str
    why: str
    proof: str


@dataclass(frozen=True)
class StepText:
    """A check, done or to be done: how it is set up and done, what it gave, and the caution beside it."""

    number: int
    name: str
    how: str
    setup: str
    lines: tuple[str, ...]
    who: str
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class HandoverContent:
    """Everything a handover prints, in plain text and the reader's language; the plan as SVG and in words."""

    title: str
    facts: tuple[tuple[str, str], ...]
    headline: str
    findings: tuple[FindingText, ...]
    sound: tuple[FindingText, ...]
    sound_count: str
    unproven: tuple[UnprovenText, ...]
    passed_unproven: tuple[str, ...]
    unproven_in_full: bool
    unproven_names: str
    sound_names: str
    over_limits: tuple[str, ...]
    meanings: tuple[tuple[VerdictWord, str], ...]
    system: tuple[tuple[str, str, tuple[GroundText, ...]], ...]
    checks: tuple[StepText, ...]
    conditions: tuple[tuple[int, str], ...]
    not_checked: tuple[str, ...]
    suspects: tuple[tuple[str, str, str], ...]
    explanations: tuple[tuple[str, str, str], ...]
    next_checks: tuple[StepText, ...]
    remarks: tuple[GroundText, ...]
    cautions: tuple[str, ...]
    choices: tuple[str, ...]
    signers: tuple[str, ...]
    plan: str
    plan_words: str
    not_on_plan: str
    date: str
