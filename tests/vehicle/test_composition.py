"""Layouts of front, steering and rear make one vehicle, or are refused in one sentence that says why not."""

from __future__ import annotations

import re
from dataclasses import replace
from importlib import resources

import pytest

from looseends.errors import InputError
from looseends.vehicle.compose import compose
from looseends.vehicle.layout import load_layouts, parse_layout
from looseends.vehicle.layout_types import Layout, LayoutBody

FRONT, STEERING, REAR = "double-arm-lower-bar", "parallelogram-box", "leaf-axle"
DRAG_LINK = "drag-link-longitudinal"


def layout(name: str) -> Layout:
    """A layout that ships."""
    return load_layouts()[name]


def text(name: str) -> str:
    """The file of a layout that ships."""
    return (resources.files("looseends.vehicle") / "data" / "layouts" / f"{name}.toml").read_text(encoding="utf-8")


def refusal(*layouts: Layout) -> str:
    """The sentence with which a composition is refused."""
    with pytest.raises(InputError) as refused:
        compose(layouts, "x.toml")
    return str(refused.value)


def test_a_composed_layout_has_everything_of_its_three() -> None:
    parts = [layout(name) for name in (FRONT, STEERING, REAR)]
    whole = compose(parts, "x.toml")
    for field in ("bodies", "joints", "guides", "ratios", "springs", "torsions", "stops", "parts", "lines", "wheels"):
        assert set(getattr(whole, field)) == {entry for part in parts for entry in getattr(part, field)}
    assert [wheel.end for wheel in whole.wheels] == ["front", "rear"]


def test_a_layout_of_another_front_composes_with_the_same_steering_and_rear() -> None:
    """What the steering needs is a knuckle with a steering arm; how that is hung is the front's own matter."""
    bare = replace(layout(FRONT), id="other", joints=(), guides=(), torsions=(), stops=(), parts=(), lines=())
    whole = compose([bare, layout(STEERING), layout(REAR)], "x.toml")
    assert whole.id == f"other + {STEERING} + {REAR}"
    assert {"knuckle", "tie-rod", "rear-axle"} <= {body.id for body in whole.bodies}


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"bodies": (LayoutBody("rear-axle", False, "x", 1.0),)}, 'body "rear-axle"'),
        ({"roles": {"carrier": "x"}}, 'role "carrier"'),
        ({"joints": layout(FRONT).joints[:1]}, 'element "lower-ball-joint"'),
    ],
)
def test_a_name_that_stands_in_two_layouts_is_refused(change: dict[str, object], what: str) -> None:
    both = (FRONT, "body") if what == 'body "rear-axle"' else (FRONT, REAR)
    changed = replace(layout(FRONT if both[1] == "body" else REAR), **change)  # type: ignore[arg-type]
    others = [layout(name) for name in (FRONT, STEERING, REAR) if name != changed.id]
    sentence = refusal(*sorted([changed, *others], key=lambda one: (FRONT, STEERING, REAR).index(one.id)))
    assert sentence == (
        f'x.toml: the layouts "{FRONT}" and "{REAR}" both have the {what}; a name may stand in one of them only'
    )


def test_a_steering_without_a_knuckle_to_steer_is_refused() -> None:
    bare = replace(layout(FRONT), bodies=tuple(body for body in layout(FRONT).bodies if body.id != "knuckle"))
    assert refusal(bare, layout(STEERING), layout(REAR)) == (
        f'x.toml: the layout "{STEERING}" needs the body "knuckle", which "{FRONT}", "{REAR}" do not offer'
    )


def test_a_steering_without_a_steering_arm_to_join_to_is_refused() -> None:
    bare = replace(layout(FRONT), offers=())
    assert refusal(bare, layout(STEERING), layout(REAR)) == (
        f'x.toml: the layout "{STEERING}" needs the point "tie-rod-outer", which "{FRONT}", "{REAR}" do not offer'
    )


def test_the_frame_is_no_layouts_body() -> None:
    bodies = (*layout(REAR).bodies, LayoutBody("frame", False, "x", 1.0))
    assert refusal(layout(FRONT), layout(STEERING), replace(layout(REAR), bodies=bodies)).endswith(
        'lists the body "frame", which every vehicle has already'
    )


def test_a_support_that_one_end_does_not_know_is_no_support_of_the_vehicle() -> None:
    rear = layout(REAR)
    fewer = replace(rear, supports={name: held for name, held in rear.supports.items() if name != "axle"})
    whole = compose([layout(FRONT), layout(STEERING), fewer], "x.toml")
    assert set(layout(FRONT).supports) - set(whole.supports) == {"axle"}


def test_a_support_that_says_how_the_others_stand_needs_no_word_of_them() -> None:
    """The rear knows nothing of blocked upper arms: meanwhile it hangs as it does at the frame."""
    front, rear = layout("double-arm-upper-coil"), layout(REAR)
    whole = compose([front, layout(STEERING), rear], "x.toml")
    assert "upblock" not in rear.supports
    assert whole.supports["upblock"].ends == {
        "front": front.supports["upblock"].ends["front"],
        "rear": rear.supports["frame"].ends["rear"],
    }
    silent = {name: replace(held, others="") for name, held in front.supports.items()}
    whole = compose([replace(front, supports=silent), layout(STEERING), rear], "x.toml")
    assert "upblock" not in whole.supports


@pytest.mark.parametrize(
    ("name", "found", "replaced", "sentence"),
    [
        (REAR, 'end = "rear"', 'end = "back"', "x.toml: end must be one of front, steering, rear, found 'back'"),
        (REAR, "[[wheel]]", "[[whel]]", 'x.toml: table "whel" is not known; did you mean "wheel"'),
        (
            REAR,
            'tires = "none", stands = "both" }',
            'tires = "none", stands = "two" }',
            "x.toml, supports.axle: stands must be one of both, worked-side, blocks, none, found 'two'",
        ),
        (
            REAR,
            'beam = ["leaf_tension_N", ',
            "beam = [",
            'x.toml, spring "leaf-front-half": needs either beam with four numbers or rates with six',
        ),
        (
            DRAG_LINK,
            'part = "steering-gear"\n',
            "",
            'x.toml, ratio "gear-mesh": needs either part or stiffness_N_per_mm',
        ),
        (
            DRAG_LINK,
            'kind = "turn"',
            'kind = "twist"',
            "x.toml, ratio \"gear-mesh\": kind must be one of turn, shift, found 'twist'",
        ),
        (
            DRAG_LINK,
            'kind = "turn"',
            'kind = "shift"',
            'x.toml, ratio "gear-mesh": a term of kind "shift" needs the key "at"',
        ),
    ],
)
def test_a_wrong_layout_file_is_named(name: str, found: str, replaced: str, sentence: str) -> None:
    assert found in text(name)
    with pytest.raises(InputError, match=f"^{re.escape(sentence)}"):
        parse_layout(text(name).replace(found, replaced, 1), "x.toml")
