"""Who asks: the account that a request's session or bearer token names."""

from __future__ import annotations

from anyio.to_thread import run_sync
from litestar.connection import ASGIConnection
from litestar.exceptions import NotAuthorizedException
from litestar.middleware.authentication import AbstractAuthenticationMiddleware, AuthenticationResult

from looseends.language import say
from looseends.store.kept import Store
from looseends.store.models import Account
from looseends.web.access import Person
from looseends.web.people import person_of
from looseends.web.sessions import ACCOUNT_KEY, bearer_token
from looseends.web.tokens import account_with_token


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
        return AuthenticationResult(await run_sync(_person, store, account_id), "session")


def _person(store: Store, account_id: str) -> Person | None:
    with store.reading() as session:
        account = session.get(Account, account_id)
        return None if account is None else person_of(account)


def _person_with_token(store: Store, token: str) -> Person | None:
    with store.reading() as session:
        account = account_with_token(session, token)
        return None if account is None else person_of(account)
