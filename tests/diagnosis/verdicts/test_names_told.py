"""What is told of visits names parts, places and checks, in English as in Spanish, and shows no id."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import replace

import pytest
from rich.console import Console

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import watches_of
from looseends.cli.judgement_text import print_judgement
from looseends.diagnosis import judge
from looseends.diagnosis.observed.words import WatchName, held_words, setup_words
from looseends.diagnosis.tables.tabulate import usual_setups
from looseends.inspection.types import Judgement
from looseends.language import ENGLISH, Speech
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.vehicle import SIDES
from looseends.web.demo import filling
from looseends.web.of_visit.finding_lines import finding_lines
from tests.diagnosis.conftest import SETUPS, Preparation
from tests.diagnosis.made_tables import CARRIER, ON_FRAME, by_hand, check_done, gauge, seen, yard_pickup
from tests.diagnosis.verdicts.test_spoken_judgement import Shown, page, texts

CATALOGUE = load_catalogue()
SPEECHES = (ENGLISH, Speech("es"), Speech("en", "us"))
HYPHENATED = re.compile(r"(?<![\w-])[a-z0-9]+(?:[-.][a-z0-9]+)+(?![\w-])|(?<![\w-])[a-z]+\d+(?![\w-])")
WATCHES = {
    watch.id
    for check in CATALOGUE.checks.values()
    for side in (SIDES if check.sided else (None,))
    for watch in watches_of(check, side)
}
IDS = (
    {part for vehicle in load_vehicles().values() for part in vehicle.parts}
    | {*WATCHES, *CATALOGUE.checks, *CATALOGUE.conditions, *CATALOGUE.complaints, *CATALOGUE.part_kinds}
) - {"tie-rod"}
"""A tie-rod is spelled so in English too."""


def ids_in(words: str) -> set[str]:
    """The ids that stand in a text: those that no English word is spelled like."""
    return set(HYPHENATED.findall(words)) & IDS


@pytest.fixture
def judgements(preparation: Preparation, monkeypatch: pytest.MonkeyPatch) -> list[Judgement]:
    """The demo bay's visits of the pickup, as far as the tables go, and one with all that is remarked on."""
    monkeypatch.setattr("looseends.diagnosis.inference.in_common.usual_setups", lambda vehicle: SETUPS)
    visits = [found for stay in filling._bay()["visit"] if (found := filling._visit(stay.get("file", "")))]
    assert [visit.vehicle for visit in visits] == ["yard-pickup"] * 2
    kept = [replace(v, checks=tuple(check for check in v.checks if check.setup in SETUPS)) for v in visits]
    remarked = replace(
        visits[0],
        checks=(
            check_done(gauge(CARRIER, 0.1), setup=ON_FRAME, passed=[CARRIER]),
            check_done(gauge(CARRIER, 0.1), number=2),
            check_done(gauge(CARRIER, 2.6), number=3),
            check_done(by_hand(CARRIER, "gross"), number=4, stop_gap_mm=0.0),
            check_done(by_hand(CARRIER, "none"), number=5, stop_gap_mm=None),
        ),
        conditions=(
            seen("outer-tie-rod-end-left", "torn-boot"),
            replace(seen("leaf-shackle-left", "shackle-insecure"), number=2, present=False),
        ),
    )
    return [judge.judge_visit(visit, yard_pickup(), store=preparation.store) for visit in (*kept, remarked)]


def told(judgement: Judgement, speech: Speech) -> Iterator[str]:
    """What the page of findings, the handover and the command line tell of a judgement."""
    lines = finding_lines(judgement, yard_pickup(), speech)
    parts = {line.text.part for line in (*lines.to_do, *lines.sound)}
    yield from (text for text in texts(lines) if text not in parts)
    yield from Shown(page(judgement, speech)).text
    out = Console(file=io.StringIO(), width=2000)
    print_judgement(judgement, out, speech, in_full=True)
    printed = out.file.getvalue()  # type: ignore[attr-defined]
    yield re.sub(r" \([\w-]+\)", "", printed)  # the next check's ids, beside their names, for a visit file


@pytest.mark.parametrize("speech", SPEECHES, ids=["en", "es", "en-us"])
def test_no_finding_remark_or_ground_of_a_visit_shows_an_id(judgements: list[Judgement], speech: Speech) -> None:
    found = [(sorted(ids_in(text)), text) for judgement in judgements for text in told(judgement, speech)]
    assert [entry for entry in found if entry[0]] == []


def test_the_search_finds_an_id_where_there_is_one() -> None:
    assert ids_in("Lower-ball-joint-left read 0.1 mm (bj-axial, held".lower()) == {"lower-ball-joint-left", "bj-axial"}
    assert ids_in("wheel39, left outer tie-rod end") == {"wheel39"}


def test_every_watch_and_every_setup_is_said_by_names() -> None:
    assert [watch for watch in WATCHES if ids_in(WatchName(watch).said(ENGLISH))] == []
    setups = {setup for vehicle in load_vehicles().values() for setup in usual_setups(vehicle)}
    for setup in setups:
        name = CATALOGUE.checks[setup.check].name
        assert setup_words(setup) == f"{name[:1].lower()}{name[1:]}, {held_words(setup)}"
        assert not ids_in(setup_words(setup))
