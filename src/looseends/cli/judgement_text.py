"""A judgement as text: the verdict word first, then the part, its summary and its grounds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import LimitStatus, VerdictWord
from looseends.diagnosis.observed.words import BRAKE, SIDE_OF_VEHICLE, STEERING, URGENCY_WORDS, VERDICT_WORDS, WatchName
from looseends.inspection.types import (
    Finding,
    Grounds,
    Judgement,
    Mover,
    NextCheck,
    Repair,
    Suspect,
    SystemFinding,
    Unproven,
    Visit,
)
from looseends.language import ENGLISH, AsWritten, InSentence, Minutes, Number, Speech, Value, joined, say
from looseends.language import Text as Sentence
from looseends.vehicle.setup import Setup

VERDICTS: tuple[VerdictWord, ...] = ("unsafe", "replace", "plan", "sound", "unproven")
WEIGHT: dict[VerdictWord, str] = {"unsafe": "bold", "replace": "bold", "plan": "", "sound": "", "unproven": "dim"}
PROBABILITY_WORDS = (
    (0.95, say("nearly certain")),
    (0.7, say("likely")),
    (0.3, say("possible")),
    (0.05, say("unlikely")),
    (0.0, say("very unlikely")),
)
_LIKELY_ENOUGH, _RAISED = 0.1, 1.5
"""A suspect is told of from this probability on, or where it is so much likelier than before the visit."""

_WORTH_A_LINE = 1.5
"""A reading that changes the odds of a part by less than this factor is not told of."""

GROUNDS: Mapping[str, Sentence] = {
    "observation": say("observation"),
    "limit": say("limit"),
    "model": say("model"),
    "contradiction": say("contradiction"),
    "cannot show": say("cannot show"),
    "policy": say("policy"),
}
STATUS: Mapping[LimitStatus, Sentence] = {
    "law": say("law"),
    "maker": say("maker"),
    "common practice": say("common practice"),
    "to be confirmed": say("to be confirmed"),
}
EXCEEDED: Mapping[bool | None, Sentence] = {
    True: say("limit exceeded"),
    False: say("limit not exceeded"),
    None: say("limit not proven"),
}


def print_judgement(judgement: Judgement, out: Console, speech: Speech = ENGLISH, *, in_full: bool = False) -> None:
    """Findings with the gravest first, what the law says of the whole linkage, suspects, the next check.

    Unproven parts that the visit says nothing of, and parts that are as unlikely as before, are named in one line each,
    unless everything is told `in_full`.
    """
    visit = judgement.visit
    vehicle = speech.words(judgement.vehicle_name)
    out.print(f"{vehicle}, {visit.date.isoformat()}, {visit.technician}", style="bold")
    if visit.complaint:
        out.print(speech.words(say("Complaint: {complaint}", complaint=AsWritten(visit.complaint))))
    out.print()
    unproven = {entry.part: entry for entry in judgement.unproven}
    for verdict in VERDICTS:
        for finding in judgement.findings:
            if finding.verdict == verdict:
                _print_finding(finding, unproven.pop(finding.part, None), out, speech)
    spoken = _spoken_of(judgement.visit) | {s.part for s in judgement.suspects if s.probability >= _LIKELY_ENOUGH}
    untouched = [] if in_full else [entry for entry in unproven.values() if entry.part not in spoken]
    for entry in unproven.values():
        if entry not in untouched:
            _print_unproven(entry, out, speech)
    if untouched:
        names = say("nothing was done about {parts}", parts=tuple(entry.name for entry in untouched))
        out.print(_line(VERDICT_WORDS["unproven"], WEIGHT["unproven"], names, speech))
    for repair in judgement.repairs:
        _print_repair(repair, out, speech)
    for system in judgement.system_findings:
        _print_system(system, out, speech)
    _print_suspects(judgement.suspects, out, speech, in_full=in_full)
    for remark in judgement.remarks:
        _indented(say("note: {remark}", remark=remark.words), out, speech)
    print_next_checks(judgement.next_checks[:1], out, speech)


def print_next_checks(
    checks: Sequence[NextCheck], out: Console, speech: Speech = ENGLISH, *, with_instructions: bool = False
) -> None:
    """One line for each check to do next, best first; with instructions also how to do it and the cautions."""
    if not checks:
        out.print(speech.words(say("Next: no check left would tell more.")))
    catalogue = load_catalogue()
    for number, check in enumerate(checks):
        rest = say("{setup}: {reason}", setup=_setup_words(check.setup), reason=check.reason)
        out.print(_line(say("Next") if number == 0 else say("Or"), "bold", rest, speech, ": "))
        bits = say(
            "{minutes}, about {bits} bit", minutes=Minutes(check.minutes), bits=Number(check.information_bits, 2)
        )
        _indented(bits, out, speech)
        if with_instructions:
            how, support = catalogue.checks[check.setup.check], catalogue.supports[check.setup.support]
            _indented(say("hold: {words}", words=support.how), out, speech)
            _indented(say("caution: {words}", words=support.caution), out, speech)
            _indented(say("do: {words}", words=how.do), out, speech)
            _indented(say("caution: {words}", words=how.caution), out, speech)
            watches = tuple(_with_id(WatchName(watch), watch) for watch in check.watches)
            _indented(say("watch: {words}", words=watches or how.watch_words), out, speech)


def _with_id(name: Value, ident: str) -> Sentence:
    """A name, and what a visit file writes for it."""
    return say("{name} ({id})", name=name, id=AsWritten(ident))


def probability_words(probability: float) -> Sentence:
    """A probability as a word and a number: "possible (0.62)"."""
    word = next(word for least, word in PROBABILITY_WORDS if probability >= least)
    return say("{word} ({probability})", word=word, probability=Number(probability, 2))


def _print_finding(finding: Finding, unproven: Unproven | None, out: Console, speech: Speech) -> None:
    rest = say("{part}: {words}", part=finding.name, words=finding.summary)
    out.print(_line(_verdict_words(finding), WEIGHT[finding.verdict], rest, speech))
    for grounds in finding.grounds:
        _indented(_grounds_words(grounds), out, speech)
    if unproven is not None:
        _indented(_proving_words(unproven), out, speech)


def _verdict_words(finding: Finding) -> Sentence:
    """The verdict, and how soon the repair is due."""
    if finding.urgency is None:
        return VERDICT_WORDS[finding.verdict]
    verdict, due = VERDICT_WORDS[finding.verdict], URGENCY_WORDS[finding.urgency]
    return say("{verdict}, {due}", verdict=verdict, due=due)


def _print_repair(repair: Repair, out: Console, speech: Speech) -> None:
    """A part that was replaced: what stands above of it is as it was found."""
    word = say("replaced, proven") if repair.proven else say("replaced, not proven")
    out.print(_line(word, "" if repair.proven else "bold", repair.words, speech))
    if repair.proving_words:
        _indented(say("would be proven by: {check}", check=repair.proving_words), out, speech)


def _print_unproven(entry: Unproven, out: Console, speech: Speech) -> None:
    rest = say("{part}: {words}", part=entry.name, words=entry.why)
    out.print(_line(VERDICT_WORDS["unproven"], WEIGHT["unproven"], rest, speech))
    _indented(_proving_words(entry), out, speech)


def _proving_words(entry: Unproven) -> str:
    return say("would be shown by: {check}", check=entry.proving_words) if entry.proving_check else entry.proving_words


def _print_system(finding: SystemFinding, out: Console, speech: Speech) -> None:
    weight = "bold" if finding.exceeded else ""
    out.print(_line(EXCEEDED[finding.exceeded], weight, finding.words, speech))
    for grounds in finding.grounds:
        _indented(_grounds_words(grounds), out, speech)


def _spoken_of(visit: Visit) -> set[str]:
    """Parts that the visit says something of: watched by themselves, passed, seen, or named as not checked."""
    watched = {reading.watch.removesuffix(".axial") for done in visit.checks for reading in done.readings}
    passed = {part for done in visit.checks for part in done.passed_parts}
    return watched | passed | {seen.part for seen in visit.conditions} | {entry.part for entry in visit.not_checked}


def _print_suspects(suspects: Sequence[Suspect], out: Console, speech: Speech, *, in_full: bool) -> None:
    if suspects:
        out.print(speech.words(say("Suspects:")))
    told = [s for s in suspects if in_full or s.probability >= _LIKELY_ENOUGH or s.probability > _RAISED * s.prior]
    for suspect in told:
        words = say(
            "{part}: {chance}, before the visit {prior}",
            part=suspect.name,
            chance=probability_words(suspect.probability),
            prior=Number(suspect.prior, 2),
        )
        _indented(words, out, speech)
        for mover in suspect.moved_by:
            _print_mover(mover, out, speech)
    if len(told) < len(suspects):
        more = say(
            "other parts: {count}, below {chance} and no likelier than before",
            count=Number(len(suspects) - len(told), 0),
            chance=Number(_LIKELY_ENOUGH, 2),
        )
        _indented(more, out, speech)


def _print_mover(mover: Mover, out: Console, speech: Speech) -> None:
    """What a reading did to a part's odds, where it is worth a line."""
    if mover.factor >= _WORTH_A_LINE:
        words = say("{reading} ({check}) raises it {factor} times", **_moving(mover, mover.factor))
    elif mover.factor <= 1.0 / _WORTH_A_LINE:
        words = say("{reading} ({check}) lowers it {factor} times", **_moving(mover, 1.0 / mover.factor))
    else:
        return
    out.print(Padding(Text(speech.words(words)), (0, 0, 0, 8), expand=False))


def _moving(mover: Mover, factor: float) -> dict[str, Value]:
    shown = say("over {most}", most=Number(1000, 0)) if factor > 1000.0 else Number(factor, 1 if factor < 10.0 else 0)
    return {"reading": mover.words, "check": mover.refers_to, "factor": shown}


def _grounds_words(grounds: Grounds) -> Sentence:
    status = STATUS[grounds.status] if grounds.status else ""
    named: list[Value] = [word for word in (grounds.refers_to, status, grounds.source) if word]
    words = say("{kind}: {words}", kind=GROUNDS[grounds.kind], words=grounds.words)
    return say("{words} [{named}]", words=words, named=joined(named, "; ")) if named else words


def _setup_words(setup: Setup) -> Sentence:
    catalogue = load_catalogue()
    check, support = catalogue.checks[setup.check].name, InSentence(catalogue.supports[setup.support].name)
    said: list[Value] = [_with_id(check, setup.check), _with_id(support, setup.support)]
    said += [SIDE_OF_VEHICLE[setup.side]] if setup.side else []
    return joined([*said, STEERING[setup.steer], BRAKE[setup.brake]], ", ")


def _line(word: Sentence, weight: str, rest: Value, speech: Speech, between: str = "  ") -> Text:
    return Text.assemble((speech.words(word), weight), between, speech.words(rest))


def _indented(words: Value, out: Console, speech: Speech) -> None:
    out.print(Padding(Text(speech.words(words)), (0, 0, 0, 4), expand=False))
