"""What law and the shop's policy make of a part's findings: conditions, urgency, and what goes with a replacement."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import VerdictWord
from looseends.diagnosis.verdicts.law import listed_by_law, listed_grounds, may_be_listed
from looseends.diagnosis.verdicts.policy import TORN_BOOT, URGENCIES, Policy
from looseends.diagnosis.verdicts.policy_file import load_policy
from looseends.inspection.types import ConditionSeen, Grounds, Urgency
from looseends.language import AsWritten, Text, Value, joined, say
from looseends.vehicle.vehicle import Part, Vehicle


@dataclass(frozen=True)
class Rules:
    """The policy, where the vehicle stands, every condition looked for, and by part what is beyond a law's limit."""

    policy: Policy = field(default_factory=load_policy)
    vehicle: Vehicle | None = None
    jurisdiction: str = ""
    looked_for: Sequence[ConditionSeen] = ()
    beyond_law: Mapping[str, Sequence[Grounds]] = field(default_factory=dict)

    def condition(self, seen: ConditionSeen, part: Part, *, tight: bool) -> tuple[VerdictWord, tuple[Grounds, ...]]:
        """The verdict that a condition carries, and what law and policy add to its grounds.

        `tight`: readings prove the part sound.
        """
        verdict = load_catalogue().conditions[seen.condition].verdict
        law = None if self.vehicle is None else listed_by_law(seen.condition, part, self.vehicle, self.jurisdiction)
        grounds = () if law is None else (listed_grounds(law),)
        if seen.condition != TORN_BOOT or self.policy.torn_boot.rule == "replace":
            return verdict, grounds
        lacking = self._lacking(seen, part, tight=tight)
        said: dict[str, Value] = {"shop": self._shop()}
        if not lacking:
            words = say("{shop} plans a torn boot where the joint is proven clean and tight, as here.", **said)
            return "plan", (*grounds, self._grounds(words, self.policy.torn_boot.source, TORN_BOOT))
        words = say(
            "{shop} plans a torn boot where the joint is proven clean and tight and the law allows it; here {lacking}.",
            lacking=joined(lacking, ", "),
            **said,
        )
        return verdict, (*grounds, self._grounds(words, self.policy.torn_boot.source, TORN_BOOT))

    def urgency(self, verdict: VerdictWord, play: VerdictWord, conditions: Sequence[str], part: Part) -> Urgency | None:
        """The most urgent of what play and conditions ask for.

        `verdict` is the finding's, `play` that of the readings, `conditions` are those that were seen. A condition with
        an urgency of its own has that; the others have their verdict's.
        """
        own = self.policy.urgency.by_condition
        asked = {self.policy.urgency_of(play, part.kind.group)}
        asked |= {own[name] if name in own else self._by_verdict(name, part) for name in conditions}
        if verdict not in ("unsafe", "replace", "plan"):
            return None
        return next((urgency for urgency in URGENCIES if urgency in asked), None)

    def beside(self, part: Part, verdict: VerdictWord) -> Grounds | None:
        """What goes with a part that has to be replaced, or does not by rule."""
        rule = self.policy.pair_rule(part) if verdict in ("unsafe", "replace") and part.side is not None else None
        return None if rule is None else self._grounds(say("{words}", words=rule.words), rule.source, rule.id)

    def recommended(self, part: Part, verdict: VerdictWord) -> Text | None:
        """The same as advice, where it is recommended; told apart from what is needed."""
        rule = self.policy.pair_rule(part) if verdict in ("unsafe", "replace") and part.side is not None else None
        if rule is None or rule.advice != "recommend":
            return None
        return say("Recommended beside it, not needed: {words}", words=rule.words)

    def recheck(self, verdict: VerdictWord, conditions: Sequence[str]) -> Text | None:
        """When to look again at a torn boot that is planned."""
        if verdict != "plan" or TORN_BOOT not in conditions:
            return None
        return say("{recheck}", recheck=self.policy.torn_boot.recheck)

    def _by_verdict(self, condition: str, part: Part) -> Urgency | None:
        return self.policy.urgency_of(load_catalogue().conditions[condition].verdict, part.kind.group)

    def _lacking(self, seen: ConditionSeen, part: Part, *, tight: bool) -> list[Value]:
        lacking: list[Value] = [] if tight else [say("no check proves it tight")]
        absent = {c.condition for c in self.looked_for if c.part == part.id and not c.present}
        for name in self.policy.torn_boot.clean_if_absent:
            if name not in absent:
                lacking.append(
                    say('nobody found "{condition}" absent', condition=load_catalogue().conditions[name].words)
                )
        if self.jurisdiction not in self.policy.torn_boot.law_allows_in:
            lacking.append(say("the policy does not name this jurisdiction as one that allows it"))
        elif self.vehicle is None or may_be_listed(seen.condition, part, self.vehicle, self.jurisdiction):
            lacking.append(say("the law on file lists a torn boot"))
        return lacking

    def _shop(self) -> Value:
        return (
            say("The shop's policy ({file})", file=AsWritten(self.policy.name))
            if self.policy.name
            else say("The policy")
        )

    def _grounds(self, words: Text, source: str, rule: str) -> Grounds:
        where = say("policy {rule}", rule=AsWritten(rule))
        return Grounds("policy", words, "common practice", source, where)
