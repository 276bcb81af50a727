"""Who asks: the account that a request's session or bearer token names."""

from __future__ import annotations

import hmac

from anyio.to_thread import run_sync
from litestar.connection import ASGIConnection
from litestar.exceptions import NotAuthorizedException
from litestar.middleware.authentication import AbstractAuthenticationMiddleware, AuthenticationResult

from looseends.language import say
from looseends.store.kept import Store
from looseends.store.models import Account
from looseends.web.accounts.access import Person
from looseends.web.accounts.people import is_open, person_of, session_mark
from looseends.web.accounts.sessions import ACCOUNT_KEY, MARK_KEY, bearer_token
from looseends.web.accounts.tokens import account_with_token


class WhoAsks(AbstractAuthenticationMiddleware):
    """Puts a `Person`, or None, where handlers and guards find it; what may be done is the access table's business."""

    async def authenticate_request(self, connection: ASGIConnection) -> AuthenticationResult:  # type: ignore[type-arg]
        """The person by the bearer token alone if there is one, else by the session.

        Raises
        ------
        NotAuthorizedException
            If there is a token that no account has.
        """
        store: Store = connection.app.state.store
        token = bearer_token(connection.scope)
        if token is not None:
            person = await run_sync(_person_with_token, store, token)
            if person is None:
                raise NotAuthorizedException(say("The key is unknown or was taken back; make a new one on your page."))
            return AuthenticationResult(person, "token")
        account_id = connection.session.get(ACCOUNT_KEY) if connection.session else None
        if not isinstance(account_id, str):
            return AuthenticationResult(None, None)
        mark = str(connection.session.get(MARK_KEY, ""))
        return AuthenticationResult(await run_sync(_person, store, account_id, mark), "session")


def _person(store: Store, account_id: str, mark: str) -> Person | None:
    with store.reading() as session:
        account = session.get(Account, account_id)
        known = account is not None and is_open(account) and hmac.compare_digest(session_mark(account), mark)
        return person_of(account) if account is not None and known else None


def _person_with_token(store: Store, token: str) -> Person | None:
    with store.reading() as session:
        account = account_with_token(session, token)
        return None if account is None or not is_open(account) else person_of(account)
