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
class DecisionText:
    """The owner's choices on an unsafe part, each with whether it was made, the caution, and the record if any."""

    choices: tuple[tuple[str, bool], ...]
    caution: str
    record: str


@dataclass(frozen=True)
class TableText:
    """A table: what it shows, its head, and its rows; the first cell of a row names it."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class RepairText:
    """A part that was replaced: as found, who replaced it when, and whether a check since proves it."""

    name: str
    as_found: str
    replaced: str
    proven: bool
    as_left: str
    would_prove: str


@dataclass(frozen=True)
class ConsequencesText:
    """What worn parts do: in one sentence for the customer, then tables and sentences for the annex."""

    in_short: str
    worn: str
    tables: tuple[TableText, ...]
    places: tuple[str, ...]
    repair: tuple[str, ...]
    road: tuple[str, ...]
    tires: tuple[str, ...]


@dataclass(frozen=True)
class FindingText:
    """One finding as it is printed; `shown_by` are the observations, in words, `decision` what an unsafe one asks."""

    part: str
    name: str
    verdict: VerdictWord
    summary: str
    shown_by: str
    effect: str
    advice: str
    how_soon: str
    amount: str
    chance: str
    grounds: tuple[GroundText, ...]
    decision: DecisionText | None


@dataclass(frozen=True)
class UnprovenText:
    """Parts that nothing could show for the same reason: why, and for each its names and what would prove it."""

    why: str
    parts: tuple[tuple[str, str], ...]


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
class ClipText:
    """A clip that paper cannot play: what it is of, and its first frame as an address that holds all of it."""

    words: str
    still: str
    width_px: int
    height_px: int


@dataclass(frozen=True)
class HandoverContent:
    """Everything a handover prints, in plain text and the reader's language; the plan as SVG and in words."""

    title: str
    facts: tuple[tuple[str, str], ...]
    facts_in_full: tuple[tuple[str, str], ...]
    headline: str
    findings: tuple[FindingText, ...]
    repairs: tuple[RepairText, ...]
    before_and_after: tuple[TableText, ...]
    how_judged: str
    consequences: ConsequencesText | None
    sound: tuple[FindingText, ...]
    sound_count: str
    unproven: tuple[UnprovenText, ...]
    passed_unproven: tuple[str, ...]
    unproven_names: str
    unproven_count: str
    in_doubt: str
    sound_names: str
    over_limits: tuple[str, ...]
    meanings: tuple[tuple[VerdictWord, str], ...]
    system: tuple[tuple[str, str, tuple[GroundText, ...]], ...]
    checks: tuple[StepText, ...]
    clips: tuple[ClipText, ...]
    conditions: tuple[tuple[int, str], ...]
    not_checked: tuple[str, ...]
    history: tuple[str, ...]
    suspects: tuple[tuple[str, str, str], ...]
    suspects_left_out: str
    explanations: tuple[tuple[str, str, str], ...]
    next_checks: tuple[StepText, ...]
    remarks: tuple[GroundText, ...]
    cautions: tuple[str, ...]
    signers: tuple[str, ...]
    plan: str
    plan_words: str
    not_on_plan: str
    date: str
