"""What a layout says: bodies, joints, springs, ratios, stops, wheels and supports, as frozen records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

Place = str | tuple[str, ...]
Direction = tuple[str, str] | tuple[float, float, float]
Given = float | str
"""A number, or the name of one of the vehicle's numbers."""

End = Literal["front", "steering", "rear"]
ENDS: tuple[End, ...] = ("front", "steering", "rear")


@dataclass(frozen=True)
class LayoutBody:
    """A body: its place (a point or the middle of several) and mass [kg]."""

    id: str
    sided: bool
    at: Place
    mass: float


@dataclass(frozen=True)
class LayoutJoint:
    """A joint that a part owns; `offset` [mm] moves it from `at` along its axis.

    `apart` [mm] is how far b stands off a along the axis, or along `apart_along`, beyond where it was drawn (a block
    between the two).
    `seat` [N] is the force that friction holds before the joint gives way within its clearance.
    `stud` is the way that a ball's stud points, from the ball to its taper in b.
    """

    id: str
    part: str
    sided: bool
    a: str
    b: str
    at: Place
    axis: Direction
    offset: float
    apart: Given
    seat: Given
    apart_along: Direction | None = None
    stud: Direction | None = None


@dataclass(frozen=True)
class LayoutGuide:
    """A joint that nobody buys: stiffness [N/mm] and rotation [N·mm/rad] given here or named as a vehicle number."""

    id: str
    sided: bool
    a: str
    b: str
    at: Place
    axis: Direction
    offset: float
    stiffness: tuple[Given, Given, Given]
    rotational: tuple[Given, Given, Given]


@dataclass(frozen=True)
class LayoutTorsion:
    """A torsion spring about `axis` that pushes the point `pushes_down` of body b down, carrying an axle's weight.

    `wound` [rad] is how much further its adjuster is turned than the weight asks for.
    """

    id: str
    sided: bool
    a: str
    b: str
    axis: Direction
    pushes_down: str
    carries: str
    wound: float = 0.0


@dataclass(frozen=True)
class LayoutSpring:
    """A spring at `at`, its z along `axis` and its x as near upright as can be.

    Either six rates by themselves (`rates` [N/mm], `rotational` [N·mm/rad]), or a `beam` clamped at body a, whose
    length is that of the axis: tension E·A [N], bending E·I upright and level, torsion G·J [N·mm²].
    `push` is the direction in which it pushes body b with its `share` of the load of one tire of the axle `carries`.
    `bows` tells that a beam moves far enough to draw its ends together; `packed` [mm] how much further a spring
    along its line is pressed than the weight asks for, by a spacer.
    """

    id: str
    sided: bool
    a: str
    b: str
    at: Place
    axis: Direction
    rates: tuple[Given, ...] | None
    beam: tuple[Given, ...] | None
    carries: str | None
    push: Direction
    share: float
    bows: bool = False
    packed: float = 0.0


@dataclass(frozen=True)
class LayoutAirSpring:
    """An air spring at `at`: it presses body b off body a along `push` with its `share` of one tire's load, and cannot
    pull.

    Its rate follows from that force, from the `area` [mm²] that the air presses on, and from the `height` [mm] of a
    column of that area which holds as much air.
    """

    id: str
    sided: bool
    a: str
    b: str
    at: Place
    push: Direction
    carries: str
    share: float
    area: Given
    height: Given


@dataclass(frozen=True)
class LayoutTerm:
    """One movement that a ratio gears: a turn of b against a about `axis`, or its shift at `at` along `axis`.

    It counts `factor` times its `lever` [mm of the sum per rad or mm] over `over`.
    """

    kind: Literal["turn", "shift"]
    a: str
    b: str
    at: Place | None
    axis: Direction
    lever: Given
    over: Given
    factor: float


@dataclass(frozen=True)
class LayoutRatio:
    """Movements geared to each other, owned by a part (which gives stiffness and lash) or with a stiffness [N/mm].

    `lash_off_center` rows of (angle of the last term's turn [deg], lash [mm]) that is added to the part's there;
    `seat` [N] as for a joint.
    """

    id: str
    part: str | None
    sided: bool
    at: Place
    terms: tuple[LayoutTerm, ...]
    stiffness: Given
    lash_off_center: tuple[tuple[float, float], ...]
    seat: Given


@dataclass(frozen=True)
class LayoutStop:
    """A one-sided stop; b leaves a along `normal`; `gap` names a vehicle number [mm]; stiffness [N/mm]."""

    id: str
    sided: bool
    a: str
    b: str
    at: Place
    normal: Direction
    gap: str
    stiffness: Given


@dataclass(frozen=True)
class LayoutBrake:
    """What the applied brake clamps, and how stiffly [N/mm, N·mm/rad]."""

    id: str
    a: str
    b: str
    at: str
    stiffness: tuple[float, float, float]
    rotational: tuple[float, float, float]


@dataclass(frozen=True)
class LayoutStand:
    """Where a stand goes: under a body, from a point toward an axis (if given), `drop` [mm] below; stiffness [N/mm].

    It stands `on` the ground; a block that is set between two bodies, on the lower of them.
    """

    id: str
    end: str
    under: str
    start: str
    toward: tuple[str, str] | None
    drop: float
    stiffness: float
    on: str = "ground"


@dataclass(frozen=True)
class LayoutWheel:
    """The wheels of one end: body, center, and what the names of tire and marks begin with."""

    end: str
    body: str
    center: str
    prefix: str


@dataclass(frozen=True)
class LayoutRim:
    """The steering wheel: its body, turning in `a` about `axis`, which ends at its center.

    What holds it against turning [N·mm/rad] with hands or a holder at it, and when it is let go. Whoever grips one of
    `turned_by` turns the steering himself: then neither counts.
    """

    body: str
    a: str
    axis: tuple[str, str]
    held: Given
    free: Given
    turned_by: tuple[str, ...]


@dataclass(frozen=True)
class LayoutRing:
    """A round thing that is gripped and watched at its top and bottom: about `axis`, which ends at its center."""

    name: str
    axis: tuple[str, str]
    diameter: Given


Tires = Literal["floor", "plates", "other-side", "none"]
Stands = Literal["both", "worked-side", "blocks", "none"]
FrameHold = Literal["free", "guided", "clamped"]
FRAME_HOLDS: tuple[FrameHold, ...] = ("free", "guided", "clamped")


@dataclass(frozen=True)
class EndSupport:
    """What one end of the vehicle stands on in one support state."""

    tires: Tires
    stands: Stands


@dataclass(frozen=True)
class LayoutSupport:
    """What holds the vehicle in one support state: how the frame is held, and what each end stands on.

    An end that does not know this support stands as in its support `others`, where one is named.
    """

    frame: FrameHold
    ends: Mapping[str, EndSupport]
    others: str = ""

    @property
    def frame_clamped(self) -> bool:
        """Whether lift pads hold the frame all round."""
        return self.frame == "clamped"

    @property
    def stands(self) -> bool:
        """Whether the front end stands on stands."""
        return self.ends["front"].stands not in ("none", "blocks")

    @property
    def tires(self) -> bool:
        """Whether the front end stands on its tires alone."""
        return self.ends["front"].tires in ("floor", "plates")


@dataclass(frozen=True)
class LayoutLine:
    """A line of the underside plan through named points, drawn `width` [mm] wide."""

    name: str
    sided: bool
    through: tuple[str, ...]
    width: float


@dataclass(frozen=True)
class LayoutPart:
    """A part that owns no joint and is judged by its condition; `at` is where the plan draws it."""

    kind: str
    sided: bool
    at: Place


@dataclass(frozen=True)
class LayoutOption:
    """What a vehicle may be built without: bodies with all that joins them, lines of the plan, single joints.

    Of the options with the same `one_of` a vehicle has one at most: another place of the same thing.
    """

    bodies: tuple[str, ...]
    lines: tuple[str, ...]
    joints: tuple[str, ...] = ()
    one_of: str = ""


@dataclass(frozen=True)
class LayoutNeeds:
    """What a layout expects of the others: bodies, points at which they join, and numbers of the vehicle."""

    bodies: tuple[str, ...]
    points: tuple[str, ...]
    numbers: tuple[str, ...]


@dataclass(frozen=True)
class Layout:
    """An arrangement of one end, of the steering, or (composed) of a whole vehicle.

    `end` is None for a composed one. `offers` are the points at which another layout may join.
    """

    id: str
    name: str
    end: End | None
    sources: tuple[str, ...]
    needs: LayoutNeeds
    offers: tuple[str, ...]
    roles: Mapping[str, str]
    bodies: tuple[LayoutBody, ...]
    joints: tuple[LayoutJoint, ...]
    guides: tuple[LayoutGuide, ...]
    torsions: tuple[LayoutTorsion, ...]
    springs: tuple[LayoutSpring, ...]
    ratios: tuple[LayoutRatio, ...]
    stops: tuple[LayoutStop, ...]
    brakes: tuple[LayoutBrake, ...]
    stands: tuple[LayoutStand, ...]
    wheels: tuple[LayoutWheel, ...]
    rim: LayoutRim | None
    rings: tuple[LayoutRing, ...]
    supports: Mapping[str, LayoutSupport]
    parts: tuple[LayoutPart, ...]
    lines: tuple[LayoutLine, ...]
    options: Mapping[str, LayoutOption]
    air_springs: tuple[LayoutAirSpring, ...] = ()

    @property
    def stand(self) -> LayoutStand | None:
        """The stand that may be set further inboard, where there is one."""
        return next((stand for stand in self.stands if stand.toward is not None), None)
