"""From posterior and conditions to a verdict on every part, with its grounds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import PartGroup, VerdictWord
from looseends.diagnosis.verdicts.policy import URGENCIES
from looseends.diagnosis.verdicts.rules import Rules
from looseends.diagnosis.verdicts.verdict_grounds import absent_grounds, condition_grounds, told_grounds
from looseends.diagnosis.verdicts.verdict_summary import size_of, summary_of
from looseends.diagnosis.verdicts.verdict_word import GRAVITY_OF, PartEvidence, weighed
from looseends.inspection.types import Finding
from looseends.language import Text, joined, say

ADVICE: Mapping[VerdictWord, Text] = {
    "unsafe": say("Do not drive; repair or tow, following the maker's procedure."),
    "replace": say(
        "Replace before the vehicle goes back to work; confirm with the maker's limit where no law or maker's figure "
        "is named."
    ),
    "plan": say("Plan the repair and look at it again at the next visit."),
    "sound": say("Nothing to do."),
    "unproven": say("Not proven either way; do not buy the part on this."),
}


def finding_of(evidence: PartEvidence) -> Finding:
    """The verdict on one part: the gravest of what its conditions, its posterior and the law say."""
    part, rules, found = evidence.part, evidence.rules, weighed(evidence)
    verdict = found.verdict
    known = load_catalogue().conditions
    grounds = [condition_grounds(seen, known[seen.condition]) for seen in evidence.conditions]
    grounds += absent_grounds(evidence)
    # What was seen twice is told twice, and asks once for what it asks.
    grounds += dict.fromkeys(ground for _, added in found.by_conditions for ground in added)
    grounds += [*found.beyond, *told_grounds(evidence, found.told)]
    beside = rules.beside(part, verdict)
    axis, clearance, interval = size_of(evidence) if evidence.worn_chance >= 0.5 else (None, None, None)
    names = list(dict.fromkeys(seen.condition for seen in evidence.conditions))
    records = [known[name] for name in names]
    also = [*(record.caution for record in records), rules.recheck(verdict, names), rules.recommended(part, verdict)]
    return Finding(
        part=part.id,
        name=part.name,
        verdict=verdict,
        summary=summary_of(evidence, verdict, records, axis, clearance),
        effect=part.kind.effect if GRAVITY_OF[verdict] >= GRAVITY_OF["plan"] else part.kind.purpose,
        advice=joined([ADVICE[verdict], *(words for words in also if words)]),
        probability=evidence.worn_chance,
        axis=axis,
        clearance_mm=clearance,
        clearance_range_mm=interval,
        grounds=(*grounds, beside) if beside else tuple(grounds),
        urgency=rules.urgency(verdict, found.play, names, part),
    )


def verdict_of(evidence: PartEvidence) -> VerdictWord:
    """The word of the same verdict alone, without grounds and sentences."""
    return weighed(evidence).verdict


def in_order(findings: Sequence[Finding], groups: Mapping[str, PartGroup], rules: Rules) -> tuple[Finding, ...]:
    """Gravest first, then the most urgent, the group that the policy names first, the most probable."""

    def place(finding: Finding) -> tuple[int, int, int, float, str]:
        due = len(URGENCIES) if finding.urgency is None else URGENCIES.index(finding.urgency)
        group = rules.policy.place(groups[finding.part])
        return -GRAVITY_OF[finding.verdict], due, group, -finding.probability, finding.part

    return tuple(sorted(findings, key=place))
