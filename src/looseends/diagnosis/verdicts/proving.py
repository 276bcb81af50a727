"""What nothing proved, and the setup that would."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import cast

from looseends.catalogue import load_catalogue
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.observed.detect import answers_of, best_by, best_of_each
from looseends.diagnosis.observed.looked import Look, proving_look
from looseends.diagnosis.observed.words import WatchName, held_words
from looseends.diagnosis.tables.states import PartStates
from looseends.diagnosis.tables.table import ResponseTable
from looseends.inspection.types import Finding, Grounds, NotChecked, Unproven
from looseends.language import AsWritten, InSentence, Percent, Text, Value, joined, say
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Part, Vehicle

_SHOWS = 0.5
"""A way that shows play with a smaller chance is no way."""


def unproven_parts(
    vehicle: Vehicle,
    findings: Sequence[Finding],
    states: Mapping[str, PartStates],
    tables: Mapping[Setup, ResponseTable],
    not_checked: Sequence[NotChecked],
    remarks: Sequence[Grounds],
    beliefs: Beliefs,
) -> tuple[Unproven, ...]:
    """Parts that nothing proved, with the setup that would show their leading play best."""
    because = {entry.part: entry.because for entry in not_checked}
    cannot_show = [remark.words for remark in remarks if remark.kind == "cannot show"]
    supports, entries = tuple(vehicle.layout.supports), []
    for finding in findings:
        part = vehicle.parts[finding.part]
        if finding.verdict == "unproven" and part.id in states:
            supports = tuple(vehicle.layout.supports)
            entries.append(
                _unproven_part(part, finding, states[part.id], tables, because, cannot_show, beliefs, supports)
            )
    return tuple(sorted(entries, key=lambda entry: entry.part))


def best_setup(part: Part, states: PartStates, tables: Mapping[Setup, ResponseTable], beliefs: Beliefs) -> Setup:
    """The setup that shows the leading play best by hand; among good ones its own side, plainly done, soonest."""
    return _best_way(part, states, tables, beliefs).setup


@dataclass(frozen=True)
class _Way:
    """A setup, the chance that it shows a part's leading play by hand, and the setup in words."""

    setup: Setup
    chance: float
    words: Text


def _best_way(part: Part, states: PartStates, tables: Mapping[Setup, ResponseTable], beliefs: Beliefs) -> _Way:
    """The best setup, and what it shows; what the same tables in memory were asked before is not asked again."""
    known, asked = answers_of(*tables.values()), ("best way", best_by(states, states.axes[0], beliefs))
    if asked not in known:
        known[asked] = _chosen_way(part, states, tables, beliefs)
    return cast(_Way, known[asked])


def _chosen_way(part: Part, states: PartStates, tables: Mapping[Setup, ResponseTable], beliefs: Beliefs) -> _Way:
    best = dict(zip(tables, best_of_each(tuple(tables.values()), states, states.axes[0], beliefs), strict=True))

    def rank(setup: Setup) -> tuple[float, bool, bool, bool, float]:
        chance, watch = best[setup]
        check = load_catalogue().checks[setup.check]
        plain = setup.brake == check.brake_states[0] and setup.steer == check.steer_states[0]
        own = watch.removesuffix(".axial") == part.id
        return (min(round(chance, 2), 0.9), own, part.side in (None, setup.side), plain, -check.minutes)

    setup = max(tables, key=rank)
    chance, watch = best[setup]
    words = say(
        "{check}: {setup}; watch {watch}. By hand it would show play at the reject clearance with a chance of "
        "{chance}.",
        check=load_catalogue().checks[setup.check].name,
        setup=held_words(setup),
        watch=WatchName(watch),
        chance=Percent(chance),
    )
    return _Way(setup, chance, words)


def _unproven_part(
    part: Part,
    finding: Finding,
    states: PartStates,
    tables: Mapping[Setup, ResponseTable],
    because: Mapping[str, str],
    cannot_show: Sequence[str],
    beliefs: Beliefs,
    supports: Sequence[str],
) -> Unproven:
    way = _best_way(part, states, tables, beliefs)
    best, words = way.setup, way.words
    why = _why(part, finding, because, cannot_show)
    if way.chance < _SHOWS:
        if (look := proving_look(part, supports)) is not None:
            return _by_look(finding, why, *look)
        none = say("No check in the catalogue shows it well; follow the maker's procedure.")
        return Unproven(part.id, finding.name, why, "", "", none)
    if best.check in because:
        name = load_catalogue().checks[best.check].name
        reason = say("{check} was not done: {because}", check=name, because=AsWritten(because[best.check]))
        why = joined([why, reason])
    if part.id in because or best.check in because:
        words = joined([words, _other_way(part, best, states, tables, because, beliefs)])
    return Unproven(part.id, finding.name, why, best.check, best.support, words)


def _by_look(finding: Finding, why: Text, look: Look, support: str) -> Unproven:
    """An unproven part that no gripping shows, and the look that does."""
    words = say(
        "{check}, {support}. It would show a fault with a chance of {chance}.",
        check=load_catalogue().checks[look.check].name,
        support=InSentence(load_catalogue().supports[support].name),
        chance=Percent(look.chance),
    )
    return Unproven(finding.part, finding.name, why, look.check, support, words)


def _why(part: Part, finding: Finding, because: Mapping[str, str], cannot_show: Sequence[str]) -> Text:
    """Why nothing proves it: the reason written down for leaving it out, else what the model and the remarks say."""
    wrong: list[Value] = [words for words in cannot_show if words.startswith(finding.name)]
    model: list[Value] = [ground.words for ground in finding.grounds if ground.kind == "model"]
    said = wrong[:1] if wrong and finding.probability < 0.1 else [*wrong[:1], *model[-1:]]
    if part.id not in because:
        return joined(said)
    if not because[part.id]:
        return say("It was left out, and nobody wrote down why.")
    return say("Not checked: {because}", because=AsWritten(because[part.id]))


def _other_way(
    part: Part,
    best: Setup,
    states: PartStates,
    tables: Mapping[Setup, ResponseTable],
    because: Mapping[str, str],
    beliefs: Beliefs,
) -> Text:
    """The best way by another check or under another support, where the first could not be gone.

    A check that was itself left out is no other way.
    """
    others = {
        setup: table
        for setup, table in tables.items()
        if (setup.check, setup.support) != (best.check, best.support) and setup.check not in because
    }
    if others:
        way = _chosen_way(part, states, others, beliefs)
        if way.chance >= _SHOWS:
            return say("If that cannot be done: {way}", way=way.words)
    return say("If that cannot be done: no other check shows it well.")
