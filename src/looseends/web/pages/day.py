"""What waits: the first page, one list of the shop's visits, with search."""

from __future__ import annotations

from typing import Any

from litestar import get
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import FromQuery
from litestar.response import Template

from looseends.store.kept import Store
from looseends.vehicle.loading import load_vehicles
from looseends.web.accounts.access import Person, may
from looseends.web.answering.rendering import page
from looseends.web.judged.preparing import Preparing
from looseends.web.of_visit.waiting import waiting

_MOST_SEARCH = 80


@get("/", guards=[may("see visits")], sync_to_thread=True)
def day(request: Request[Person, Any, Any], state: State, q: FromQuery[str] = "") -> Template:
    """The list, or only its lines where the page's own search asks."""
    store: Store = state.store
    search = " ".join(q[:_MOST_SEARCH].split())
    with store.reading() as session:
        found = waiting(session, search)
    template = "day_lines.html.j2" if request.headers.get("hx-request") else "day.html.j2"
    return page(request, template, "day", waiting=found, search=search, **computing(state))


@get("/tables", guards=[may("see visits")], sync_to_thread=True)
def tables(request: Request[Person, Any, Any], state: State) -> Template:
    """How far the tables are that are being computed; nothing where none are."""
    return page(request, "day_tables.html.j2", **computing(state))


def computing(state: State) -> dict[str, Any]:
    """The vehicle whose tables are being computed, and how far they are; None where none are."""
    preparing: Preparing = state.preparing
    found, known = preparing.now(), load_vehicles()
    if found is None or found.vehicle_id not in known:
        return {"computing": None}
    return {"computing": found, "computed_for": known[found.vehicle_id].name}


HANDLERS = [day, tables]
