"""The option `--vehicle-file`, which every command takes: one more vehicle, out of a file of the user's own."""

from __future__ import annotations

import functools
import inspect
import os
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any, get_type_hints

import typer

VehicleFile = Annotated[
    Path | None,
    typer.Option(
        "--vehicle-file",
        metavar="FILE",
        help="A vehicle file of your own; its vehicle is then known by its id. All files in the folder that "
        "LOOSEENDS_VEHICLES names are known without it.",
    ),
]
_PARAMETER = "vehicle_file"


def with_vehicle_file(command: Callable[..., None]) -> Callable[..., None]:
    """The command with the option `--vehicle-file` besides its own.

    The file is named to the whole process by an environment variable, so that the processes that compute tables know
    it too.
    """

    @functools.wraps(command)
    def with_file(*arguments: Any, vehicle_file: Path | None = None, **options: Any) -> None:
        from looseends.vehicle.own_files import FILE_VARIABLE  # numpy behind it: --help need not wait for it

        before = os.environ.get(FILE_VARIABLE)
        if vehicle_file is not None:
            os.environ[FILE_VARIABLE] = str(vehicle_file.absolute())
        try:
            command(*arguments, **options)
        finally:
            os.environ.pop(FILE_VARIABLE, None)
            if before is not None:
                os.environ[FILE_VARIABLE] = before

    hints = get_type_hints(command, include_extras=True)
    own = [p.replace(annotation=hints[name]) for name, p in inspect.signature(command).parameters.items()]
    added = inspect.Parameter(_PARAMETER, inspect.Parameter.KEYWORD_ONLY, default=None, annotation=VehicleFile)
    with_file.__signature__ = inspect.Signature([*own, added])  # type: ignore[attr-defined]
    with_file.__annotations__ = {**hints, _PARAMETER: VehicleFile}
    return with_file
