"""The workers of other computers that are gathered by a Dask scheduler."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager
from typing import TYPE_CHECKING

from looseends.errors import InputError, LooseEndsError

if TYPE_CHECKING:
    from distributed import Client

_WAIT_S = 10
"""How long a scheduler may take to answer."""


@contextmanager
def fleet(address: str) -> Iterator[Executor]:
    """An executor on the workers of the scheduler at an address, for as long as the block lasts.

    Raises
    ------
    InputError
        If the extra is not installed, or no scheduler with workers answers at the address.
    LooseEndsError
        If one of them has another version of the program, or a task ends worker after worker.
    """
    try:
        from distributed import Client, KilledWorker  # a second, and an extra that few install
    except ImportError as error:
        raise InputError(
            'looseends prepare --cluster: the extra "fleet" is not installed; pip install "looseends[fleet]" gets it.'
        ) from error
    # A lost connection is told in a sentence, not in a traceback besides.
    logging.getLogger("distributed.client").setLevel(logging.CRITICAL)
    try:
        client = Client(address, timeout=_WAIT_S, set_as_default=False)
    except (OSError, ValueError) as error:
        raise InputError(
            f'looseends prepare --cluster: no scheduler answers at "{address}"; accepted is the address that '
            '"dask scheduler" prints, such as tcp://bay-desk:8786.'
        ) from error
    with client:
        _check_workers(client, address)
        try:
            yield client.get_executor()
        except KilledWorker as error:
            raise LooseEndsError(
                "Several workers of the fleet ended one after the other with the same task, perhaps for want of "
                "memory; finished tables are kept, and the same command goes on with the others."
            ) from error


def _check_workers(client: Client, address: str) -> None:
    """That there are workers, and that they and the scheduler have this version: one that has none never answers."""
    from looseends.diagnosis.tables.store import code_hash

    def version() -> str:
        # Sent as it is, because there may be no package to find it in.
        try:
            from looseends.diagnosis.tables.store import code_hash
        except ImportError:
            return ""
        return code_hash()

    versions = client.run(version)
    if not versions:
        raise InputError(
            f'looseends prepare --cluster: the scheduler at "{address}" has no workers; '
            f'"dask worker {address}" on another computer starts some.'
        )
    found = {**versions, "the scheduler": client.run_on_scheduler(version)}
    for name, there in found.items():
        if there != code_hash():
            raise LooseEndsError(
                f"looseends prepare --cluster: {name} has {'another version of' if there else 'no'} Loose Ends; "
                'install the same "looseends[fleet]" on every computer of the fleet as here.'
            )
