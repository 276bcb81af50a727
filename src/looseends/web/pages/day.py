"""What waits: the first page, one list of the shop's visits, with search."""

from __future__ import annotations

from typing import Any

from litestar import get
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import FromQuery
from litestar.response import Template

from looseends.store.kept import Store
from looseends.web.access import Person, may
from looseends.web.rendering import page
from looseends.web.waiting import waiting

_MOST_SEARCH = 80


@get("/", guards=[may("see visits")], sync_to_thread=True)
def day(request: Request[Person, Any, Any], state: State, q: FromQuery[str] = "") -> Template:
    """The list, or only its lines where the page's own search asks."""
    store: Store = state.store
    search = " ".join(q[:_MOST_SEARCH].split())
    with store.reading() as session:
        found = waiting(session, search)
    template = "day_lines.html.j2" if request.headers.get("hx-request") else "day.html.j2"
    return page(request, template, "day", waiting=found, search=search)


HANDLERS = [day]
