"""Answers for addresses that no route has: who asks is found by the middleware that otherwise only routes pass."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, cast

from litestar.connection import Request
from litestar.exceptions import HTTPException
from litestar.response import Response
from litestar.response.base import ASGIResponse
from litestar.types import ASGIApp, Receive, Scope, Send

from looseends.errors import LooseEndsError


class ForWhoAsks(Response[Any]):
    """An answer that is made once the person who asks, their session and their form token are known."""

    def __init__(self, made: Callable[[], Response[Any]]) -> None:
        super().__init__(content="")
        self._made = made

    def to_asgi_response(self, app: Any, request: Request[Any, Any, Any], **more: Any) -> ASGIResponse:
        """The answer behind the application's middleware."""

        async def answered(scope: Scope, receive: Receive, send: Send) -> None:
            await self._made().to_asgi_response(app, request, **more)(scope, receive, send)

        # sessions are written as the route in the scope says: here as that of the first page
        request.scope["route_handler"] = request.app.asgi_router.handle_routing(path="/", method="GET")[1]
        behind: ASGIApp = answered
        for layer in reversed(request.app.middleware):
            behind = cast(Callable[..., ASGIApp], layer)(app=behind)
        return _Behind(behind, answered)


class _Behind(ASGIResponse):
    def __init__(self, whole: ASGIApp, bare: ASGIApp) -> None:
        super().__init__()
        self._whole, self._bare = whole, bare

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        try:
            await self._whole(scope, receive, send)
        except (HTTPException, LooseEndsError):  # an unknown key, a store that is gone: nobody is known
            await self._bare(scope, receive, send)


def is_unrouted(request: Request[Any, Any, Any]) -> bool:
    """Whether no route takes the request: nobody has looked yet who asks."""
    return "route_handler" not in request.scope
