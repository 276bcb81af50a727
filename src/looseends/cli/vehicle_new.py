"""`looseends vehicle new`: a vehicle of one's own, by tape measure."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from looseends.cli.options import AsJson
from looseends.cli.output import console, print_json
from looseends.cli.tape_entries import remarks_on_vin
from looseends.errors import InputError
from looseends.language import Units
from looseends.language.typed_units import in_units

if TYPE_CHECKING:
    from looseends.vehicle.tape import Answers

_WHERE = "looseends vehicle new"


def vehicle_new(
    answers: Annotated[
        Path | None,
        typer.Option(
            "--answers", metavar="FILE", help="A TOML file with the answers, instead of questions on the terminal."
        ),
    ] = None,
    output: Annotated[
        Path | None,
        typer.Option(
            "-o",
            "--output",
            metavar="FILE",
            help="Where to write the vehicle; without it NAME.toml in the folder of LOOSEENDS_VEHICLES, or here.",
        ),
    ] = None,
    units: Annotated[
        Units, typer.Option(metavar="metric|us", help="What a number without a unit is in: mm and kg, or in and lb.")
    ] = "metric",
    replace: Annotated[bool, typer.Option("--replace", help="Overwrite a vehicle file that is there already.")] = False,
    as_json: AsJson = False,
) -> None:
    """Describe a vehicle of your own by tape measure.

    Asks for what a tape, an inclinometer, a scale and the door sticker give, twelve entries at least, and scales a
    vehicle of the same layout to them. Writes a vehicle file that says how far each joint center may be off; that
    spread enters every answer. docs/tape-vehicle.md shows a shop how. Measure on level ground, the vehicle on its own
    wheels; never under one that a jack holds.
    """
    from looseends.vehicle.tape import read_answers  # numpy: --help need not wait for it

    if answers is None:
        from looseends.cli.vehicle_questions import asked  # the same

        checked = asked(units)
    else:
        checked = read_answers(remarks_on_vin(_given(answers, units)), answers.name)
    path = _written(checked, output, replace=replace)
    if as_json:
        from looseends.cli.vehicle_check import checked_record

        print_json({"file": path, **checked_record(path)})
        return
    console().print(f"Wrote {path}.", soft_wrap=True)
    from looseends.cli.vehicle_check import print_checked

    print_checked(path)


def _given(path: Path, units: Units) -> dict[str, object]:
    from looseends.vehicle.own_files import text_of
    from looseends.vehicle.tape import load_questions

    try:
        given = tomllib.loads(text_of(path))
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"{path.name}: must be valid TOML, found a fault: {error}.") from error
    questions = load_questions()
    return {
        name: in_units(value, questions[name].kind, units) if name in questions else value
        for name, value in given.items()
    }


def _written(answers: Answers, output: Path | None, *, replace: bool) -> Path:
    import os

    from looseends.vehicle.loading import shipped_vehicles
    from looseends.vehicle.own_files import FOLDER_VARIABLE
    from looseends.vehicle.reading import parse_vehicle
    from looseends.vehicle.tape import taped_vehicle, vehicle_text

    name = answers.texts["name"]
    if name in shipped_vehicles():
        raise InputError(f'{answers.where}: name must be another than that of a vehicle that ships, found "{name}".')
    path = output or Path(os.environ.get(FOLDER_VARIABLE, ".")) / f"{name}.toml"
    text = vehicle_text(taped_vehicle(answers))
    parse_vehicle(text, path.name)
    if path.exists() and not replace:
        raise InputError(f"{_WHERE}: {path} is there already; --replace overwrites it, -o names another file.")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        raise InputError(f"{_WHERE}: {path} cannot be written: {error.strerror}.") from error
    return path
