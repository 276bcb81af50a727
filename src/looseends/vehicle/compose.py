"""One layout of a whole vehicle, composed of a front, a steering and a rear layout."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import chain, combinations

from looseends.errors import InputError
from looseends.vehicle.layout_types import FRAME_HOLDS, Layout, LayoutNeeds, LayoutSupport

FRAME = "frame"
"""The body that every vehicle has and no layout lists: what its springs carry."""


def compose(layouts: Sequence[Layout], file: str) -> Layout:
    """The layouts merged; `file` names the vehicle in errors.

    Raises
    ------
    InputError
        If two layouts use the same name, or one needs a body or point that no other offers.
    """
    for first, second in combinations(layouts, 2):
        _refuse_clashes(first, second, file)
    for layout in layouts:
        _refuse_missing(layout, layouts, file)
    return Layout(
        id=" + ".join(layout.id for layout in layouts),
        name=", ".join(layout.name for layout in layouts),
        end=None,
        sources=tuple(chain.from_iterable(layout.sources for layout in layouts)),
        needs=LayoutNeeds((), (), tuple(chain.from_iterable(layout.needs.numbers for layout in layouts))),
        offers=tuple(chain.from_iterable(layout.offers for layout in layouts)),
        roles={role: body for layout in layouts for role, body in layout.roles.items()},
        bodies=tuple(chain.from_iterable(layout.bodies for layout in layouts)),
        joints=tuple(chain.from_iterable(layout.joints for layout in layouts)),
        guides=tuple(chain.from_iterable(layout.guides for layout in layouts)),
        torsions=tuple(chain.from_iterable(layout.torsions for layout in layouts)),
        springs=tuple(chain.from_iterable(layout.springs for layout in layouts)),
        ratios=tuple(chain.from_iterable(layout.ratios for layout in layouts)),
        stops=tuple(chain.from_iterable(layout.stops for layout in layouts)),
        brakes=tuple(chain.from_iterable(layout.brakes for layout in layouts)),
        stands=tuple(chain.from_iterable(layout.stands for layout in layouts)),
        wheels=tuple(chain.from_iterable(layout.wheels for layout in layouts)),
        rim=next((layout.rim for layout in layouts if layout.rim is not None), None),
        rings=tuple(chain.from_iterable(layout.rings for layout in layouts)),
        supports=_supports(layouts),
        parts=tuple(chain.from_iterable(layout.parts for layout in layouts)),
        lines=tuple(chain.from_iterable(layout.lines for layout in layouts)),
        options={name: option for layout in layouts for name, option in layout.options.items()},
        air_springs=tuple(chain.from_iterable(layout.air_springs for layout in layouts)),
    )


def _names(layout: Layout) -> Mapping[str, set[str]]:
    """Names by what they name; one of these may stand in one layout only."""
    elements = (
        layout.joints, layout.guides, layout.torsions, layout.springs, layout.ratios, layout.stops, layout.brakes,
        layout.stands, layout.air_springs,
    )  # fmt: skip
    owned = [*(joint.part for joint in layout.joints), *(ratio.part for ratio in layout.ratios)]
    return {
        "body": {body.id for body in layout.bodies},
        "element": {element.id for group in elements for element in group},
        "part": {part for part in owned if part is not None} | {part.kind for part in layout.parts},
        "line": {line.name for line in layout.lines},
        "role": set(layout.roles),
        "wheel prefix": {wheel.prefix for wheel in layout.wheels},
        "ring": {ring.name for ring in layout.rings},
        "steering wheel": set() if layout.rim is None else {"rim"},
        "option": set(layout.options),
    }


def _refuse_clashes(first: Layout, second: Layout, file: str) -> None:
    for what, names in _names(first).items():
        for name in sorted(names & _names(second)[what]):
            raise InputError(
                f'{file}: the layouts "{first.id}" and "{second.id}" both have the {what} "{name}"; a name may stand '
                "in one of them only"
            )
    if FRAME in _names(first)["body"] | _names(second)["body"]:
        raise InputError(f'{file}: a layout lists the body "{FRAME}", which every vehicle has already')


def _refuse_missing(layout: Layout, layouts: Sequence[Layout], file: str) -> None:
    others = [other for other in layouts if other is not layout]
    bodies = {body.id for other in others for body in other.bodies}
    points = {point for other in others for point in other.offers}
    for what, needed, there in (("body", layout.needs.bodies, bodies), ("point", layout.needs.points, points)):
        for name in needed:
            if name not in there:
                offered = ", ".join(f'"{other.id}"' for other in others)
                raise InputError(
                    f'{file}: the layout "{layout.id}" needs the {what} "{name}", which {offered} do not offer'
                )


def _supports(layouts: Sequence[Layout]) -> dict[str, LayoutSupport]:
    """Supports that every layout with wheels knows, with the firmest hold of the frame that one of them asks for.

    One that only some know counts too where they say how the others stand meanwhile.
    """
    standing = [layout for layout in layouts if layout.wheels]
    names = dict.fromkeys(name for layout in standing for name in layout.supports)
    found = {name: [_in_support(layout, name, standing) for layout in standing] for name in names}
    return {
        name: LayoutSupport(
            max((support.frame for support in supports), key=FRAME_HOLDS.index),
            {end: held for support in supports for end, held in support.ends.items()},
        )
        for name, several in found.items()
        if len(supports := [support for support in several if support is not None]) == len(standing)
    }


def _in_support(layout: Layout, name: str, standing: Sequence[Layout]) -> LayoutSupport | None:
    """How one end stands in a support: as it says itself, else as those that know the support say of others."""
    said = [other.supports[name].others for other in standing if name in other.supports]
    meanwhile = (layout.supports.get(others) for others in said)
    return layout.supports.get(name) or next((support for support in meanwhile if support is not None), None)
