"""`looseends prepare`: the response tables of a vehicle, computed ahead."""

from __future__ import annotations

from contextlib import nullcontext
from typing import Annotated

import typer

from looseends.cli.fleet import fleet
from looseends.cli.known_vehicle import known_vehicle
from looseends.cli.options import AsJson, VehicleId
from looseends.cli.output import console, print_json
from looseends.cli.progress import progress_shown

Cluster = Annotated[
    str | None,
    typer.Option(
        "--cluster",
        metavar="ADDRESS",
        help="Compute on the workers of the Dask scheduler at this address, such as tcp://bay-desk:8786; needs the "
        'extra "fleet". See docs/fleet.md.',
    ),
]


def prepare(vehicle: VehicleId, cluster: Cluster = None, as_json: AsJson = False) -> None:
    """Compute a vehicle's tables ahead.

    Judging a visit then does not wait for them, which is minutes the first time. They are kept in the user's cache
    directory, or where LOOSEENDS_CACHE says. May be stopped and begun again.
    """
    from looseends.diagnosis import default_store, prepare_tables  # numpy and scipy: --help need not wait for them

    known, store = known_vehicle(vehicle, "prepare"), default_store()
    with nullcontext() if cluster is None else fleet(cluster) as executor, progress_shown() as report:
        prepare_tables(known, store=store, progress=report, executor=executor)
    if as_json:
        print_json({"vehicle": known.id, "directory": store.directory})
    else:
        console().print(f"The tables of {known.id} are in {store.directory}.", soft_wrap=True)
