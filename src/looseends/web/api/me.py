"""Who asks."""

from __future__ import annotations

from typing import Any

from litestar import get
from litestar.connection import Request

from looseends.web.access import ACCESS, Person, signed_in
from looseends.web.api.structs import Me


@get("/me", guards=[signed_in], sync_to_thread=False, tags=["people"])
def me(request: Request[Person, Any, Any]) -> Me:
    """The account that asks, and what it may do."""
    person = request.user
    return Me(
        id=person.account_id,
        name=person.name,
        role=person.role,
        language=person.language,
        units=person.units,
        may=sorted(ACCESS[person.role]),
    )


HANDLERS = [me]
