"""The pictures of the elements: each curve against its closed form, and the files against a fresh drawing."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import numpy as np
import pytest

from lessons import element_curves as curves
from lessons.element_curves import ALONG_N, HAND_N, KINDS, RUBBER, STIFF, Curve, Kind
from lessons.figures import BOTTOM, FOLDER, LEFT, RIGHT, TOP, draw_all, svg
from looseends.mechanics.bodies import Array
from tests.docs.shown_commands import DOCS, internal_links

SVG = "{http://www.w3.org/2000/svg}"


def with_play(force: Array, travel: float, stiffness: float) -> Array:
    """Place of a block of this travel between its walls, loaded by `force`."""
    return np.asarray(force / stiffness + np.sign(force) * travel / 2.0)


def is_near(curve: Curve, expected: Array) -> None:
    assert curve.moved == pytest.approx(expected, abs=1e-3)


def test_play_is_a_dead_zone_between_two_walls_and_a_pin_keeps_it_under_a_load_along() -> None:
    for drawn in (curves.ball(), curves.loaded("pin")):
        is_near(drawn, with_play(drawn.force, 1.0, STIFF))
        assert drawn.free == pytest.approx(1.0, abs=1e-3)


def test_a_ball_under_a_load_along_rolls_up_its_wall() -> None:
    """The touching point of the ellipsoid a, b under (F, N) lies at a² F / √(a² F² + b² N²)."""
    drawn, a, b = curves.loaded("ball"), 0.5, 0.15
    touching = a**2 * drawn.force / np.sqrt((a * drawn.force) ** 2 + (b * ALONG_N) ** 2)
    is_near(drawn, touching + drawn.force / STIFF)
    assert drawn.free < 0.7


def test_rubber_sound_and_softened_is_a_line_through_zero() -> None:
    for drawn, stiffness in ((curves.rubber(), RUBBER), (curves.softened(), 0.7 * RUBBER)):
        is_near(drawn, drawn.force / stiffness)
        assert drawn.free == pytest.approx(0.0, abs=1e-6)


def test_a_seat_stands_until_it_is_exceeded_and_counts_as_free() -> None:
    drawn = curves.seat()
    slid = np.where(np.abs(drawn.force) > 60.0, np.sign(drawn.force) * 0.5, 0.0)
    is_near(drawn, drawn.force / STIFF + slid)
    assert drawn.free == pytest.approx(1.0, abs=1e-3)


def test_gear_lash_is_followed_by_the_twist_of_the_shaft() -> None:
    """The mesh of 2000 N/mm and a shaft of 3e4 N·mm/rad at a lever of 10 mm, in line."""
    drawn = curves.gear()
    is_near(drawn, with_play(drawn.force, 0.8, 1.0 / (1.0 / 2000.0 + 10.0**2 / 3.0e4)))
    assert drawn.free == pytest.approx(0.8, abs=1e-3)


def test_rubber_with_a_stop_stiffens_and_its_half_millimetre_is_no_dead_zone() -> None:
    drawn = curves.stop()
    soft = drawn.force / RUBBER
    is_near(drawn, np.where(soft < 0.5, soft, 0.5 + (drawn.force - 0.5 * RUBBER) / (RUBBER + 2000.0)))
    assert drawn.free == pytest.approx(0.5, abs=0.05)


def test_a_preload_hides_the_play_from_a_weaker_hand() -> None:
    drawn = curves.preloaded()
    weak, strong = np.abs(drawn.force) < 85.0, drawn.force < -95.0
    assert drawn.moved[weak] == pytest.approx(drawn.force[weak] / STIFF, abs=1e-3)
    # 2 N/mm of the spring go with the block, so that the other wall is reached a little later
    assert drawn.moved[strong] == pytest.approx(drawn.force[strong] / STIFF - 1.0, abs=0.01)


def polylines(text: str) -> list[Array]:
    """Points (n, 2) of every curve of a picture."""
    lines = ElementTree.fromstring(text).iter(f"{SVG}polyline")
    return [np.array([pair.split(",") for pair in line.attrib["points"].split()], dtype=float) for line in lines]


def farthest(points: Array, line: Array) -> float:
    """Largest distance from a point to a polyline."""
    start, way = line[:-1], np.diff(line, axis=0)
    at = points[:, None, :] - start
    share = np.clip(np.sum(at * way, axis=2) / np.maximum(np.sum(way * way, axis=1), 1e-12), 0.0, 1.0)
    return float(np.max(np.min(np.linalg.norm(at - share[:, :, None] * way, axis=2), axis=1)))


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.file)
def test_the_file_is_what_would_be_drawn_and_says_what_it_shows(kind: Kind) -> None:
    written, fresh = (FOLDER / f"{kind.file}.svg").read_text(encoding="utf-8"), svg(kind)
    assert re.sub(r'points="[^"]+"', "", written) == re.sub(r'points="[^"]+"', "", fresh)
    for old, new in zip(polylines(written), polylines(fresh), strict=True):
        assert max(farthest(old, new), farthest(new, old)) < 0.3
    root = ElementTree.fromstring(written)
    assert root.findtext(f"{SVG}title") == kind.title
    assert (root.findtext(f"{SVG}desc") or "").endswith(kind.seen)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.file)
def test_every_curve_stays_inside_its_picture(kind: Kind) -> None:
    for points in polylines(svg(kind)):
        assert np.all((points[:, 0] >= LEFT) & (points[:, 0] <= RIGHT))
        assert np.all((points[:, 1] >= TOP) & (points[:, 1] <= BOTTOM))
        assert points[0, 1] - points[-1, 1] == pytest.approx(HAND_N / 165.0 * (BOTTOM - TOP), abs=0.2)


def test_the_page_on_mechanics_shows_every_picture_and_no_other_is_there() -> None:
    shown = [link.rpartition("/")[2] for link in internal_links(DOCS / "mechanics.md") if "pictures/elements" in link]
    files = [f"{kind.file}.svg" for kind in KINDS]
    assert shown == files
    assert sorted(path.name for path in FOLDER.iterdir()) == sorted(files)


def test_all_are_drawn_into_a_folder(tmp_path: Path) -> None:
    folder = tmp_path / "new"
    assert [path.read_text(encoding="utf-8")[:4] for path in draw_all(folder)] == ["<svg"] * len(KINDS)
