"""The underside plan: to scale, seen from below, marks that match the verdicts, labels that do not collide."""

import itertools
import math
import re
import xml.etree.ElementTree as ElementTree

import pytest

from looseends.catalogue.types import VerdictWord
from looseends.errors import InputError
from looseends.report import PlanGeometry, PlanLine, PlanPart, PlanWheel, plan_svg, plan_words
from looseends.report.label_layout import Label, level_tops
from looseends.report.leaders import distance_to_segment
from looseends.report.marks import MARK_RADIUS, VERDICT_ORDER, mark
from looseends.report.plan import COLUMN_WIDTH, plan_layout
from tests.report.handover_sample import yard_pickup_plan

SVG = "{http://www.w3.org/2000/svg}"
PARTS = [part.id for part in yard_pickup_plan().parts]


def cycled_verdicts() -> dict[str, VerdictWord]:
    """Every verdict in turn over all parts."""
    return dict(zip(PARTS, itertools.cycle(VERDICT_ORDER)))


def drawn(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def overlap(a: Label, b: Label) -> bool:
    return a.x < b.x + b.width and b.x < a.x + a.width and a.top < b.top + b.height and b.top < a.top + a.height


def test_the_drawing_is_well_formed_and_titled() -> None:
    root = drawn(plan_svg(yard_pickup_plan(), cycled_verdicts()))
    assert root.tag == f"{SVG}svg"
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None and desc is not None
    assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
    assert "left side on the right" in (desc.text or "")


def test_every_part_carries_the_mark_of_its_verdict() -> None:
    verdicts = cycled_verdicts()
    root = drawn(plan_svg(yard_pickup_plan(), verdicts))
    found = {
        group.get("data-part"): inner.get("data-verdict")
        for group in root.iter(f"{SVG}g")
        if group.get("class") == "part"
        for inner in group.iter(f"{SVG}g")
        if inner.get("class") == "mark"
    }
    assert found == verdicts


def test_a_part_without_verdict_is_unproven() -> None:
    assert "unproven: " + ", ".join(part.name for part in yard_pickup_plan().parts) in plan_words(
        yard_pickup_plan(), {}
    )
    assert plan_svg(yard_pickup_plan(), {}).count('data-verdict="unproven"') == len(PARTS) + 1  # and the key


def test_the_five_marks_differ_without_color() -> None:
    shapes = {re.sub('data-verdict="[a-z]+"', "", mark(verdict, 0, 0)) for verdict in VERDICT_ORDER}
    assert len(shapes) == 5
    colors = {color for shape in shapes for color in re.findall(r"#[0-9a-f]{3,6}", shape)}
    assert len(colors) == 2  # ink and paper


def test_left_of_the_vehicle_is_right_on_the_page_and_front_is_up() -> None:
    layout = plan_layout(yard_pickup_plan(), {})
    left, right = layout.places["left-lower-ball-joint"], layout.places["right-lower-ball-joint"]
    assert left[0] > 500 > right[0]
    front, rear = layout.places["left-sway-bar-bushing"], layout.places["left-lower-arm-rear-bushing"]
    assert front[1] < rear[1]


def test_the_left_label_column_holds_the_vehicles_right_parts() -> None:
    layout = plan_layout(yard_pickup_plan(), dict.fromkeys(PARTS, "replace"))
    assert all(label.side == "page-right" for label in layout.labels if label.part.startswith("left"))
    assert all(label.side == "page-left" for label in layout.labels if label.part.startswith("right"))


def test_the_drawing_is_to_scale_and_says_so() -> None:
    geometry = PlanGeometry(
        (),
        (PlanPart("a", "a", (0, -700), "x"), PlanPart("b", "b", (0, 700), "x"), PlanPart("c", "c", (-400, 0), "x")),
        (),
        1600,
        1000,
    )
    layout = plan_layout(geometry, {})
    a, b, c = (layout.places[part] for part in "abc")
    assert (b[0] - a[0]) / layout.sheet.scale == pytest.approx(1400)
    assert (c[1] - a[1]) / layout.sheet.scale == pytest.approx(400)
    bar = re.search(r"v6h([\d.]+)v-6", plan_svg(geometry, {}))
    assert bar is not None and float(bar[1]) / layout.sheet.scale == pytest.approx(500, abs=0.5)


@pytest.mark.parametrize("verdict", ["unsafe", "replace", "plan"])
def test_no_label_covers_another_or_the_drawing(verdict: VerdictWord) -> None:
    layout = plan_layout(yard_pickup_plan(), dict.fromkeys(PARTS, verdict))
    assert {label.part for label in layout.labels} == set(PARTS)
    for a, b in itertools.combinations(layout.labels, 2):
        assert not overlap(a, b), (a, b)
    for label in layout.labels:
        assert label.top >= 0 and label.top + label.height <= layout.sheet.height
        for spot in layout.places.values():
            assert not label.x - 10 < spot[0] < label.x + label.width + 10


def test_marks_at_one_place_are_pushed_apart_but_stay_near() -> None:
    parts = tuple(PlanPart(f"p{i}", f"part {i}", (0.0, 500.0), "x") for i in range(4))
    layout = plan_layout(PlanGeometry((), parts, (), 1600, 1000), {"p0": "unsafe", "p1": "unsafe"})
    for a, b in itertools.combinations(layout.places.values(), 2):
        assert math.dist(a, b) >= 2 * MARK_RADIUS
    unsafe_block = 2 * 1.35 * MARK_RADIUS
    assert math.dist(layout.places["p0"], layout.places["p1"]) >= unsafe_block
    true = layout.sheet.point((0.0, 500.0))
    assert all(math.dist(true, place) < 6 * MARK_RADIUS for place in layout.places.values())


def test_long_names_are_wrapped_inside_their_column() -> None:
    part = PlanPart("long", "rótula inferior izquierda del brazo de control con guardapolvo", (0, 700), "x")
    (label,) = plan_layout(PlanGeometry((), (part,), (), 1600, 1000), {"long": "replace"}).labels
    assert " ".join(label.lines) == part.name
    assert max(map(len, label.lines)) * 19 * 0.56 <= COLUMN_WIDTH


def test_labels_can_be_left_out_and_a_checked_part_is_ringed() -> None:
    plain = plan_svg(yard_pickup_plan(), cycled_verdicts(), labels=False)
    assert 'class="label"' not in plain and "highlight" not in plain
    ringed = plan_svg(yard_pickup_plan(), {}, highlight=["idler-arm"])
    assert ringed.count("highlight") == 1 and ringed.count('class="label"') == 1


def test_an_unknown_part_is_refused_with_the_nearest_name() -> None:
    with pytest.raises(InputError, match=r'part "idler-arms" has no place; .* idler-arm'):
        plan_svg(yard_pickup_plan(), {"idler-arms": "sound"})
    with pytest.raises(InputError, match='part "nothing"'):
        plan_svg(yard_pickup_plan(), {}, highlight=["nothing"])


def test_names_stay_text() -> None:
    bad = '</text><script>alert(1)</script>&"\x00'
    line, wheel = PlanLine(bad, ((0, 0), (1, 500))), PlanWheel(bad, (0, 700), 700, 200)
    geometry = PlanGeometry((line,), (PlanPart(bad, bad, (0, 300), bad),), (wheel,), 1600, 1000)
    root = drawn(plan_svg(geometry, {bad: "unsafe"}))
    assert not list(root.iter(f"{SVG}script")) and not list(root.iter("script"))


def test_structure_far_behind_the_last_part_is_broken_off() -> None:
    whole, (window,) = yard_pickup_plan().bounds(), yard_pickup_plan().windows()
    assert window.x_min > whole.x_min and window.x_max == whole.x_max
    assert all(window.x_min < part.center[0] < window.x_max for part in yard_pickup_plan().parts)


def test_a_long_empty_stretch_is_left_out_and_scale_holds_on_both_sides_of_it() -> None:
    xs = (0, -300, -2000, -2200)
    parts = tuple(PlanPart(str(x), str(x), (x, 500), "x") for x in xs)
    geometry = PlanGeometry((PlanLine("rail", ((0, 400), (-2200, 400)), 80),), parts, (), 1600, 2200)
    front, rear = geometry.windows()
    assert front.x_max == 0 and front.x_min > rear.x_max and rear.x_min == -2200
    layout = plan_layout(geometry, {})
    y = [layout.places[str(x)][1] for x in xs]
    assert (y[1] - y[0]) / layout.sheet.scale == pytest.approx(300)
    assert (y[3] - y[2]) / layout.sheet.scale == pytest.approx(200)
    assert 0 < y[2] - y[1] < 1000 * layout.sheet.scale


def test_an_empty_geometry_still_draws() -> None:
    drawn(plan_svg(PlanGeometry((), (), (), 1800, 3000), {}))


def test_stacked_boxes_keep_order_stay_inside_and_do_not_move_without_need() -> None:
    assert level_tops([10, 200, 300], [50, 50, 50], 0, 400) == [10, 200, 300]
    tops = level_tops([100, 100, 100], [40, 40, 40], 0, 400)
    assert tops == pytest.approx([60, 100, 140])  # the middle one stays, its neighbours give way alike
    assert level_tops([-50, 390], [40, 40], 0, 400) == [0, 360]


def test_distance_to_a_segment() -> None:
    assert distance_to_segment((0, 5), (-10, 0), (10, 0)) == pytest.approx(5)
    assert distance_to_segment((13, 4), (-10, 0), (10, 0)) == pytest.approx(5)
    assert distance_to_segment((3, 4), (0, 0), (0, 0)) == pytest.approx(5)
