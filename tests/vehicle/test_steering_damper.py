"""The steering damper, shaken by hand while the idler is checked."""

from __future__ import annotations

import pytest

from tests.vehicle.front_end import movement, prepared, shaken


def test_a_worn_steering_damper_shows_at_its_eyes_when_it_is_shaken_and_nowhere_else() -> None:
    check = prepared("idler", "frame", None)
    worn, sound = shaken(check, {("steering-damper", "radial"): 3.0}), shaken(check)
    assert movement(sound, "steering-damper").free < 0.5
    assert movement(worn, "steering-damper").free == pytest.approx(3.0, rel=0.1)
    for watch in ("idler-end", "pitman-end", "pitman-pull", "idler-ball", "pitman-ball"):
        assert movement(worn, watch).total == pytest.approx(movement(sound, watch).total, abs=0.05)
