"""A vehicle that cannot be meant is refused with one sentence: vehicle, thing, what was found, what is accepted."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from looseends.errors import InputError, MechanicsError
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.mobility import refuse_immobile
from looseends.vehicle.reading import parse_vehicle
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.vehicle import Vehicle
from tests.vehicle.other_vehicles import vehicle_text

CASES = tomllib.loads((Path(__file__).parent / "broken_vehicles.toml").read_text(encoding="utf-8"))["case"]


def refusal(vehicle: Vehicle) -> str:
    """The sentence with which its mechanism is refused."""
    with pytest.raises(MechanicsError) as refused:
        refuse_immobile(vehicle, nominal_specimen(vehicle))
    return str(refused.value)


@pytest.mark.parametrize("case", CASES, ids=[f"{case['vehicle']}: {case['new'][:40]}" for case in CASES])
def test_a_broken_vehicle_is_refused_with_its_sentence(case: dict[str, str]) -> None:
    text = vehicle_text(case["vehicle"])
    assert text.count(case["old"]) == 1
    with pytest.raises((InputError, MechanicsError)) as refused:
        vehicle = parse_vehicle(text.replace(case["old"], case["new"]), f"{case['vehicle']}.toml")
        refuse_immobile(vehicle, nominal_specimen(vehicle))
    assert str(refused.value) == case["sentence"]


def test_every_broken_vehicle_has_a_sentence_of_its_own_that_names_it() -> None:
    sentences = [case["sentence"] for case in CASES]
    assert len(set(sentences)) == len(sentences) >= 25
    for case in CASES:
        assert case["sentence"].startswith(case["vehicle"])
        assert "\n" not in case["sentence"]


@pytest.mark.parametrize("name", load_vehicles())
def test_a_vehicle_that_ships_holds_together_bounces_and_steers(name: str) -> None:
    vehicle = load_vehicles()[name]
    refuse_immobile(vehicle, nominal_specimen(vehicle))


def without_joints(name: str, body: str) -> Vehicle:
    """A vehicle with nothing that joins this body."""
    vehicle = load_vehicles()[name]
    layout = vehicle.layout
    kept = {
        group: tuple(e for e in getattr(layout, group) if body not in (e.a, e.b))
        for group in ("joints", "guides", "springs", "torsions", "stops")
    }
    return replace(vehicle, layout=replace(layout, **kept))  # type: ignore[arg-type]


def test_a_body_that_nothing_joins_is_named() -> None:
    loose = without_joints("yard-pickup", "shackle")
    parts = {name: part for name, part in loose.parts.items() if "shackle" not in name}
    assert refusal(replace(loose, parts=parts)) == (
        "yard-pickup: the body shackle-left is held by nothing; it needs a joint or a spring"
    )


def test_a_mechanism_that_falls_apart_names_what_nothing_keeps_in_place() -> None:
    """An idler arm without its bushings hangs on one ball and tips over by its weight."""
    vehicle = load_vehicles()["yard-pickup"]
    joints = tuple(e for e in vehicle.layout.joints if not e.id.startswith("idler-bushing"))
    parts = {name: part for name, part in vehicle.parts.items() if not {"idler-bushing-lower"} & set(part.joints)}
    broken = replace(vehicle, layout=replace(vehicle.layout, joints=joints), parts=parts)
    assert refusal(broken) == (
        "yard-pickup: the mechanism falls apart, nothing keeps the body idler-arm from tipping over by its weight; it "
        "needs a joint or guide that does"
    )
