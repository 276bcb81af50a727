"""Force-movement curves against their closed forms: play, spring, a stop behind a soft part, a preloaded joint."""

from __future__ import annotations

import numpy as np
import pytest

from looseends.mechanics.bodies import GROUND, Body
from looseends.mechanics.clearance import Clearance
from looseends.mechanics.elements import Contact
from looseends.mechanics.model import Force, Mechanism, Watch
from looseends.mechanics.ramp import Ramp, force_ramp
from tests.mechanics.mechanisms import ORIGIN, X, joint, stroke_of

STIFF, SOFT, FORCE = 2000.0, 25.0, 100.0
SHARES = np.linspace(-1.0, 1.0, 41)


def _ramp(mechanism: Mechanism, clearances: dict[str, Clearance], shares: np.ndarray = SHARES) -> Ramp:
    watch = Watch("movement", "block", GROUND, ORIGIN[None, :], X[None, :])
    stroke = stroke_of(mechanism, [Force("block", ORIGIN, FORCE * X)], [watch])
    return force_ramp(stroke.reduced, stroke.arrays(clearances), shares)


def _block(stiffness: float, *others: Contact, offset: float = 0.0) -> Mechanism:
    held = joint("held", GROUND, "block", ORIGIN, [stiffness, 1e5, 1e5], turning=1e9, offset=(offset, 0.0, 0.0))
    return Mechanism((Body("block", 0.0, ORIGIN),), (held, *others))


def test_play_is_a_dead_zone_and_then_a_stop() -> None:
    """Travel c and stiffness k: the curve is s·F/k outside and jumps by c across no force."""
    ramp = _ramp(_block(STIFF), {"held": Clearance("ball", 2.0, 2.0)})
    expected = SHARES * FORCE / STIFF + np.sign(SHARES) * 1.0
    loaded = np.abs(SHARES) > 1e-12
    assert ramp.moved[loaded, 0] == pytest.approx((expected - expected[0])[loaded], abs=1e-9)
    assert ramp.free("movement") == pytest.approx(2.0, abs=1e-9)
    # The steepest step goes from one wall to the other: 1 mm over 0.05 of the force, beside 0.05 mm over the whole.
    assert ramp.give("movement") > 200.0


def test_rubber_rises_from_the_start() -> None:
    ramp = _ramp(_block(SOFT), {"held": Clearance("ball", 0.0, 0.0)})
    assert ramp.moved[:, 0] == pytest.approx((SHARES + 1.0) * FORCE / SOFT, abs=1e-9)
    assert ramp.free("movement") == pytest.approx(0.0, abs=1e-9)
    assert ramp.give("movement") == pytest.approx(1.0, abs=1e-9)


def test_a_stop_beside_a_spring_stiffens_where_its_gap_is_used_up() -> None:
    """Spring k alone until the gap d closes at s F = k d; then k and the stop share what is left."""
    gap = 1.0
    stop = Contact("stop", GROUND, "block", ORIGIN, -X, gap, STIFF)
    ramp = _ramp(_block(SOFT, stop), {"held": Clearance("ball", 0.0, 0.0)})
    load = SHARES * FORCE
    expected = np.where(load <= SOFT * gap, load / SOFT, gap + (load - SOFT * gap) / (SOFT + STIFF))
    assert ramp.moved[:, 0] == pytest.approx(expected - expected[0], abs=1e-9)
    assert ramp.slope[-1, 0] == pytest.approx(FORCE / (SOFT + STIFF), rel=1e-9)
    assert ramp.slope[0, 0] == pytest.approx(FORCE / SOFT, rel=1e-9)


def test_a_preload_above_the_hands_force_hides_the_play() -> None:
    """A spring draws the joint to one wall with more than the hand: the curve is the two stiffnesses together."""
    spring = joint("spring", GROUND, "block", ORIGIN, [SOFT, 0.0, 0.0], shape=None, offset=(8.0, 0.0, 0.0))
    mechanism = Mechanism((Body("block", 0.0, ORIGIN),), (*_block(STIFF).elements, spring))
    ramp = _ramp(mechanism, {"held": Clearance("ball", 2.0, 2.0)})
    assert ramp.moved[-1, 0] == pytest.approx(2.0 * FORCE / (STIFF + SOFT), rel=1e-9)
    assert ramp.free("movement") == pytest.approx(0.0, abs=1e-9)


def test_two_points_give_the_stroke() -> None:
    ramp = _ramp(_block(STIFF), {"held": Clearance("ball", 2.0, 2.0)}, np.array([-1.0, 1.0]))
    assert ramp.moved[-1, 0] == pytest.approx(2.0 + 2.0 * FORCE / STIFF, abs=1e-9)


@pytest.mark.parametrize("shares", [[1.0], [1.0, -1.0], [0.0, 0.0, 1.0]])
def test_shares_must_rise(shares: list[float]) -> None:
    with pytest.raises(ValueError, match="must rise"):
        _ramp(_block(STIFF), {"held": Clearance("ball", 0.0, 0.0)}, np.array(shares))
