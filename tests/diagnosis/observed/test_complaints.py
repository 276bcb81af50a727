"""From a customer's words to what is likely: which complaint is meant, and how it raises the odds."""

from __future__ import annotations

import math

import pytest

from looseends.catalogue import load_catalogue
from looseends.catalogue.complaints import Complaint
from looseends.diagnosis.observed.complaints import complaints_meant, suspicion_of
from looseends.diagnosis.observed.opening import load_complaint_figures
from looseends.diagnosis.tables.states import log_odds, worn_axes
from looseends.errors import InputError
from tests.diagnosis.made_complaints import CLUNKS, COMPLAINTS, KNOCKS, WANDERS
from tests.diagnosis.made_tables import beliefs, yard_pickup


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        ("wanders", WANDERS),
        ("It wanders on the highway.", WANDERS),
        ("WANDRES ON A STRAIT ROAD", WANDERS),
        ("I must correct it all the time", WANDERS),
        ("se va sólo en la recta", WANDERS),
        ("linea", WANDERS),
        ("rattling on gravel", KNOCKS),
        ("Golpea en los baches chicos", KNOCKS),
        ("golpe al frenar", CLUNKS),
        ("clunk when she brakes", CLUNKS),
        ("knock-small-bumps", KNOCKS),
    ],
)
def test_words_are_taken_for_the_complaint_that_they_mean(words: str, meant: object) -> None:
    assert complaints_meant(words, COMPLAINTS)[0] is meant


@pytest.mark.parametrize(
    ("words", "never"),
    [
        ("wanders on the highway", "shakes the rim at 80 to 110 km/h only"),
        ("steering wheel shakes at 60 mph", "steering wheel off center, drives straight"),
        ("truck leans to one side", "pulls one way all the time"),
        ("clunk when I back up and brake", "pulls when braking"),
    ],
)
def test_where_and_when_alone_make_no_complaint_alike(words: str, never: str) -> None:
    assert never not in {complaint.name for complaint in complaints_meant(words, load_catalogue().complaints.values())}


def test_words_that_fit_two_complaints_are_taken_for_both() -> None:
    assert set(complaints_meant("knock", COMPLAINTS)) == {KNOCKS, CLUNKS}


def test_each_clause_is_a_complaint_of_its_own() -> None:
    assert set(complaints_meant("Wanders on the highway, and rattles on gravel", COMPLAINTS)) == {WANDERS, KNOCKS}
    assert complaints_meant("The radio hums; it wanders", COMPLAINTS) == (WANDERS,)


@pytest.mark.parametrize("words", ["the radio hums", "", "on the and", "!!"])
def test_words_like_none_are_refused_with_the_nearest(words: str) -> None:
    with pytest.raises(InputError) as refused:
        complaints_meant(words, COMPLAINTS)
    said = str(refused.value)
    assert said.startswith(f'looseends route: --complaint "{words}" is like no complaint on file; nearest are "')
    assert any(f'"{phrase}"' in said for c in COMPLAINTS for phrase in (c.name, *c.words, *c.spanish))
    assert said.count(".") == 1


def test_without_complaints_the_words_cannot_be_looked_up() -> None:
    with pytest.raises(InputError, match="cannot be looked up, found no complaint in the catalogue"):
        complaints_meant("knock", ())


def test_exact_the_strongest_weight_multiplies_the_odds() -> None:
    vehicle, factor = yard_pickup(), load_complaint_figures().odds_factor
    found = suspicion_of(vehicle, [WANDERS], beliefs())
    expected = {"idler-arm": factor["strong"], "outer-tie-rod-end-left": factor["medium"], "pitman-ball": 1.0}
    for part, times in expected.items():
        chance = found.weights[part]
        odds = math.exp(log_odds(vehicle.parts[part], beliefs()))
        assert chance / (1.0 - chance) == pytest.approx(times * odds)
    assert set(found.weights) == {part.id for part in vehicle.wearable if worn_axes(part)}
    assert found.raised == tuple(p for p in found.weights if p.rsplit("-", 1)[0] in _named() or p in _named())


def _named() -> set[str]:
    return {name for cause in WANDERS.causes for name in cause.points_to}


def test_what_no_clearance_of_the_vehicle_tells_is_named_apart() -> None:
    found = suspicion_of(yard_pickup(), [WANDERS], beliefs())
    assert found.elsewhere == ("tire pressure", "worn rack")
    assert (found.complaints, found.checks) == (("wanders on a straight road",), ("dry-park",))


def test_a_group_stands_for_all_its_kinds() -> None:
    found = suspicion_of(yard_pickup(), [CLUNKS], beliefs())
    kinds = yard_pickup().parts
    assert {kinds[part].kind.group for part in found.raised} >= {"bushing"}
    assert (
        "upper-arm-front-bushing-left" in found.raised or kinds["upper-arm-front-bushing-left"].kind.group != "bushing"
    )


@pytest.mark.parametrize("complaint", load_catalogue().complaints.values(), ids=lambda complaint: complaint.id)
def test_every_phrase_on_file_is_taken_for_its_own_complaint(complaint: Complaint) -> None:
    """Or for one that shares all its words that say something."""
    on_file = load_catalogue().complaints.values()
    for phrase in (complaint.id, complaint.name, *complaint.words, *complaint.spanish):
        assert complaint in complaints_meant(phrase, on_file), phrase
