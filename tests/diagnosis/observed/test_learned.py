"""What a shop learns from sound vehicles: recovered from drawn ones, held back where there is little."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from looseends.diagnosis.observed.evidence import Clue
from looseends.diagnosis.observed.learned import Learned, learned, shop_text, with_shop
from looseends.errors import InputError
from tests.diagnosis.made_tables import BEARING, CARRIER, FOLLOWER, TREAD, beliefs, gauge, made_clues, made_table

SOUND = [[3.0, 1.0]] * 4


def drawn(
    vehicles: int, softness: float, floor: float, *, likeness: float = 0.0, seed: int = 1
) -> list[tuple[Clue, ...]]:
    """Gauge readings of sound vehicles that scatter by so much; a share of the variance is alike within a vehicle."""
    rng = np.random.default_rng(seed)
    table = made_table({}, sound=SOUND, spread=0.3)
    found = []
    for _ in range(vehicles):
        own = rng.normal(0.0, 1.0)
        deviation = float(np.hypot(0.3 * softness, floor))
        errors = deviation * (np.sqrt(likeness) * own + np.sqrt(1.0 - likeness) * rng.normal(0.0, 1.0, 4))
        readings = [
            gauge(watch, round(3.0 + e, 2))
            for watch, e in zip((CARRIER, FOLLOWER, BEARING, TREAD), errors, strict=True)
        ]
        found.append(made_clues(table, (), *readings))
    return found


@pytest.mark.parametrize("softness", [0.8, 1.5, 3.0])
@pytest.mark.parametrize("likeness", [0.0, 0.5])
def test_independent_drawn_scatter_is_found_again(softness: float, likeness: float) -> None:
    found = learned(drawn(60, softness, 0.04, likeness=likeness), beliefs())
    assert found.shared_softness == pytest.approx(softness, rel=0.2)
    assert found.off_after == pytest.approx(1.0, abs=0.15)
    assert found.readings == 240 and found.vehicles == 60


def test_invariant_nothing_read_teaches_nothing() -> None:
    found = learned([], beliefs())
    assert found.applied(beliefs()) == replace(
        beliefs(), shared_softness=pytest.approx(beliefs().shared_softness), floor_mm=pytest.approx(beliefs().floor_mm)
    )


def test_invariant_one_vehicle_moves_the_figures_less_than_many() -> None:
    one, many = (learned(drawn(count, 3.0, 0.04), beliefs()).shared_softness for count in (1, 40))
    assert abs(one - beliefs().shared_softness) < abs(many - beliefs().shared_softness)


def test_exact_the_file_gives_back_what_was_learned(tmp_path: Path) -> None:
    file = tmp_path / "shop.toml"
    file.write_text(shop_text(Learned(2.25, 0.0625, 12, 3, 1.2, 1.0)), encoding="utf-8")
    mended = with_shop(beliefs(), file)
    assert (mended.shared_softness, mended.floor_mm) == (2.25, 0.0625)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("format = 2", "shop.toml: format must be 1 and [discrepancy] be there, as `looseends learn` writes it."),
        (
            "format = 1\n[discrepancy]\nshared_softness_factor = 99\nfloor_mm = 0.04",
            "shop.toml: shared_softness_factor must be a number from 0.3 to 7.5, found 99.",
        ),
        (
            "format = 1\n[discrepancy]\nshared_softness_factor = 1.5\nfloor_mm = true",
            "shop.toml: floor_mm must be a number from 0.008 to 0.2, found True.",
        ),
    ],
)
def test_a_broken_shop_file_is_refused(text: str, sentence: str, tmp_path: Path) -> None:
    file = tmp_path / "shop.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as refusal:
        with_shop(beliefs(), file)
    assert str(refusal.value) == sentence
