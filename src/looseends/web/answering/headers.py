"""What every answer tells the browser: no script but ours, no frame, no guessing of types, nothing told to others."""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable

from litestar.datastructures import MutableScopeHeaders
from litestar.types import Message, Scope

CONTENT_POLICY = "; ".join(
    (
        "default-src 'self'",
        "script-src 'self' 'wasm-unsafe-eval'",
        "style-src 'self' 'unsafe-inline'",  # SVG drawings carry style attributes; no script can be reached by it
        "img-src 'self' data: blob:",
        "media-src 'self' blob:",
        "object-src 'none'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    )
)

_HEADERS = {
    "Content-Security-Policy": CONTENT_POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), microphone=(), geolocation=(), payment=(), usb=()",
}
_KEPT_BY_BROWSERS = "public, max-age=31536000, immutable"
"""For a file of ours under an address that changes with its content."""

_MARKED = re.compile(r"/static/[0-9a-f]{12}/")
_FONTS_KEPT = "public, max-age=2592000"
"""A font stays what it is, but its address tells no content."""

_OVER_TLS = {"Strict-Transport-Security": "max-age=31536000"}


def security_headers(*, secure: bool) -> Callable[[Message, Scope], Awaitable[None]]:
    """What puts the headers on every answer, refusals and files too; `secure`: reached by TLS."""
    headers = _HEADERS | (_OVER_TLS if secure else {})

    async def add(message: Message, scope: Scope) -> None:
        if message["type"] == "http.response.start":
            found = MutableScopeHeaders.from_message(message)
            for name, value in headers.items():
                found.setdefault(name, value)  # a document of ours that is shown in a frame of ours brings its own
            if message["status"] < 400 and (kept := _kept(scope["path"])):
                found["Cache-Control"] = kept

    return add


def _kept(path: str) -> str:
    """How long a browser keeps a file of ours without asking again; empty where it asks."""
    if _MARKED.match(path):
        return _KEPT_BY_BROWSERS
    return _FONTS_KEPT if path.startswith("/fonts/") else ""
