"""A check on one side names nothing by a placeholder any more."""

from __future__ import annotations

import pytest

from looseends.catalogue.sides import Side, resolve_check, watches_of
from looseends.catalogue.types import Check, Grip, Stroke, WatchPlace
from looseends.errors import InputError


def small_check(*, sided: bool) -> Check:
    """One stroke with a grip on this side and a watch on the far one."""
    name = "-{side}" if sided else ""
    grip = Grip(f"wheel{name}", f"tread-front{name}", (0.0, 1.0, 0.0), 1.0, f"knuckle{name}")
    joint = WatchPlace(
        f"end{name}.axial", "joint", f"end{name}", "axial", None, None, "", "look {side}, {not} {other}", 1
    )
    far = WatchPlace("far", "point", None, "y", "wheel-{other}", "tread-front-{other}", "hub-{other}", "far", 1.0)
    stroke = Stroke(
        f"shake{name}", "shake the {side} wheel", 150.0, -1.0, 1.0, (grip,), (joint, far) if sided else (joint,)
    )
    return Check("shake", "shake", ("frame",), sided, ("held",), ("off",), (stroke, stroke), "", "", (), "", 1.0, "")


@pytest.mark.parametrize(("side", "other"), [("left", "right"), ("right", "left")])
def test_every_name_of_a_stroke_is_filled_in(side: Side, other: Side) -> None:
    stroke = resolve_check(small_check(sided=True), side).strokes[0]
    assert (stroke.id, stroke.words) == (f"shake-{side}", f"shake the {side} wheel")
    assert stroke.grips == (Grip(f"wheel-{side}", f"tread-front-{side}", (0.0, 1.0, 0.0), 1.0, f"knuckle-{side}"),)
    joint, far = stroke.watches
    assert (joint.id, joint.part, joint.words) == (f"end-{side}.axial", f"end-{side}", f"look {side}, {{not}} {other}")
    assert (joint.body, joint.at) == (None, None)
    assert (far.body, far.at, far.against) == (f"wheel-{other}", f"tread-front-{other}", f"hub-{other}")


def test_an_unsided_check_stays_as_it_is() -> None:
    check = small_check(sided=False)
    assert resolve_check(check, None) is check


def test_watches_stand_once_though_two_strokes_share_them() -> None:
    assert [watch.id for watch in watches_of(small_check(sided=True), "left")] == ["end-left.axial", "far"]


@pytest.mark.parametrize(("sided", "side"), [(True, None), (False, "left")])
def test_a_side_is_given_exactly_where_the_check_has_one(sided: bool, side: Side | None) -> None:
    with pytest.raises(InputError, match=r'"shake".*side must be'):
        resolve_check(small_check(sided=sided), side)
