"""What nothing proved, and the setup that would."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from looseends.catalogue import load_catalogue
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.detect import best_by_hand
from looseends.diagnosis.states import PartStates
from looseends.diagnosis.table import ResponseTable
from looseends.diagnosis.words import WatchName, setup_words
from looseends.inspection.types import Finding, Grounds, NotChecked, Unproven
from looseends.language import AsWritten, Percent, Value, joined, say
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Part, Vehicle


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
    entries = []
    for finding in findings:
        part = vehicle.parts[finding.part]
        if finding.verdict == "unproven" and part.id in states:
            entries.append(_unproven_part(part, finding, states[part.id], tables, because, remarks, beliefs))
    return tuple(sorted(entries, key=lambda entry: entry.part))


def best_setup(part: Part, states: PartStates, tables: Mapping[Setup, ResponseTable], beliefs: Beliefs) -> Setup:
    """The setup that shows the leading play best by hand; among good ones its own side, plainly done, soonest."""

    def rank(setup: Setup) -> tuple[float, bool, bool, bool, float]:
        chance, watch = best_by_hand(tables[setup], states, states.axes[0], beliefs)
        check = load_catalogue().checks[setup.check]
        plain = setup.brake == check.brake_states[0] and setup.steer == check.steer_states[0]
        own = watch.removesuffix(".axial") == part.id
        return (min(round(chance, 2), 0.9), own, part.side in (None, setup.side), plain, -check.minutes)

    return max(tables, key=rank)


def _unproven_part(
    part: Part,
    finding: Finding,
    states: PartStates,
    tables: Mapping[Setup, ResponseTable],
    because: Mapping[str, str],
    remarks: Sequence[Grounds],
    beliefs: Beliefs,
) -> Unproven:
    best = best_setup(part, states, tables, beliefs)
    chance, watch = best_by_hand(tables[best], states, states.axes[0], beliefs)
    wrong: list[Value] = [
        remark.words for remark in remarks if remark.kind == "cannot show" and remark.words.startswith(part.name)
    ]
    model: list[Value] = [ground.words for ground in finding.grounds if ground.kind == "model"]
    said = wrong[:1] if wrong and finding.probability < 0.1 else [*wrong[:1], *model[-1:]]
    why = AsWritten(because[part.id]) if because.get(part.id) else joined(said)
    if chance < 0.5:
        none = say("No check in the catalogue shows it well; follow the maker's procedure.")
        return Unproven(part.id, part.name, why, "", "", none)
    name = load_catalogue().checks[best.check].name
    words = say(
        "{check}: {setup}; watch {watch}. By hand it would show play at the reject clearance with a chance of "
        "{chance}.",
        check=name,
        setup=setup_words(best),
        watch=WatchName(watch),
        chance=Percent(chance),
    )
    return Unproven(part.id, part.name, why, best.check, best.support, words)
