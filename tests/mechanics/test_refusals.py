"""What the mechanics room refuses, and that it says what and where."""

from __future__ import annotations

import numpy as np
import pytest

from looseends.errors import MechanicsError
from looseends.mechanics.bodies import GROUND, Body, axes_along
from looseends.mechanics.clearance import blocks_of
from looseends.mechanics.elements import TorsionSpring
from looseends.mechanics.lash import solve_lash
from looseends.mechanics.model import Mechanism
from looseends.mechanics.settle import settle
from tests.mechanics.mechanisms import ORIGIN, X, Y, Z, hung_mass, joint, pull, stroke_of

ARM = Body("arm", 5.0, ORIGIN)


def test_a_body_that_nothing_holds_is_named() -> None:
    held = joint("pin", GROUND, "arm", ORIGIN, 1e4, turning=1e7)
    mechanism = Mechanism((ARM, Body("loose rod", 1.0, 50.0 * X)), (held,))
    with pytest.raises(MechanicsError, match='nothing holds "loose rod" against its load'):
        settle(mechanism)


def test_a_hand_load_along_a_free_axis_names_the_body() -> None:
    hinge = joint("hinge", GROUND, "arm", ORIGIN, 1e4, turning=[1e7, 1e7, 0.0])
    mechanism = Mechanism((Body("arm", 0.0, ORIGIN),), (hinge,))
    with pytest.raises(MechanicsError, match='nothing holds "arm" against its load'):
        stroke_of(mechanism, [pull("arm", 10.0 * Y, 100.0 * X)])


def test_a_free_axis_without_load_is_no_error() -> None:
    hinge = joint("hinge", GROUND, "arm", ORIGIN, 1e4, turning=[1e7, 1e7, 0.0])
    mechanism = Mechanism((Body("arm", 0.0, ORIGIN),), (hinge,))
    assert stroke_of(mechanism, [pull("arm", 10.0 * X, 100.0 * X)]).factors.null.shape == (6, 1)


@pytest.mark.parametrize("names", [("arm", "arm"), ("arm", GROUND)])
def test_two_bodies_of_one_name(names: tuple[str, str]) -> None:
    with pytest.raises(MechanicsError, match=f'body "{names[1]}" is there twice; each body needs its own name'):
        Mechanism(tuple(Body(name, 1.0, ORIGIN) for name in names), ())


def test_two_elements_of_one_name() -> None:
    pins = (joint("pin", GROUND, "arm", ORIGIN, 1e4), TorsionSpring("pin", GROUND, "arm", Z, 1e6, 0.0))
    with pytest.raises(MechanicsError, match='element "pin" is there twice; each element needs its own name'):
        Mechanism((ARM,), pins)


def test_a_joint_to_itself() -> None:
    with pytest.raises(MechanicsError, match='element "pin" joins "arm" to itself'):
        Mechanism((ARM,), (joint("pin", "arm", "arm", ORIGIN, 1e4),))


def test_a_joint_to_a_body_that_is_not_there() -> None:
    with pytest.raises(MechanicsError, match='element "pin" joins "leg", which is no body of the mechanism'):
        Mechanism((ARM,), (joint("pin", "arm", "leg", ORIGIN, 1e4),))


def test_an_axis_without_length() -> None:
    with pytest.raises(ValueError, match="axis must have a length, found zero"):
        axes_along(ORIGIN)


def test_a_slot_holds_one_axis_only() -> None:
    with pytest.raises(ValueError, match="a slot holds its x axis only"):
        blocks_of("slot", np.array([True, True, False]), 0)


def test_numbers_that_are_none_are_not_passed_off_as_an_answer() -> None:
    stroke = stroke_of(hung_mass("ball"), [pull("mass", X)]).reduced
    with pytest.raises(MechanicsError, match="clearances could not be solved: scaled gap nan"):
        solve_lash(np.full((3, 3), np.nan), stroke.f_hand, stroke.blocks, np.ones(3))
