"""Reading a policy: what ships, with what a shop's own file changes."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any, get_args

from looseends.catalogue import load_catalogue
from looseends.catalogue.entry import Entry, by_id, toml_entry
from looseends.catalogue.names import unknown_name_sentence
from looseends.catalogue.types import PartGroup, VerdictWord
from looseends.diagnosis.verdicts.policy import (
    OTHERWISE,
    URGENCIES,
    NextRules,
    PairRule,
    Policy,
    TornBoot,
    UrgencyRules,
)
from looseends.errors import InputError
from looseends.inspection.types import Urgency
from looseends.language import Text, refusal, say

GROUPS: tuple[str, ...] = get_args(PartGroup)
TABLES = ("torn_boot", "urgency", "pair", "next", "verdict", "support_change")
_VERDICTS: tuple[VerdictWord, ...] = ("unsafe", "replace", "plan")
_THRESHOLDS: Mapping[str, tuple[float, float]] = {
    "worn_at_least": (0.8, 0.999),
    "beyond_reject_at_least": (0.5, 0.999),
    "sound_at_most": (0.001, 0.05),
    "seen_at_least": (0.9, 0.97),
}
"""What a shop may set. About sound it may only be stricter; 0.98 is as much as masked joints ever leave."""


def load_policy(path: Path | None = None) -> Policy:
    """What ships; with a file, what it changes of that.

    Raises
    ------
    InputError
        If the file cannot be read or a field is not as docs/policy.md describes it.

    Source
    ------
    Own format; see docs/policy.md.
    """
    if path is None:
        return _shipped()
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(
            refusal("{path}: must be a readable policy file of UTF-8 text, found: {problem}.", path=path, problem=error)
        ) from error
    own = toml_entry(text, path.name).values
    for key in own:
        if key not in TABLES:
            raise InputError(unknown_name_sentence("table", key, TABLES, where=path.name))
    return _policy(Entry(path.name, "", _merged(_shipped_tables(), own)), path.name)


@cache
def _shipped() -> Policy:
    return _policy(Entry("policy.toml", "", dict(_shipped_tables())), "")


@cache
def _shipped_tables() -> Mapping[str, Any]:
    return tomllib.loads((resources.files("looseends.diagnosis.verdicts") / "data/policy.toml").read_text("utf-8"))


def _merged(shipped: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, object]:
    """Tables field by field; rules of a list before those that ship, in the place of one with the same id."""
    found: dict[str, object] = dict(shipped)
    for key, value in own.items():
        before = shipped.get(key)
        if isinstance(value, dict) and isinstance(before, dict):
            found[key] = _merged(before, value)
        elif key == "pair" and isinstance(value, list) and all(isinstance(rule, dict) for rule in value):
            ids = {rule.get("id") for rule in value}
            found[key] = [*value, *(rule for rule in shipped[key] if rule["id"] not in ids)]
        else:
            found[key] = value
    return found


def _policy(whole: Entry, name: str) -> Policy:
    pairs = by_id((_pair(entry) for entry in whole.entries("pair", "pair rule")), whole.file, "pair rule")
    policy = Policy(
        name=name,
        torn_boot=_torn_boot(_table(whole, "torn_boot")),
        urgency=_urgency(_table(whole, "urgency")),
        pairs=tuple(pairs.values()),
        next=_next(_table(whole, "next")),
        thresholds=_thresholds(_table(whole, "verdict")) if whole.has("verdict") else {},
        support_changes=_support_changes(whole) if whole.has("support_change") else {},
    )
    whole.finish()
    return policy


def _table(entry: Entry, key: str) -> Entry:
    entry.read.add(key)
    value = entry.values.get(key)
    if not isinstance(value, dict):
        raise entry.refuse(key, refusal("a table [{key}]", key=key))
    return Entry(entry.file, f"{entry.label}.{key}" if entry.label else key, value)


def _torn_boot(entry: Entry) -> TornBoot:
    catalogue = load_catalogue()
    found = TornBoot(
        rule=entry.choice("rule", ("replace", "plan where proven")),
        clean_if_absent=entry.choices("clean_if_absent", tuple(catalogue.conditions)),
        law_allows_in=entry.choices(
            "law_allows_in", tuple({limit.jurisdiction for limit in catalogue.limits.values()})
        ),
        recheck=entry.text("recheck"),
        source=entry.text("source"),
    )
    entry.finish()
    return found


def _urgency(entry: Entry) -> UrgencyRules:
    order = entry.choices("order", GROUPS)
    if len(order) != len(GROUPS):
        raise entry.refuse("order", refusal("a list of all {count} groups of parts", count=len(GROUPS)))
    by_verdict = {verdict: _urgency_by_group(_table(entry, verdict)) for verdict in _VERDICTS}
    conditions = _table(entry, "condition")
    for name in conditions.values:
        if name not in load_catalogue().conditions:
            known = load_catalogue().conditions
            raise InputError(unknown_name_sentence("condition", name, known, where=conditions.where))
    by_condition = {name: conditions.choice(name, URGENCIES) for name in conditions.values}
    found = UrgencyRules(by_verdict, by_condition, order, entry.text("source"))
    entry.finish()
    return found


def _urgency_by_group(entry: Entry) -> dict[str, Urgency]:
    found: dict[str, Urgency] = {}
    for urgency in URGENCIES:
        for group in entry.choices(urgency, GROUPS) if entry.has(urgency) else ():
            if group in found:
                raise entry.refuse(urgency, _twice(group, found[group]))
            found[group] = urgency
    found[OTHERWISE] = entry.choice(OTHERWISE, URGENCIES)
    entry.finish()
    return found


def _twice(group: str, under: str) -> Text:
    return refusal('groups that stand once, and "{group}" stands under "{under}" too', group=group, under=under)


def _pair(entry: Entry) -> PairRule:
    rule = PairRule(
        id=entry.identifier(),
        kinds=entry.choices("kinds", tuple(load_catalogue().part_kinds)) if entry.has("kinds") else (),
        groups=entry.choices("groups", GROUPS) if entry.has("groups") else (),
        advice=entry.choice("advice", ("recommend", "by finding")),
        words=entry.text("words"),
        source=entry.text("source"),
    )
    if not rule.kinds and not rule.groups:
        raise entry.refuse("kinds", say("a list with at least one part kind where no groups are given"))
    entry.finish()
    return rule


def _next(entry: Entry) -> NextRules:
    weights = _table(entry, "group_weight")
    for name in weights.values:
        if name not in (*GROUPS, OTHERWISE):
            raise InputError(unknown_name_sentence("group", name, (*GROUPS, OTHERWISE), where=weights.where))
    found = NextRules(
        complaint_weight=entry.number("complaint_weight", minimum=1, maximum=100),
        unlikely_at_most=entry.number("unlikely_at_most", minimum=0.001, maximum=0.05),
        unlikely_in_safety=entry.number("unlikely_in_safety", minimum=0.001, maximum=0.05),
        least_bits_per_minute=entry.number("least_bits_per_minute", minimum=0, maximum=1),
        safety_groups=entry.choices("safety_groups", GROUPS),
        least_while_safety_open=entry.number("least_while_safety_open", minimum=0, maximum=1),
        group_weight={name: weights.number(name, minimum=0, maximum=100) for name in (*weights.values, OTHERWISE)},
        source=entry.text("source"),
    )
    entry.finish()
    return found


def _thresholds(entry: Entry) -> dict[str, float]:
    given = {
        name: entry.number(name, minimum=least, maximum=most)
        for name, (least, most) in _THRESHOLDS.items()
        if entry.has(name)
    }
    entry.read |= set(_THRESHOLDS)  # named in the refusal of a field that is none
    entry.finish()
    return given


def _support_changes(whole: Entry) -> dict[tuple[str, str], float]:
    supports = load_catalogue().supports
    found = {}
    for entry in whole.entries("support_change", "support change"):
        ends = entry.known("from", supports), entry.known("to", supports)
        found[ends] = entry.number("minutes", minimum=0, maximum=120)
        entry.finish()
    return found
