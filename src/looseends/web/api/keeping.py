"""What is done with the records over HTTP: a customer or a photo erased on request, everything exported."""

from __future__ import annotations

from typing import Any

from litestar import delete, get
from litestar.datastructures import State
from litestar.exceptions import NotFoundException
from litestar.params import FromPath
from litestar.response import Response

from looseends.store.kept import Store
from looseends.store.personal import erase_customer, erase_photo
from looseends.web.accounts.access import may
from looseends.web.answering.archive import archive_file
from looseends.web.api.photos import known_photo
from looseends.web.of_visit.visits import known_visit

_ZIP = "application/zip"


@delete("/visits/{visit_id:str}/customer", guards=[may("erase a person")], sync_to_thread=True, tags=["keeping"])
def erase_person(state: State, visit_id: FromPath[str]) -> None:
    """Erase the customer of a visit: name, telephone, words, plates and numbers; the record of the vehicle stays."""
    store: Store = state.store
    with store.reading() as session:
        _, stay = known_visit(session, visit_id)
    if stay.customer_id is None:
        raise NotFoundException
    erase_customer(store, stay.customer_id)


@delete(
    "/visits/{visit_id:str}/photos/{photo_id:str}",
    guards=[may("erase a person")],
    sync_to_thread=True,
    tags=["keeping"],
)
def erase_one_photo(state: State, visit_id: FromPath[str], photo_id: FromPath[str]) -> None:
    """Erase a photo or a clip; its id stays known, so that a device that sends it again does not bring it back."""
    store: Store = state.store
    with store.reading() as session:
        known_photo(session, visit_id, photo_id)
    erase_photo(store, photo_id)


@get("/export", guards=[may("export everything")], sync_to_thread=True, tags=["keeping"], media_type=_ZIP)
def export(state: State) -> Response[Any]:
    """All records, photos and clips as one archive, which docs/store.md describes."""
    return archive_file(state.store)


HANDLERS = [erase_person, erase_one_photo, export]
