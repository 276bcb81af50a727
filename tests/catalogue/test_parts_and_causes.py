"""Part kinds, joint figures, wear patterns, alterations and complaints as shipped: complete, and told apart."""

from __future__ import annotations

import csv
from itertools import pairwise

import pytest

from looseends.catalogue import load_catalogue
from looseends.catalogue.causes import WEIGHTS, Cause, weights_by_kind
from looseends.catalogue.complaints import Complaint
from looseends.catalogue.spanish import kinds_in_spanish, spanish_words
from looseends.catalogue.types import Axis, JointFigure, PartKind
from looseends.catalogue.wear_patterns import WearPattern
from tests.catalogue.data_folder import DATA

CATALOGUE = load_catalogue()
KINDS = CATALOGUE.part_kinds
FIGURES = list(CATALOGUE.joint_figures.values())
CAUSED: list[Complaint | WearPattern] = [*CATALOGUE.complaints.values(), *CATALOGUE.wear_patterns.values()]


def test_failure_words_are_the_fixed_fifteen() -> None:
    fixed = (
        "play|bind|seized|torn boot|leaking|cracked|extruded|missing|bent|corroded|broken|loose fastener|worn"
        "|wrong/altered|sagged"
    )
    assert list(CATALOGUE.failure_words) == fixed.split("|")


def test_every_failure_word_is_used() -> None:
    assert {word for kind in KINDS.values() for word in kind.fails_by} == set(CATALOGUE.failure_words)


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.id)
def test_kind_has_a_figure_with_a_reject_or_is_judged_by_condition(kind: PartKind) -> None:
    if kind.figure is None:
        assert kind.worn_by == ()
        assert set(kind.fails_by) - {"play"}
    else:
        figure = CATALOGUE.joint_figures[kind.figure]
        axes = [figure.radial if axis == "radial" else figure.axial for axis in kind.worn_by]
        assert axes
        assert all(axis.stiffness is not None and axis.reject is not None for axis in axes)


def test_boot_may_be_torn_only_where_there_is_one() -> None:
    covers = {"rack-bellows"}  # a boot that is a part of its own
    odd = [kind.id for kind in KINDS.values() if ("torn boot" in kind.fails_by) != kind.has_boot]
    assert set(odd) == covers


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.id)
def test_words_of_a_kind_lead_back_to_it_in_spanish(kind: PartKind) -> None:
    for word in spanish_words(kind):
        assert kinds_in_spanish(word.word.upper(), KINDS, word.region) == (kind.id,) or word.region == "any"
        assert kind.id in kinds_in_spanish(word.word, KINDS)


@pytest.mark.parametrize(
    ("word", "mexico", "spain"),
    [
        ("bieleta", "rack-inner-end", "sway-bar-link"),
        ("muelle", "leaf-spring", "coil-spring"),
        ("Llanta", "tire", "wheel"),
        ("buje", None, "wheel-bearing"),
    ],
)
def test_word_that_means_two_parts_is_told_apart_by_region(word: str, mexico: str | None, spain: str) -> None:
    here, there = ((mexico,) if mexico else ()), (spain,)
    assert kinds_in_spanish(word, KINDS, "MX") == here
    assert kinds_in_spanish(word, KINDS, "ES") == there
    assert set(kinds_in_spanish(word, KINDS)) == {*here, *there}
    assert word.lower() in {trap.word for trap in CATALOGUE.spanish_traps.values()}


def test_bolsa_de_aire_alone_names_no_part() -> None:
    assert kinds_in_spanish("bolsa de aire", KINDS) == ()
    assert kinds_in_spanish("bolsa de aire de suspensión", KINDS) == ("air-spring",)


def rows() -> list[dict[str, str]]:
    """The rows of the table of joint figures, read without the loader."""
    return list(csv.DictReader((DATA / "joint_figures.csv").read_text(encoding="utf-8").splitlines()))


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["id"])
def test_bands_are_ordered_and_reject_is_above_sound(row: dict[str, str]) -> None:
    for axis in ("radial", "axial"):
        lo, hi = row[f"{axis}_stiffness_lo_N_per_mm"], row[f"{axis}_stiffness_hi_N_per_mm"]
        assert bool(lo) == bool(hi)
        assert not lo or 0 < float(lo) < float(hi)
        sound = [float(row[f"{axis}_sound_{end}_mm"]) for end in ("lo", "hi")]
        rising = [*sound, *([float(row[f"{axis}_reject_mm"])] if row[f"{axis}_reject_mm"] else [])]
        assert all(low <= high for low, high in pairwise(rising))
    assert row["radial_stiffness_lo_N_per_mm"] or row["axial_stiffness_lo_N_per_mm"]


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["id"])
def test_assumed_figure_says_so_in_its_basis(row: dict[str, str]) -> None:
    if row["source"] == "assumed":
        assert "assumed" in row["basis"]


def reject_mm(figure: str, axis: Axis) -> float | None:
    """Reject clearance of a figure."""
    found = CATALOGUE.joint_figures[figure]
    return (found.radial if axis == "radial" else found.axial).reject


@pytest.mark.parametrize("figure", [figure for figure in FIGURES if figure.shape == "ball"], ids=lambda f: f.id)
def test_ball_without_its_boot_wears_at_least_four_times_as_fast(figure: JointFigure) -> None:
    """Common practice: water and grit in an open ball joint; 4 to 6 times is told in the trade, from memory."""
    assert figure.torn_boot_wear_factor is not None
    assert 4 <= figure.torn_boot_wear_factor <= 6


def test_joint_that_pulls_apart_is_rejected_before_one_that_the_load_holds_together() -> None:
    for axis in ("radial", "axial"):
        tension, compression = (reject_mm(f"ball-joint-carrier-{way}", axis) for way in ("tension", "compression"))
        assert tension is not None
        assert compression is not None
        assert tension < compression


def test_rack_teeth_open_by_what_their_slope_makes_of_the_guide() -> None:
    """Exact: a rack that leaves teeth of 20 degrees by d is free along itself by 2 d tan 20 degrees."""
    guide, teeth = reject_mm("rack-guide", "radial"), reject_mm("rack-gear", "radial")
    assert guide is not None
    assert teeth == pytest.approx(2 * guide * 0.36397, abs=0.005)


@pytest.mark.parametrize("entry", CAUSED, ids=lambda entry: entry.id)
def test_causes_stand_strongest_first(entry: Complaint | WearPattern) -> None:
    ranks = [WEIGHTS.index(cause.weight) for cause in entry.causes]
    assert ranks == sorted(ranks)


@pytest.mark.parametrize("complaint", CATALOGUE.complaints.values(), ids=lambda complaint: complaint.id)
def test_complaint_leads_to_parts_strongly(complaint: Complaint) -> None:
    weights = weights_by_kind(complaint.causes, KINDS)
    assert "strong" in weights.values()


def test_group_stands_for_each_of_its_kinds_and_the_strongest_mention_counts() -> None:
    causes = [
        Cause("weak", "any bearing", ("bearing",), ()),
        Cause("strong", "front bearing", ("wheel-bearing",), ()),
    ]
    weights = weights_by_kind(causes, KINDS)
    assert (weights["wheel-bearing"], weights["rear-wheel-bearing"]) == ("strong", "weak")
    assert "idler-arm" not in weights


@pytest.mark.parametrize(
    ("complaint", "part"),
    [
        ("violent-shimmy", "track-bar-frame-end"),
        ("knock-small-bumps", "sway-bar-link"),
        ("twang-turning", "strut-mount-bearing"),
        ("clicks-in-turn", "outer-cv-joint"),
        ("growls", "wheel-bearing"),
        ("corner-low", "torsion-bar"),
        ("rear-steers", "twist-beam-bushing"),
        ("wanders", "idler-arm"),
    ],
)
def test_complaint_leads_first_to_what_the_trade_looks_at_first(complaint: str, part: str) -> None:
    """Common practice, no source."""
    assert weights_by_kind(CATALOGUE.complaints[complaint].causes, KINDS)[part] == "strong"


@pytest.mark.parametrize(
    ("complaint", "check"),
    [
        ("wanders", "dry-park"),
        ("knock-small-bumps", "sway"),
        ("does-not-return", "mount"),
        ("clunk-braking", "bushpry"),
    ],
)
def test_first_check_of_a_complaint_is_the_one_that_decides(complaint: str, check: str) -> None:
    """Common practice, no source."""
    assert CATALOGUE.complaints[complaint].check == check


def test_damper_is_never_strong_for_a_violent_shimmy() -> None:
    assert weights_by_kind(CATALOGUE.complaints["violent-shimmy"].causes, KINDS)["steering-damper"] == "medium"


def directions(pattern: str) -> str:
    """What a pattern's causes say of direction."""
    return " ".join(cause.direction or "" for cause in CATALOGUE.wear_patterns[pattern].causes)


def test_directions_of_wear_as_read() -> None:
    """A van's manual of 1997: sharp edge to the middle is toe-in. A guide to steer tires: outer edges mean toe-in."""
    assert "sharp edge toward the vehicle's middle: too much toe-in" in directions("feathered")
    assert "sharp edge outward: too much toe-out" in directions("feathered")
    assert "toe-in wears outer edges" in directions("outer-both-fronts")
    assert "toe-out wears inner edges" in directions("inner-both-fronts")


def test_pattern_called_seen_rests_on_a_source_that_was_read() -> None:
    seen = {source.citation for source in CATALOGUE.sources.values() if source.seen.startswith("read")}
    wrong = [p.id for p in CATALOGUE.wear_patterns.values() if (p.status == "seen") != (p.source in seen)]
    assert wrong == []


def test_heat_and_welding_are_rejected_and_a_lift_by_itself_is_not() -> None:
    reject = {alteration.id for alteration in CATALOGUE.alterations.values() if alteration.reject}
    assert {"heated-spring", "welded-repair", "stacked-lift-blocks"} <= reject
    assert not {"lift-block", "wound-up-torsion-bar", "long-shackle", "hard-bushing", "wheel-offset"} & reject
    assert CATALOGUE.alterations["welded-repair"].status == "to be confirmed"
