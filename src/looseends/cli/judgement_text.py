"""A judgement as text: the verdict word first, then the part, its summary and its grounds."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import VerdictWord
from looseends.inspection.types import Finding, Grounds, Judgement, NextCheck, Suspect, SystemFinding, Unproven
from looseends.vehicle.setup import Setup

VERDICTS: tuple[VerdictWord, ...] = ("unsafe", "replace", "plan", "sound", "unproven")
WEIGHT: dict[VerdictWord, str] = {"unsafe": "bold", "replace": "bold", "plan": "", "sound": "", "unproven": "dim"}
PROBABILITY_WORDS = ((0.95, "nearly certain"), (0.7, "likely"), (0.3, "possible"), (0.05, "unlikely"))


def print_judgement(judgement: Judgement, out: Console) -> None:
    """Findings with the gravest first, what the law says of the whole linkage, suspects, the next check."""
    visit = judgement.visit
    out.print(f"{judgement.vehicle_name}, {visit.date.isoformat()}, {visit.technician}", style="bold")
    if visit.complaint:
        out.print(f"Complaint: {visit.complaint}")
    out.print()
    unproven = {entry.part: entry for entry in judgement.unproven}
    for verdict in VERDICTS:
        for finding in judgement.findings:
            if finding.verdict == verdict:
                _print_finding(finding, unproven.pop(finding.part, None), out)
    for entry in unproven.values():
        _print_unproven(entry, out)
    for system in judgement.system_findings:
        _print_system(system, out)
    _print_suspects(judgement.suspects, out)
    for remark in judgement.remarks:
        _indented(f"note: {remark.words}", out)
    print_next_checks(judgement.next_checks[:1], out)


def print_next_checks(checks: Sequence[NextCheck], out: Console, *, with_instructions: bool = False) -> None:
    """One line for each check to do next, best first; with instructions also how to do it and the cautions."""
    if not checks:
        out.print("Next: no check left would tell more.")
    catalogue = load_catalogue()
    for number, check in enumerate(checks):
        out.print(_line("Next" if number == 0 else "Or", "bold", f"{_setup_words(check.setup)}: {check.reason}"))
        _indented(f"{check.minutes:g} min, about {check.information_bits:.2f} bit", out)
        if with_instructions:
            how, support = catalogue.checks[check.setup.check], catalogue.supports[check.setup.support]
            _indented(f"hold: {support.how}", out)
            _indented(f"caution: {support.caution}", out)
            _indented(f"do: {how.do}", out)
            _indented(f"caution: {how.caution}", out)
            _indented(f"watch: {', '.join(check.watches)}", out)


def probability_words(probability: float) -> str:
    """A probability as a word and a number: "possible (0.62)"."""
    word = next((word for least, word in PROBABILITY_WORDS if probability >= least), "very unlikely")
    return f"{word} ({probability:.2f})"


def _print_finding(finding: Finding, unproven: Unproven | None, out: Console) -> None:
    out.print(_line(finding.verdict, WEIGHT[finding.verdict], f"{finding.name}: {finding.summary}"))
    for grounds in finding.grounds:
        _indented(_grounds_words(grounds), out)
    if unproven is not None:
        _indented(_proving_words(unproven), out)


def _print_unproven(entry: Unproven, out: Console) -> None:
    out.print(_line("unproven", WEIGHT["unproven"], f"{entry.name}: {entry.why}"))
    _indented(_proving_words(entry), out)


def _proving_words(entry: Unproven) -> str:
    return f"would be shown by: {entry.proving_words}" if entry.proving_check else entry.proving_words


def _print_system(finding: SystemFinding, out: Console) -> None:
    words = {True: "exceeded", False: "not exceeded", None: "not proven"}[finding.exceeded]
    out.print(_line(f"limit {words}", "bold" if finding.exceeded else "", finding.words))
    for grounds in finding.grounds:
        _indented(_grounds_words(grounds), out)


def _print_suspects(suspects: Sequence[Suspect], out: Console) -> None:
    if suspects:
        out.print("Suspects:")
    for suspect in suspects:
        words = f"{suspect.name}: {probability_words(suspect.probability)}, before the visit {suspect.prior:.2f}"
        _indented(words, out)


def _grounds_words(grounds: Grounds) -> str:
    named = [word for word in (grounds.refers_to, grounds.status, grounds.source) if word]
    return f"{grounds.kind}: {grounds.words}" + (f" [{'; '.join(named)}]" if named else "")


def _setup_words(setup: Setup) -> str:
    catalogue = load_catalogue()
    said = [f"{catalogue.checks[setup.check].name} ({setup.check})", f"support {setup.support}"]
    said += [f"{setup.side} side"] if setup.side else []
    said += [f"steering {setup.steer}", f"brake {setup.brake}"]
    return ", ".join(said)


def _line(word: str, weight: str, rest: str) -> Text:
    return Text.assemble((word, weight), ": " if word in ("Next", "Or") else "  ", rest)


def _indented(words: str, out: Console) -> None:
    out.print(Padding(Text(words), (0, 0, 0, 4), expand=False))
