"""What every address of the HTTP API may answer instead of what was asked for, told in its description."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import msgspec
from litestar.handlers import HTTPRouteHandler
from litestar.openapi.datastructures import ResponseSpec


class Refusal(msgspec.Struct, kw_only=True):
    """Why something is not done: the status once more, and a sentence in the reader's language."""

    status: int
    detail: str


_BECAUSE: Mapping[int, str] = {
    400: "Something given cannot be read or is not accepted.",
    401: "Nobody is signed in, or the key is unknown or was taken back.",
    403: "The account's role does not do this.",
    404: "There is nothing at this address.",
    413: "What was sent is too large.",
    422: "The mechanism cannot be solved as it is set up.",
    429: "Too many tries in a minute.",
    503: "The records cannot be read or written now; nothing of what was sent was stored.",
}


def described(handlers: Iterable[HTTPRouteHandler]) -> list[HTTPRouteHandler]:
    """The same handlers, whose description names these answers beside their own."""
    refusals = {status: ResponseSpec(Refusal, description=words) for status, words in _BECAUSE.items()}
    found = list(handlers)
    for handler in found:
        handler.responses = {**refusals, **(handler.responses or {})}
    return found
