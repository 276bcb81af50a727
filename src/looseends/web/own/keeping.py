"""Own vehicles kept: the text in the store, and the file in the folder that every computation reads."""

from __future__ import annotations

import datetime
import os
from contextlib import ExitStack
from pathlib import Path

from litestar.exceptions import NotFoundException
from sqlalchemy import select

from looseends.errors import InputError
from looseends.language import AsWritten, refusal, say
from looseends.store.keep import keep_vehicle, vehicle_text
from looseends.store.kept import Store
from looseends.store.models import Vehicle as VehicleRow
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.own_files import FOLDER_VARIABLE
from looseends.vehicle.preload import carrying_preload
from looseends.vehicle.reading import parse_vehicle
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.tape import Answers, taped_vehicle
from looseends.vehicle.tape import vehicle_text as text_by_tape
from looseends.vehicle.vehicle import Vehicle


def use_folder(usual: Path) -> Path:
    """The folder of own vehicles, made if need be: that of LOOSEENDS_VEHICLES, else the usual one, named there.

    Raises
    ------
    InputError
        If it cannot be made.
    """
    folder = Path(os.environ.setdefault(FOLDER_VARIABLE, str(usual)))
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(
            refusal(
                "{folder} cannot be used as folder of own vehicles: {fault}.",
                folder=folder,
                fault=error.strerror or error,
            )
        ) from error
    return folder


def bring_back(store: Store) -> None:
    """Files of own vehicles that the store has and the folder has not, as after a restore or on another computer."""
    folder = _folder()
    if folder is None:
        return
    with store.reading() as session:
        own = list(session.scalars(select(VehicleRow.id).where(VehicleRow.origin == "own")))
        texts = {name: vehicle_text(session, name) for name in own if name not in load_vehicles()}
    for name, text in texts.items():
        if text is not None:
            (folder / f"{name}.toml").write_text(text, encoding="utf-8")


def keep_own(store: Store, answers: Answers) -> str:
    """The id of the vehicle that was described, kept for good.

    Raises
    ------
    InputError
        If there is a vehicle of its name with other figures, or no folder for it.
    MechanicsError
        If it cannot stand at its height.
    """
    name, folder = answers.texts["name"], _folder()
    text = text_by_tape(taped_vehicle(answers))
    if folder is None:
        said = refusal("own vehicle: there is no folder for it; {variable} names one.", variable=FOLDER_VARIABLE)
        raise InputError(said)
    with store.reading() as session:
        if vehicle_text(session, name) == text:
            return name  # sent a second time
    if name in load_vehicles():
        raise InputError(say("Name: a vehicle {name} is known already; choose another name.", name=AsWritten(name)))
    vehicle = parse_vehicle(text, f"{name}.toml")
    carrying_preload(vehicle, nominal_specimen(vehicle))
    with ExitStack() as undo:
        with store.writing() as session:
            keep_vehicle(session, name, toml=text, at=datetime.datetime.now(datetime.UTC))
            _write(folder / f"{name}.toml", text, undo)
        undo.pop_all()
    return name


def _write(file: Path, text: str, undo: ExitStack) -> None:
    """A new file, which is taken away again where the store then keeps nothing."""
    try:
        with file.open("x", encoding="utf-8") as written:
            undo.callback(file.unlink)
            written.write(text)
    except OSError as error:
        raise InputError(
            refusal("{file} cannot be written: {fault}.", file=file.name, fault=error.strerror or error)
        ) from error


def _folder() -> Path | None:
    named = os.environ.get(FOLDER_VARIABLE)
    return Path(named) if named else None


def own_vehicle_known(vehicle_id: str) -> Vehicle:
    """The vehicle, if it is known by tape.

    Raises
    ------
    NotFoundException
        If there is none.
    """
    known = load_vehicles()
    if vehicle_id not in known or known[vehicle_id].spread is None:
        raise NotFoundException
    return known[vehicle_id]
