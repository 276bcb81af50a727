"""The catalogue as shipped: all files load, every name resolves, and the entries agree with one another."""

from __future__ import annotations

import csv
import re
import tomllib

import pytest

from looseends.catalogue import kind_called, load_catalogue
from looseends.catalogue.types import Check, Condition, Limit, PartKind
from tests.catalogue.data_folder import DATA, data_files

CATALOGUE = load_catalogue()
CHECKS = list(CATALOGUE.checks.values())
WORN = [kind for kind in CATALOGUE.part_kinds.values() if kind.worn_by]
LAYOUTS = DATA.parents[1] / "vehicle" / "data" / "layouts"
NAMED = set(re.findall(r'^part = "(.*)"$', "".join(path.read_text() for path in LAYOUTS.glob("*.toml")), re.MULTILINE))
OWNERS = [kind for kind in WORN if kind.id in NAMED]
"""Kinds that own a joint of a layout that the package has; the others wait for theirs."""


def source_ids() -> list[tuple[str, str]]:
    """(file, source id) of every `source` field in the data files, read without the loader."""
    found = []
    for path in data_files():
        text = path.read_text(encoding="utf-8")
        if path.suffix == ".csv":
            found += [(path.name, row["source"]) for row in csv.DictReader(text.splitlines())]
        elif path.name != "sources.toml":
            found += [(path.name, name) for name in re.findall(r'^source = "(.*)"$', text, re.MULTILINE)]
    return found


def test_catalogue_is_read_once() -> None:
    assert load_catalogue() is CATALOGUE


def test_every_source_resolves() -> None:
    assert [pair for pair in source_ids() if pair[1] not in CATALOGUE.sources] == []


def test_every_entry_of_every_file_has_a_source() -> None:
    entries = sum(
        len(CATALOGUE.__dict__[name])
        for name in (
            *("joint_figures", "failure_words", "part_kinds", "spanish_traps", "alterations", "wear_patterns"),
            *("complaints", "conditions", "supports", "observers", "limits", "drills", "checks"),
        )
    )
    assert len(source_ids()) == entries


def test_records_carry_the_whole_citation() -> None:
    citations = {source.citation for source in CATALOGUE.sources.values()}
    assert {kind.source for kind in CATALOGUE.part_kinds.values()} <= citations
    assert CATALOGUE.limits["us-wa-linkage"].source.startswith("RCW 46.37.375")


def test_every_figure_of_a_part_kind_is_there() -> None:
    texts = [path.read_text(encoding="utf-8") for path in (DATA / "part_kinds").glob("*.toml")]
    kinds = [kind for text in texts for kind in tomllib.loads(text)["part_kind"]]
    named = {kind["figure"] for kind in kinds if "figure" in kind}
    assert named <= set(CATALOGUE.joint_figures)


@pytest.mark.parametrize("kind", OWNERS, ids=lambda kind: kind.id)
def test_part_that_wears_is_watched_by_a_check(kind: PartKind) -> None:
    parts = [watch.part or "" for check in CHECKS for stroke in check.strokes for watch in stroke.watches]
    watched = any(part in (kind.id, kind.id + "-{side}") for part in parts)
    assert watched


@pytest.mark.parametrize("kind", WORN, ids=lambda kind: kind.id)
def test_rubber_part_may_spring_and_wears_out_on_its_figures_axis(kind: PartKind) -> None:
    figure = CATALOGUE.joint_figures[kind.figure or ""]
    assert figure.wear_axis in kind.worn_by
    if figure.shape == "rubber":
        assert kind.play == "rubber"
    if kind.play == "none":
        assert figure.shape in ("ball", "pin")


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.id)
def test_hand_shake_is_a_couple(check: Check) -> None:
    """Invariant: two hands that push and pull against each other put no net force on the wheel."""
    for stroke in check.strokes:
        if len(stroke.grips) > 1:
            for axis in range(3):
                assert sum(grip.share * grip.direction[axis] for grip in stroke.grips) == 0


def test_wheel_shakes_use_two_hands() -> None:
    assert [len(CATALOGUE.checks[name].strokes[0].grips) for name in ("wheel39", "wheel126")] == [2, 2]


def test_bar_only_lifts() -> None:
    stroke = CATALOGUE.checks["bj-axial"].strokes[0]
    assert (stroke.from_share, stroke.to_share, stroke.grips[0].direction) == (0.0, 1.0, (0.0, 0.0, 1.0))


def test_wheel_must_be_clear_to_be_shaken() -> None:
    assert "wheels" not in {*CATALOGUE.checks["wheel39"].supports, *CATALOGUE.checks["wheel126"].supports}


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.id)
def test_caution_defers_to_the_maker(check: Check) -> None:
    assert "maker" in check.caution


def test_law_is_cited_from_a_text_that_was_read() -> None:
    read = {source.citation for source in CATALOGUE.sources.values() if source.seen.startswith("read")}
    ranked: list[Limit | Condition] = [*CATALOGUE.limits.values(), *CATALOGUE.conditions.values()]
    assert [entry.id for entry in ranked if entry.status == "law" and entry.source not in read] == []


def test_limit_without_a_text_is_to_be_confirmed() -> None:
    assert CATALOGUE.limits["idler-end-total"].status == "to be confirmed"


def test_torn_boot_is_replace_for_every_ball_joint() -> None:
    torn = CATALOGUE.conditions["torn-boot"]
    assert torn.verdict == "replace"
    covered = [kind.id for kind in WORN if kind.has_boot and {kind.id, kind.group} & set(torn.applies_to)]
    assert covered == [kind.id for kind in WORN if kind.has_boot]


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("Track rod end", "outer-tie-rod-end"),
        ("drop arm", "pitman-arm"),
        ("relay rod", "center-link"),
        ("drop link", "sway-bar-link"),
        ("anti-roll bar", "sway-bar"),
        ("jam nuts", None),
        ("tie-rod jam nuts", "tie-rod-jam-nut"),
    ],
)
def test_older_and_british_names_are_known(said: str, meant: str | None) -> None:
    assert kind_called(said, CATALOGUE.part_kinds) == meant
