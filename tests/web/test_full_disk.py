"""A disk that is full while a shop works: told in a sentence, nothing half stored, and all goes on afterwards."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from litestar import Litestar
from sqlalchemy import event

from looseends.store.ids import time_ordered_id
from tests.web.cast import Client, form_token, send, taken_in, words_of
from tests.web.test_api import BODY, SEEN, put

SENTENCE = "is full or cannot be written: nothing of this was stored, what was stored before is whole"


@contextmanager
def full_disk(app: Litestar) -> Iterator[None]:
    """No page more for the database, as SQLite itself counts them: it answers as on a full disk."""
    engine = app.state.store.engine

    def bound(connection: Any, _record: Any, _proxy: Any) -> None:
        pages = connection.execute("PRAGMA page_count").fetchone()[0]
        connection.execute(f"PRAGMA max_page_count = {pages}")

    engine.dispose()
    event.listen(engine, "checkout", bound)
    yield
    event.remove(engine, "checkout", bound)
    engine.dispose()


def large(note: str) -> dict[str, object]:
    """A record that needs more room than there is."""
    return BODY | {"payload": SEEN | {"note": note * 50_000}}


def test_a_full_disk_is_told_on_the_page_and_to_programs_and_what_was_stored_stays(
    app: Litestar, technician: Client
) -> None:
    visit = taken_in(technician, plate="SLIP 41")
    address, again = f"/api/visits/{visit}/observations/{{}}", time_ordered_id()
    assert put(technician, address.format(time_ordered_id()), BODY)[0] == 200
    with full_disk(app):
        status, said = put(technician, address.format(again), large("x"))
        assert (status, SENTENCE in said["detail"]) == (503, True)
        complaint = " ".join(["wanders"] * 700)
        fields = dict(visit_id=time_ordered_id(), vehicle="yard-pickup", plate="SLIP 42", complaint=complaint)
        for _ in range(8):  # until its pages have no room left for one more
            fields["visit_id"] = time_ordered_id()
            status, page = send(technician, "/intake", **fields)
            if status != 200:
                break
        assert (status, SENTENCE in words_of(page)) == (503, True)
        assert "free some space and do it again" in words_of(page)
        assert "<html" in page and form_token(technician)
        assert "SLIP 41" in technician.get("/").text
        assert len(technician.get(f"/api/visits/{visit}/observations").json()) == 1
    assert put(technician, address.format(again), large("x"))[0] == 200
