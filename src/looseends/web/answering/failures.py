"""What is answered when something cannot be done: one sentence, on a page for people, in JSON for programs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import quote

from litestar.connection import Request
from litestar.exceptions import HTTPException, NotAuthorizedException, ValidationException
from litestar.response import Redirect, Response
from litestar.types import ExceptionHandlersMap

from looseends.errors import InputError, LooseEndsError
from looseends.language import Text, say
from looseends.store.failures import StoreError
from looseends.web.answering.rendering import page
from looseends.web.answering.speaking import manner_of, sentence_of
from looseends.web.answering.unrouted import ForWhoAsks, is_unrouted

_STATUS_SENTENCES: Mapping[int, Text] = {
    401: say("Sign in first."),
    403: say("Your role does not do this, or the page was open for long: go back, load it again, and try once more."),
    404: say("There is nothing at this address."),
    405: say("This address takes no such request."),
    413: say("This is too large to be taken."),
    429: say("Too many tries: wait a minute."),
}
_UNKNOWN = say("The request cannot be read.")


def of_http(request: Request[Any, Any, Any], error: HTTPException) -> Response[Any]:
    """Answers of the framework and of guards; who is not signed in is led to the sign-in."""
    if isinstance(error, NotAuthorizedException) and not _for_program(request):
        if request.headers.get("hx-request"):
            return Response(content="", status_code=401, headers={"HX-Redirect": "/sign-in"})
        there = f"?then={quote(request.url.path)}" if request.method == "GET" and request.url.path != "/" else ""
        return Redirect(f"/sign-in{there}")
    sentence = _sentence_for(error)
    if is_unrouted(request):
        return ForWhoAsks(lambda: _told(request, error.status_code, sentence, error.headers))
    return _told(request, error.status_code, sentence, error.headers)


def of_input(request: Request[Any, Any, Any], error: LooseEndsError) -> Response[Any]:
    """Something given is wrong (400), the store cannot be used now (503), or the mechanism cannot be solved (422)."""
    status = 400 if isinstance(error, InputError) else 503 if isinstance(error, StoreError) else 422
    return _told(request, status, sentence_of(error, manner_of(request).speech))


def of_nesting(request: Request[Any, Any, Any], _error: RecursionError) -> Response[Any]:
    """A body nested deeper than anything that is meant (400)."""
    return _told(request, 400, _UNKNOWN)


EXCEPTION_HANDLERS: ExceptionHandlersMap = {
    HTTPException: of_http,
    LooseEndsError: of_input,
    RecursionError: of_nesting,
}


def _sentence_for(error: HTTPException) -> Text | str:
    if error.status_code in _STATUS_SENTENCES and error.status_code != 401:
        return _STATUS_SENTENCES[error.status_code]
    if error.status_code == 401:
        return error.detail or _STATUS_SENTENCES[401]
    if isinstance(error, ValidationException) and isinstance(error.extra, list) and error.extra:
        return "; ".join(_fault(entry) for entry in error.extra)
    return error.detail if error.status_code < 500 and error.detail else _UNKNOWN


def _fault(entry: Mapping[str, Any]) -> str:
    """One field that cannot be read, and why."""
    return f"{entry.get('key', 'body')}: {entry.get('message', 'cannot be read')}."


def _told(
    request: Request[Any, Any, Any], status: int, sentence: Text | str, headers: Mapping[str, str] | None = None
) -> Response[Any]:
    speech = manner_of(request).speech
    said = speech.words(sentence)
    if _for_program(request):
        content = {"status": status, "detail": said}
        return Response(content=content, status_code=status, media_type="application/json", headers=dict(headers or {}))
    answer = page(request, "failure.html.j2", status=status, headers=headers, sentence=said)
    return answer


def _for_program(request: Request[Any, Any, Any]) -> bool:
    return request.url.path.startswith(("/api/", "/schema")) or "application/json" in request.headers.get("accept", "")
