"""Verdicts that law and policy make: whose word counts, and which rule made it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import Limit
from looseends.diagnosis.judge import findings_of, judgement_of, rules_of
from looseends.diagnosis.verdicts import law, limits
from looseends.diagnosis.verdicts.law import LawOfParts
from looseends.diagnosis.verdicts.policy import Policy
from looseends.diagnosis.verdicts.policy_file import load_policy
from looseends.diagnosis.verdicts.verdict import in_order
from looseends.inspection.types import ConditionSeen, Finding, Grounds, Reading
from looseends.vehicle.setup import Setup
from tests.diagnosis.made_tables import (
    BEARING,
    CARRIER,
    ON_ARM,
    ON_FRAME,
    TREAD,
    by_hand,
    check_done,
    gauge,
    growing,
    made_table,
    seen,
    states_of,
    yard_pickup,
)
from tests.diagnosis.made_visits import made_diagnosed

LINK = "sway-bar-link-left"
END = "outer-tie-rod-end-left"
SOUND = (gauge(CARRIER, 0.2), gauge(TREAD, 0.2))


def single_joint_law(**changes: object) -> Limit:
    """A law of Quebec on the lower ball joint's own play, read by gauge under the arms: 1.0 mm."""
    pattern = load_catalogue().limits["us-570-7b-linkage"]
    given = {
        "id": "made-law", "jurisdiction": "ca-qc", "citation": "Made Law 7", "check": "bj-axial",
        "watch": "lower-ball-joint-{side}", "supports": ("arm",), "compares": "reading", "value_mm": 1.0,
        "status": "law", "source": "made", "gvwr_up_to_kg": None, "quantity": "play of a lower ball joint",
    }  # fmt: skip
    return replace(pattern, **{**given, **changes})  # type: ignore[arg-type]


def with_limit(monkeypatch: pytest.MonkeyPatch, limit: Limit) -> None:
    """Only this limit is on file for readings."""
    catalogue = replace(load_catalogue(), limits={limit.id: limit})
    monkeypatch.setattr(limits, "load_catalogue", lambda: catalogue)


def finding(
    part: str,
    *readings: Reading,
    setup: Setup = ON_ARM,
    conditions: Sequence[ConditionSeen] = (),
    jurisdiction: str = "ca-qc",
    policy: Policy | None = None,
) -> Finding:
    """The finding on one part, alone in doubt, in a setup that shows all of its leading clearance."""
    table = made_table({part: growing(states_of(part)[0], {0: 1.0, 3: 1.0})}, setup=setup)
    checks = [check_done(*readings, setup=setup)] if readings else []
    found = made_diagnosed({setup: table}, [part], *checks, conditions=conditions, jurisdiction=jurisdiction)
    findings = findings_of(found, rules_of(found, policy or load_policy()))
    return next(entry for entry in findings if entry.part == part)


def of_status(found: Finding, status: str) -> list[Grounds]:
    """Its limits of that rank."""
    return [grounds for grounds in found.grounds if grounds.kind == "limit" and grounds.status == status]


def test_a_reading_beyond_a_laws_limit_is_replaced_on_the_laws_word(monkeypatch: pytest.MonkeyPatch) -> None:
    """1.05 mm is within the 1.3 mm of common practice."""
    assert finding(CARRIER, gauge(CARRIER, 1.05)).verdict in ("unproven", "plan")
    with_limit(monkeypatch, single_joint_law())
    found = finding(CARRIER, gauge(CARRIER, 1.05))
    assert found.verdict == "replace" and found.urgency == "now"
    assert any("Made Law 7" in grounds.words and grounds.source == "made" for grounds in of_status(found, "law"))
    first = next(grounds for grounds in found.grounds if grounds.kind == "limit")
    assert first.status == "law"
    assert "Beyond the limit of the law" in found.summary


@pytest.mark.parametrize(
    ("changes", "reading", "setup", "jurisdiction"),
    [
        ({"status": "to be confirmed"}, 1.05, ON_ARM, "ca-qc"),
        ({"status": "derived"}, 1.05, ON_ARM, "ca-qc"),
        ({"status": "common practice"}, 1.05, ON_ARM, "ca-qc"),
        ({}, 0.95, ON_ARM, "ca-qc"),
        ({}, 1.05, ON_FRAME, "ca-qc"),
        ({}, 1.05, ON_ARM, "us-ut"),
        ({"gvwr_over_kg": 4536.0}, 1.05, ON_ARM, "ca-qc"),
    ],
    ids=["from memory", "derived", "custom", "within", "another state", "another jurisdiction", "heavier vehicles"],
)
def test_what_is_no_law_here_makes_no_verdict(
    changes: Mapping[str, object], reading: float, setup: Setup, jurisdiction: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    with_limit(monkeypatch, single_joint_law(**changes))
    found = finding(CARRIER, gauge(CARRIER, reading), setup=setup, jurisdiction=jurisdiction)
    assert found.verdict in ("unproven", "plan")
    assert of_status(found, "law") == []


def test_a_grade_is_no_reading_in_millimeters(monkeypatch: pytest.MonkeyPatch) -> None:
    with_limit(monkeypatch, single_joint_law())
    assert of_status(finding(CARRIER, by_hand(CARRIER, "gross")), "law") == []


@pytest.mark.parametrize(("readings", "verdict"), [((1.05, 0.9), "unproven"), ((1.05, 0.9, 1.05), "replace")])
def test_more_readings_must_be_beyond_than_within(
    readings: Sequence[float], verdict: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    with_limit(monkeypatch, single_joint_law(value_mm=1.0))
    found = finding(CARRIER, *(gauge(CARRIER, value) for value in readings))
    assert bool(of_status(found, "law")) == (verdict == "replace")


def test_where_other_parts_show_too_the_part_must_be_the_worn_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """A limit on the bearing that is read at the tread: the ball joint's play is not counted as the bearing's."""
    monkeypatch.setattr(law, "load_law_of_parts", lambda: LawOfParts({"made-law": ("wheel-bearing",)}, ()))
    with_limit(monkeypatch, single_joint_law(watch=TREAD))
    for worn, beyond in ((BEARING, True), (CARRIER, False)):
        states = states_of(BEARING, CARRIER)
        tables = {
            ON_ARM: made_table(
                {s.part.id: growing(s, {2: 1.0, 3: 6.0} if s.part.id == BEARING else {0: 1.0, 3: 1.0}) for s in states}
            )
        }
        own = gauge(BEARING, 0.55) if worn == BEARING else gauge(CARRIER, 2.2)
        still = gauge(CARRIER if worn == BEARING else BEARING, 0.2)
        check = check_done(own, own, still, still, gauge(TREAD, 2.2))
        found = made_diagnosed(tables, [BEARING, CARRIER], check, jurisdiction="ca-qc")
        findings = {f.part: f for f in findings_of(found, rules_of(found, load_policy()))}
        assert findings[worn].probability > 0.9
        assert bool(of_status(findings[BEARING], "law")) == beyond


def test_every_limit_named_as_one_of_single_parts_is_on_file() -> None:
    known = load_catalogue().limits
    named = law.load_law_of_parts()
    assert set(named.kinds) <= set(known)
    assert {limit for _, _, names in named.listed for limit in names} <= set(known)
    assert named.listed


@pytest.mark.parametrize(
    ("part", "jurisdiction", "citation"),
    [
        (CARRIER, "us-federal", "49 CFR 570.8(a)"),
        (CARRIER, "us-wa", "RCW 46.37.375"),
        (CARRIER, "uk", None),  # recalled only
        (END, "us-federal", None),  # the law speaks of ball joints
    ],
)
def test_a_torn_boot_is_named_by_the_law_that_lists_it(part: str, jurisdiction: str, citation: str | None) -> None:
    found = finding(part, *SOUND, conditions=[seen(part, "torn-boot")], jurisdiction=jurisdiction)
    assert found.verdict == "replace"
    laws = of_status(found, "law")
    assert [citation in grounds.words for grounds in laws] == ([True] if citation else [])


def absent(part: str, condition: str) -> ConditionSeen:
    """Looked for, and not there."""
    return ConditionSeen(2, part, condition, "Ines Calder", "", False)


@pytest.fixture
def lenient(tmp_path: Path) -> Policy:
    """The policy of a shop that plans torn boots, in Utah and, wrongly, where the law lists them."""
    path = tmp_path / "shop.toml"
    path.write_text('[torn_boot]\nrule = "plan where proven"\nlaw_allows_in = ["us-ut", "us-federal", "uk"]\n')
    return load_policy(path)


def test_a_shop_may_plan_a_torn_boot_where_the_joint_is_proven_clean_and_tight(lenient: Policy) -> None:
    conditions = [seen(CARRIER, "torn-boot"), absent(CARRIER, "corroded")]
    found = finding(CARRIER, *SOUND * 2, conditions=conditions, jurisdiction="us-ut", policy=lenient)
    assert found.verdict == "plan"
    (rule,) = [grounds for grounds in found.grounds if grounds.kind == "policy"]
    assert "shop.toml" in rule.words and rule.refers_to == "policy torn-boot"
    assert "within a month" in found.advice


@pytest.mark.parametrize(
    ("readings", "others", "jurisdiction", "lacking"),
    [
        ((), [absent(CARRIER, "corroded")], "us-ut", "no check proves it tight"),
        (SOUND * 2, [], "us-ut", 'nobody found "corroded" absent'),
        (SOUND * 2, [absent(CARRIER, "corroded")], "us-md", "does not name this jurisdiction"),
        (SOUND * 2, [absent(CARRIER, "corroded")], "us-federal", "the law on file lists a torn boot"),
        (SOUND * 2, [absent(CARRIER, "corroded")], "uk", "the law on file lists a torn boot"),
    ],
)
def test_else_a_torn_boot_is_replaced_and_the_finding_says_what_is_lacking(
    readings: Sequence[Reading], others: list[ConditionSeen], jurisdiction: str, lacking: str, lenient: Policy
) -> None:
    conditions = [seen(CARRIER, "torn-boot"), *others]
    found = finding(CARRIER, *readings, conditions=conditions, jurisdiction=jurisdiction, policy=lenient)
    assert found.verdict == "replace"
    assert any(lacking in grounds.words for grounds in found.grounds if grounds.kind == "policy")


def test_without_a_shops_word_a_torn_boot_is_replaced_however_tight() -> None:
    conditions = [seen(CARRIER, "torn-boot"), absent(CARRIER, "corroded")]
    assert finding(CARRIER, *SOUND * 2, conditions=conditions, jurisdiction="us-ut").verdict == "replace"


@pytest.mark.parametrize(
    ("part", "conditions", "readings", "urgency"),
    [
        (CARRIER, ["missing-cotter-pin"], SOUND, "now"),
        (CARRIER, [], (gauge(CARRIER, 3.0), gauge(TREAD, 2.9)), "now"),
        (CARRIER, ["torn-boot"], SOUND, "before long"),
        (CARRIER, ["torn-boot"], (gauge(CARRIER, 3.0), gauge(TREAD, 2.9)), "now"),
        (CARRIER, ["corroded"], SOUND, "watch"),
        (CARRIER, [], (gauge(CARRIER, 1.0), gauge(TREAD, 1.0)) * 2, "before long"),
        (CARRIER, [], SOUND, None),
        (LINK, [], (gauge(CARRIER, 3.0), gauge(TREAD, 2.9)), "before long"),
    ],
)
def test_how_soon_a_finding_is_due(
    part: str, conditions: list[str], readings: Sequence[Reading], urgency: str | None
) -> None:
    assert finding(part, *readings, conditions=[seen(part, c) for c in conditions]).urgency == urgency


def test_of_findings_as_grave_the_urgent_comes_first_then_the_group_that_the_policy_names_first() -> None:
    link = finding(LINK, gauge(CARRIER, 3.0), gauge(TREAD, 2.9))
    carrier = finding(CARRIER, gauge(CARRIER, 3.0), gauge(TREAD, 2.9))
    bearing = replace(carrier, part=BEARING, urgency="now")
    boot = finding(END, *SOUND, conditions=[seen(END, "torn-boot")])
    groups = {part.id: part.kind.group for part in yard_pickup().parts.values()}
    found = made_diagnosed({}, [CARRIER])
    ordered = in_order([link, boot, bearing, carrier], groups, rules_of(found, load_policy()))
    assert [f.part for f in ordered] == [CARRIER, BEARING, END, LINK]


@pytest.mark.parametrize(
    ("part", "advised", "words"),
    [(LINK, True, "Both sides together"), (CARRIER, False, "measure the other side")],
)
def test_what_is_recommended_stands_apart_from_what_is_needed(part: str, advised: bool, words: str) -> None:
    found = finding(part, gauge(CARRIER, 3.0), gauge(TREAD, 2.9))
    assert found.verdict == "replace"
    (rule,) = [grounds for grounds in found.grounds if grounds.kind == "policy"]
    assert words in rule.words and rule.status == "common practice"
    assert ("Recommended beside it, not needed:" in found.advice) == advised


def test_nothing_goes_with_a_part_that_stays() -> None:
    assert [grounds for grounds in finding(CARRIER, *SOUND).grounds if grounds.kind == "policy"] == []


def test_a_shops_thresholds_decide(tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    path.write_text("[verdict]\nseen_at_least = 0.97\n")
    table = made_table({CARRIER: growing(states_of(CARRIER)[0], {0: 0.6, 3: 0.4})})
    found = made_diagnosed({ON_ARM: table}, [CARRIER], check_done(by_hand(CARRIER, "none"), by_hand(TREAD, "none")))
    plain, strict = (judgement_of(found, load_policy(p)) for p in (None, path))
    verdicts = [{f.part: f.verdict for f in told.findings}.get(CARRIER, "unproven") for told in (plain, strict)]
    assert verdicts == ["sound", "unproven"]
