"""A shop's policy: what ships, what a file of its own changes, and each refusal."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import get_args

import pytest

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import PartGroup
from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.consequences.seen import to_replace_as_seen
from looseends.diagnosis.inference.diagnose import Diagnosed
from looseends.diagnosis.inference.posterior import posterior
from looseends.diagnosis.judge import replaced_as_seen
from looseends.diagnosis.observed.learned import Learned, shop_text
from looseends.diagnosis.shop import LEARNED_IN, Shop, load_shop
from looseends.diagnosis.verdicts.policy_file import load_policy
from looseends.errors import InputError
from tests.diagnosis.made_tables import (
    CARRIER,
    FOLLOWER,
    TREAD,
    gauge,
    growing,
    made_clues,
    made_table,
    seen,
    states_of,
    visit,
    yard_pickup,
)


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A shop's file, to be written by each test."""
    return tmp_path / "shop.toml"


def written(path: Path, text: str) -> Path:
    """The path of the text as a file."""
    path.write_text(text, encoding="utf-8")
    return path


def test_what_ships_says_replace_for_a_torn_boot_and_changes_no_threshold() -> None:
    policy = load_policy()
    assert policy.torn_boot.rule == "replace"
    assert policy.applied_to(load_beliefs()) == load_beliefs()


def test_every_rule_that_ships_says_where_it_comes_from() -> None:
    policy = load_policy()
    assert policy.pairs
    for source in (
        policy.torn_boot.source,
        policy.urgency.source,
        policy.next.source,
        *(r.source for r in policy.pairs),
    ):
        assert source in ("common practice, no source", "assumed", "memory")


def test_a_steering_part_beyond_its_limit_is_due_before_a_sway_link() -> None:
    policy = load_policy()
    assert policy.urgency_of("replace", "steering") == "now"
    assert policy.urgency_of("replace", "sway") == "before long"
    assert policy.place("steering") < policy.place("sway")
    assert policy.urgency_of("sound", "steering") is None
    assert all(policy.urgency_of("unsafe", group) == "now" for group in get_args(PartGroup))


@pytest.mark.parametrize(
    ("part", "rule", "advice"),
    [
        ("outer-tie-rod-end-left", "tie-rod-ends", "by finding"),
        ("sway-bar-link-left", "sway-links", "recommend"),
        ("lower-ball-joint-left", "ball-joints", "by finding"),
        ("upper-ball-joint-right", "ball-joints", "by finding"),
        ("shock-absorber-left", "dampers", "recommend"),
        ("torsion-bar-left", "springs", "recommend"),
        ("lower-arm-front-bushing-left", "bushings", "recommend"),
        ("wheel-bearing-left", "bearings", "by finding"),
    ],
)
def test_what_goes_with_a_part(part: str, rule: str, advice: str) -> None:
    found = load_policy().pair_rule(yard_pickup().parts[part])
    assert found is not None
    assert (found.id, found.advice) == (rule, advice)


def test_a_rule_that_names_the_kind_comes_before_one_that_names_its_group() -> None:
    link, mount = yard_pickup().parts["sway-bar-link-left"], load_catalogue().part_kinds["strut-mount"]
    found = load_policy().pair_rule(replace(link, kind=mount))
    assert found is not None and found.id == "strut-mounts"


def test_what_the_complaint_raises_counts_more_and_steering_more_than_a_sway_bar() -> None:
    policy = load_policy()
    assert policy.weight("steering", raised=False) > policy.weight("sway", raised=False)
    assert policy.weight("sway", raised=True) == policy.next.complaint_weight * policy.weight("sway", raised=False)
    assert policy.weight("tire", raised=False) == 1.0


def test_a_shops_file_changes_only_what_it_holds(own: Path) -> None:
    text = (
        '[torn_boot]\nrule = "plan where proven"\nlaw_allows_in = ["us-ut"]\n'
        "[verdict]\nworn_at_least = 0.95\n"
        '[urgency.replace]\nnow = ["steering"]\n'
        "[next.group_weight]\nsway = 3\n"
        '[[support_change]]\nfrom = "frame"\nto = "arm"\nminutes = 2\n'
    )
    policy, ships = load_policy(written(own, text)), load_policy()
    assert policy.name == "shop.toml"
    assert policy.torn_boot.rule == "plan where proven" and policy.torn_boot.law_allows_in == ("us-ut",)
    assert policy.torn_boot.recheck == ships.torn_boot.recheck
    assert policy.applied_to(load_beliefs()).worn_at_least == 0.95
    assert policy.applied_to(load_beliefs()).sound_at_most == load_beliefs().sound_at_most
    assert policy.urgency_of("replace", "carrier") == "before long"
    assert policy.urgency_of("plan", "carrier") == ships.urgency_of("plan", "carrier")
    assert policy.weight("sway", raised=False) == 3.0
    assert policy.support_changes == {("frame", "arm"): 2.0}
    assert policy.pairs == ships.pairs


def test_a_file_that_was_changed_is_read_anew(own: Path) -> None:
    weights = [
        load_policy(written(own, f"[next]\ncomplaint_weight = {weight}\n")).next.complaint_weight for weight in (7, 8)
    ]
    assert weights == [7.0, 8.0]


def test_a_shops_pair_rule_takes_the_place_of_one_of_the_same_id_and_else_comes_first(own: Path) -> None:
    rule = '[[pair]]\nid = "{id}"\nkinds = ["sway-bar-link"]\nadvice = "by finding"\nwords = "One."\nsource = "own"\n'
    link = yard_pickup().parts["sway-bar-link-left"]
    for name in ("sway-links", "our-links"):
        policy = load_policy(written(own.with_name(f"{name}.toml"), rule.format(id=name)))
        found = policy.pair_rule(link)
        assert found is not None and (found.id, found.words) == (name, "One.")
        assert len(policy.pairs) == len(load_policy().pairs) + (name == "our-links")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("[torn_boot\n", "shop.toml: must be valid TOML, found a fault:"),
        ("[law]\n", 'shop.toml: table "law" is not known; accepted: next, pair, support_change,'),
        ("torn_boot = 3\n", "shop.toml: torn_boot must be a table [torn_boot], found 3."),
        (
            '[torn_boot]\nrule = "plan"\n',
            'shop.toml, torn_boot: rule must be one of replace, plan where proven, found "plan".',
        ),
        (
            '[torn_boot]\nlaw_allows_in = ["us-uta"]\n',
            'shop.toml, torn_boot: law_allows_in "us-uta" is not known; did you mean "us-ut"',
        ),
        ("[torn_boot]\nrules = 1\n", 'shop.toml, torn_boot: field "rules" is not known; did you mean "rule"'),
        (
            "[verdict]\nseen_at_least = 0.5\n",
            "shop.toml, verdict: seen_at_least must be a number from 0.9 to 0.97, found 0.5.",
        ),
        ("[verdict]\nmasked_chance = 0\n", 'shop.toml, verdict: field "masked_chance" is not known; accepted: beyond'),
        (
            '[urgency.plan]\notherwise = "soon"\n',
            'shop.toml, urgency.plan: otherwise must be one of now, before long, watch, found "soon".',
        ),
        (
            '[urgency.replace]\nwatch = ["steering"]\n',
            'shop.toml, urgency.replace: watch must be groups that stand once, and "steering" stands under "now" too, '
            "found [\"steering\"].",
        ),
        ('[urgency]\norder = ["steering"]\n', "shop.toml, urgency: order must be a list of all 13 groups of parts"),
        ('[urgency.condition]\nboots = "now"\n', 'shop.toml, urgency.condition: condition "boots" is not known'),
        ('[[pair]]\nid = "x"\nadvice = "recommend"\nwords = "W."\nsource = "own"\n',
         'shop.toml, pair rule "x": kinds must be a list with at least one part kind where no groups are given'),
        ("[next]\ncomplaint_weight = 0\n", "shop.toml, next: complaint_weight must be a number from 1 to 100,"),
        ("[next.group_weight]\nsteer = 1\n", 'shop.toml, next.group_weight: group "steer" is not known'),
        (
            '[[support_change]]\nfrom = "frame"\nto = "roof"\nminutes = 1\n',
            'shop.toml, support change number 1: to "roof" is not known',
        ),
        (
            '[[support_change]]\nfrom = "frame"\nto = "arm"\nminutes = -1\n',
            "shop.toml, support change number 1: minutes must be a number from 0 to 120, found -1.",
        ),
    ],
)  # fmt: skip
def test_each_refusal_is_one_sentence_that_says_where_and_what(own: Path, text: str, sentence: str) -> None:
    with pytest.raises(InputError) as refused:
        load_policy(written(own, text))
    assert sentence in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_file_that_is_not_there_is_refused(own: Path) -> None:
    with pytest.raises(InputError, match="must be a readable policy file of UTF-8 text, found:"):
        load_policy(own)


def test_every_kind_and_condition_that_ships_is_one_of_the_catalogues() -> None:
    catalogue, policy = load_catalogue(), load_policy()
    assert {kind for rule in policy.pairs for kind in rule.kinds} <= set(catalogue.part_kinds)
    assert set(policy.urgency.by_condition) <= set(catalogue.conditions)


def test_a_shop_is_what_it_learned_with_the_thresholds_that_it_set(own: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(LEARNED_IN, str(own.with_name("learned.toml")))
    own.with_name("learned.toml").write_text(shop_text(Learned(2.0, 0.06, 60, 3, 1.4, 1.0)), encoding="utf-8")
    shop = load_shop(written(own, "[verdict]\nworn_at_least = 0.95\n"))
    assert (shop.beliefs.shared_softness, shop.beliefs.floor_mm, shop.beliefs.worn_at_least) == (2.0, 0.06, 0.95)
    assert shop.policy.name == own.name
    monkeypatch.delenv(LEARNED_IN)
    assert load_shop() == Shop(load_beliefs(), load_policy())


def test_what_was_looked_for_and_is_absent_is_no_ground_to_replace() -> None:
    there, absent = seen(CARRIER, "torn-boot"), replace(seen(FOLLOWER, "torn-boot"), present=False)
    assert to_replace_as_seen([there, absent]) == (CARRIER,)


@pytest.mark.parametrize(("rule", "replaced"), [("replace", (CARRIER,)), ("plan where proven", ())])
def test_a_torn_boot_that_a_shop_plans_is_not_in_the_ledgers_repair(
    own: Path, rule: str, replaced: tuple[str, ...]
) -> None:
    policy = load_policy(written(own, f'[torn_boot]\nrule = "{rule}"\nlaw_allows_in = ["us-ut"]\n'))
    conditions = [seen(CARRIER, "torn-boot"), replace(seen(CARRIER, "corroded"), present=False)]
    recorded = replace(visit(conditions=conditions), jurisdiction="us-ut")
    states = states_of(CARRIER)
    table = made_table({CARRIER: growing(states[0], {0: 1.0, 3: 1.0})})
    clues = made_clues(table, states, gauge(CARRIER, 0.2), gauge(TREAD, 0.2))
    final = posterior(states, {CARRIER: -4.0}, clues, load_beliefs())
    by_id = {s.part.id: s for s in states}
    found = Diagnosed(recorded, yard_pickup(), load_beliefs(), (), {}, by_id, clues, final)
    assert replaced_as_seen(recorded, found, policy) == replaced
