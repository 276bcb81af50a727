"""Draws the sheet of all vehicles, docs/vehicles.md with its plans: `python -m tests.report.draw_pictures`."""

from __future__ import annotations

from pathlib import Path

from looseends.report import plan_svg
from looseends.report.vehicle_plan import plan_geometry
from looseends.vehicle.layout import load_layouts
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.vehicle import Vehicle

DOCS = Path(__file__).resolve().parents[2] / "docs"
PAGE = DOCS / "vehicles.md"
PLANS = DOCS / "pictures" / "plans"

HEAD = """# The vehicles

Invented vehicles of an invented training bay, for every way to steer and to hang a wheel that Loose Ends knows, with
their undersides as it draws them: seen from below, front at the top, so the vehicle's left is on the right. Dotted
circles are parts of which nothing is proven. Their points are proportions from memory of such vehicles; each file in
`src/looseends/vehicle/data/vehicles` says what is assumed. `looseends parts VEHICLE` lists the parts,
[adding-a-vehicle.md](adding-a-vehicle.md) tells how another is added.
"""


def page() -> str:
    """The sheet as Markdown."""
    return "\n".join([HEAD, *(_entry(vehicle) for vehicle in load_vehicles().values())])


def plan(vehicle: Vehicle) -> str:
    """A vehicle's plan as SVG, nothing proven."""
    return plan_svg(plan_geometry(vehicle), {}, labels=False)


def _entry(vehicle: Vehicle) -> str:
    names = [load_layouts()[layout].name for layout in vehicle.layout.id.split(" + ")]
    ends = "\n".join(f"- {end}: {name}" for end, name in zip(("front", "steering", "rear"), names, strict=True))
    picture = f"![Underside of the {vehicle.name}](pictures/plans/{vehicle.id}.svg)"
    return f"## {vehicle.name} (`{vehicle.id}`)\n\n{vehicle.description}\n\n{ends}\n\n{picture}\n"


def main() -> None:
    """Write the page and the plans."""
    PLANS.mkdir(parents=True, exist_ok=True)
    PAGE.write_text(page(), encoding="utf-8")
    for vehicle in load_vehicles().values():
        (PLANS / f"{vehicle.id}.svg").write_text(plan(vehicle), encoding="utf-8")


if __name__ == "__main__":
    main()
