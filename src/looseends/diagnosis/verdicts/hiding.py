"""Parts that hide a symptom and do not make it, as a damper hides shimmy: which play comes before them."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources

from looseends.diagnosis.inference.diagnose import Diagnosed
from looseends.inspection.types import Finding, Grounds
from looseends.language import Capital, say

_LIKELY = 0.5
"""From this chance on a part is named as what excites the symptom."""


@dataclass(frozen=True)
class Hides:
    """A kind of part that hides what complaints tell of, and the kinds whose play makes it."""

    kind: str
    complaints: tuple[str, ...]
    excited_by: tuple[str, ...]
    source: str


@cache
def load_hides() -> tuple[Hides, ...]:
    """What ships with the package."""
    text = (resources.files("looseends.diagnosis.verdicts") / "data" / "excites.toml").read_text(encoding="utf-8")
    entries: Sequence[Mapping[str, list[str]]] = tomllib.loads(text)["hides"]
    return tuple(
        Hides(str(e["kind"]), tuple(e["complaints"]), tuple(e["excited_by"]), str(e["source"])) for e in entries
    )


def hiding_remarks(found: Diagnosed, findings: Sequence[Finding]) -> list[Grounds]:
    """For every part to be replaced that hides what was told or noticed: what to make good, or to find, before it."""
    told = {symptom.id for symptom in found.visit.symptoms if symptom.present and symptom.kind != "tire"}
    due = [finding.part for finding in findings if finding.verdict in ("unsafe", "replace")]
    remarks = []
    for rule in load_hides():
        if not told & set(rule.complaints):
            continue
        for part in (found.vehicle.parts[name] for name in due):
            if part.kind.id == rule.kind:
                remarks.append(Grounds("policy", _words(rule, part.name, found), "common practice", rule.source, ""))
    return remarks


def _words(rule: Hides, hider: str, found: Diagnosed) -> str:
    parts = [s.part for s in found.states.values() if s.part.kind.id in rule.excited_by]
    likely = [part.name for part in parts if found.posterior.marginal(part.id) >= _LIKELY]
    if likely:
        return say(
            "{hider} hides this complaint and does not make it. What makes it is play: make good {parts} first, and "
            "this last.",
            hider=Capital(hider),
            parts=tuple(likely),
        )
    return say(
        "{hider} hides this complaint and does not make it. What makes it is play that is not found yet: look for it "
        "before a new one is bought.",
        hider=Capital(hider),
    )
