"""What a person chooses for themselves: language, units and light, at once and on every device."""

from __future__ import annotations

from typing import Any

from litestar import post
from litestar.connection import Request
from litestar.datastructures import Cookie, State
from litestar.response import Redirect

from looseends.store.kept import Store
from looseends.web.accounts.access import Person
from looseends.web.accounts.people import give_manner
from looseends.web.answering.speaking import SPEECH_COOKIES
from looseends.web.settings import Settings
from looseends.web.taken.forms import Sent, line, own_path

_A_YEAR = 365 * 86400


@post("/me", status_code=303, sync_to_thread=True)
def choose(request: Request[Any, Any, Any], state: State, data: Sent) -> Redirect:
    """Keep what was chosen, with the account where there is one, and go back to the same page."""
    chosen = {name: line(data, name) for name in SPEECH_COOKIES if line(data, name) in SPEECH_COOKIES[name]}
    person = request.scope.get("user")
    if isinstance(person, Person):
        _keep(state.store, person.account_id, chosen.get("language"), chosen.get("units"))
    settings: Settings = state.settings
    cookies = [
        Cookie(
            f"looseends-{name}",
            value=value,
            max_age=_A_YEAR,
            path="/",
            samesite="lax",
            httponly=True,
            secure=settings.secure,
        )
        for name, value in chosen.items()
    ]
    return Redirect(own_path(str(data.get("back", "/"))), status_code=303, cookies=cookies)


def _keep(store: Store, account_id: str, language: str | None, units: str | None) -> None:
    with store.writing() as session:
        give_manner(session, account_id, language, units)


HANDLERS = [choose]
