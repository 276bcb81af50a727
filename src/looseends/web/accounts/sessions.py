"""Sessions on the server's side, form tokens, and the limit on tries to sign in."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from typing import Any

from anyio.to_thread import run_sync
from litestar.config.csrf import CSRFConfig
from litestar.connection import ASGIConnection, Request
from litestar.enums import ScopeType
from litestar.middleware.base import DefineMiddleware
from litestar.middleware.csrf import CSRFMiddleware
from litestar.middleware.rate_limit import RateLimitConfig
from litestar.middleware.session.server_side import ServerSideSessionBackend, ServerSideSessionConfig
from litestar.types import Receive, Scope, Send

from looseends.store.kept import Store
from looseends.store.models import Account
from looseends.web.accounts.people import session_mark

ACCOUNT_KEY = "account"
"""Where a session names its account."""

MARK_KEY = "mark"
"""Where it keeps the account's `session_mark`."""

CSRF_COOKIE = "looseends-form"
CSRF_HEADER = "x-csrftoken"
MOST_TRIES_A_MINUTE = 8
_DAYS_SIGNED_IN = 14
_RENEWED = "looseends_renewed_session"


class RenewableSessions(ServerSideSessionBackend):
    """Sessions whose id changes at sign-in, so that an id that somebody planted before is worth nothing."""

    def get_session_id(self, connection: ASGIConnection[Any, Any, Any, Any]) -> str:
        """The id given at sign-in in this very request, else that of the cookie."""
        renewed = connection.scope.get(_RENEWED)
        return renewed if isinstance(renewed, str) else super().get_session_id(connection)


@dataclass
class SessionConfig(ServerSideSessionConfig):
    """How sessions are kept."""

    _backend_class = RenewableSessions


def session_config(*, secure: bool) -> SessionConfig:
    """Sessions of two weeks in a cookie that scripts cannot read; `secure`: sent by TLS only."""
    return SessionConfig(key="looseends-session", max_age=_DAYS_SIGNED_IN * 86400, secure=secure, samesite="lax")


async def begin_session(request: Request[Any, Any, Any], account_id: str) -> None:
    """Sign an account in, under a session id that nobody has seen."""
    old = request.cookies.get("looseends-session")
    if old:
        await request.app.stores.get("sessions").delete(old)
    request.scope[_RENEWED] = secrets.token_hex(32)  # type: ignore[literal-required]
    mark = await run_sync(_mark, request.app.state.store, account_id)
    request.set_session({ACCOUNT_KEY: account_id, MARK_KEY: mark})


def _mark(store: Store, account_id: str) -> str:
    with store.reading() as session:
        return session_mark(session.get_one(Account, account_id))


class FormTokens(CSRFMiddleware):
    """Form tokens for whoever comes with a cookie; a bearer token is sent by no browser of its own accord."""

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on, checked unless the request shows a bearer token, which then is all that counts of it."""
        if scope["type"] == ScopeType.HTTP and bearer_token(scope) is not None:
            await self.app(scope, receive, send)
        else:
            await super().__call__(scope, receive, send)


def bearer_token(scope: Scope) -> str | None:
    """The bearer token of a request, None where it has no such header."""
    for name, value in scope["headers"]:
        if name.lower() == b"authorization" and value[:7].lower() == b"bearer ":
            return bytes(value[7:]).decode("latin-1").strip()
    return None


def form_tokens(secret: str, *, secure: bool) -> DefineMiddleware:
    """The middleware that refuses a change without the page's own token."""
    config = CSRFConfig(secret=secret, cookie_name=CSRF_COOKIE, header_name=CSRF_HEADER, cookie_secure=secure)
    return DefineMiddleware(FormTokens, config=config)


def sign_in_limit() -> DefineMiddleware:
    """So many tries to sign in a minute from one address."""
    return RateLimitConfig(rate_limit=("minute", MOST_TRIES_A_MINUTE)).middleware
