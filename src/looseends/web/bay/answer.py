"""What follows from a visit so far, as the sheet and the plan show it after each record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from looseends.catalogue.types import VerdictWord
from looseends.diagnosis.judge import Standing
from looseends.diagnosis.next_step import Enough, Step
from looseends.inspection.types import Judgement, Unproven
from looseends.language import Capital, Minutes, Percent, Speech, Text, Value, say
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Part, Vehicle
from looseends.web.bay.cards import setup_key
from looseends.web.bay.records import Advice, Answer, PartKnown
from looseends.web.judged.judging import Judged
from looseends.web.judged.preparing import Progress

_SUSPECTS = 4
_LEAST_SUSPECTED = 0.05


def answer_of(judged: Judged, vehicle: Vehicle, setups: Sequence[Setup], speech: Speech) -> Answer:
    """The answer of a judged visit; `setups` are those that the sheet has cards of."""
    standing, step = judged.standing, judged.step
    return Answer(
        state="known",
        words="",
        parts=parts_known(standing, judged.faults, vehicle, setups, speech),
        suspects=[_suspect(name, chance, speech) for name, chance in suspected(judged, vehicle)],
        advice=[] if isinstance(step, Enough) else _advice(step, speech),
        enough=speech.words(step.words) if isinstance(step, Enough) else "",
    )


def waiting_answer(progress: Progress, vehicle: Vehicle, speech: Speech) -> Answer:
    """The answer while tables are computed."""
    return Answer("waits", speech.words(_waits(progress, vehicle)), {}, [], [], "")


def _waits(progress: Progress, vehicle: Vehicle) -> Text:
    if progress.failed:
        return say("The tables of the {vehicle} could not be computed; it is being tried again.", vehicle=vehicle.name)
    if not progress.total:
        return say("The tables of the {vehicle} are being computed.", vehicle=vehicle.name)
    return say(
        "The tables of the {vehicle} are being computed: {done} of {total} are there.",
        vehicle=vehicle.name,
        done=progress.done,
        total=progress.total,
    )


def suspected(judged: Judged, vehicle: Vehicle) -> list[tuple[str, float]]:
    """Names and chances, the likeliest first: of parts that may be worn, and of those that only a look shows."""
    chances = [(suspect.name, suspect.probability) for suspect in judged.standing.suspects]
    chances += [(vehicle.parts[part].name, chance) for part, chance in judged.faults.items()]
    likeliest = sorted(chances, key=lambda entry: -entry[1])[:_SUSPECTS]
    return [(name, chance) for name, chance in likeliest if chance >= _LEAST_SUSPECTED]


def _suspect(name: str, chance: float, speech: Speech) -> str:
    return speech.words(say("{part}: {chance}", part=Capital(name), chance=Percent(chance)))


def _advice(step: Step, speech: Speech) -> list[Advice]:
    """The check to do now, and those that follow under the same support as planned so far."""
    check = step.check
    first = Advice(
        setup_key(check.setup),
        speech.words(Capital(check.reason)),
        speech.words(Minutes(check.minutes, 0)),
        check.again,
        check.watches if check.again else (),
    )
    reason = speech.words(say("Planned next under the same support."))
    return [first, *(Advice(setup_key(setup), reason, "") for setup in step.then)]


def parts_known(
    standing: Standing | Judgement,
    faults: Mapping[str, float],
    vehicle: Vehicle,
    setups: Sequence[Setup],
    speech: Speech,
) -> dict[str, PartKnown]:
    """Every part of the vehicle with its verdict, its chance of being worn or faulty, and what was said of it."""
    findings = {finding.part: finding for finding in standing.findings}
    chances = {suspect.part: suspect.probability for suspect in standing.suspects}
    unproven = {entry.part: entry for entry in standing.unproven}
    known = {}
    for part in vehicle.parts.values():
        found, left = findings.get(part.id), unproven.get(part.id)
        verdict: VerdictWord = "unproven" if found is None else found.verdict
        said: list[Value] = [] if found is None else [found.summary, found.advice, *(g.words for g in found.grounds)]
        said += [left.why] if left is not None else []
        chance = chances.get(part.id)
        known[part.id] = PartKnown(
            verdict=verdict,
            chance=chance or faults.get(part.id, 0.0),
            chance_words=_chance_words(chance, speech),
            said=list(dict.fromkeys(words for entry in said if (words := speech.words(entry)))),
            prove=speech.words(left.proving_words) if left is not None else "",
            prove_key=_prove_key(part, left, setups),
        )
    return known


def _chance_words(chance: float | None, speech: Speech) -> str:
    if chance is None:
        return speech.words(say("Judged by its condition alone: nothing that is gripped tells of it."))
    return speech.words(say("Worn with a chance of {chance}.", chance=Percent(chance)))


def _prove_key(part: Part, left: Unproven | None, setups: Sequence[Setup]) -> str | None:
    """The card of the check that would prove it, on the part's own side."""
    if left is None:
        return None
    fitting = [s for s in setups if s.check == left.proving_check and s.support == left.proving_support]
    ranks: Mapping[str, int] = {setup_key(s): 0 if s.side == part.side else 1 for s in fitting}
    return min(ranks, key=lambda key: ranks[key], default=None)
