"""What every answer tells the browser: no script but ours, no frame, no guessing of types, nothing told to others."""

from __future__ import annotations

from litestar.datastructures import ResponseHeader

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
_OVER_TLS = {"Strict-Transport-Security": "max-age=31536000"}


def security_headers(*, secure: bool) -> list[ResponseHeader]:
    """The headers of every answer; `secure`: reached by TLS."""
    headers = _HEADERS | (_OVER_TLS if secure else {})
    return [ResponseHeader(name=name, value=value) for name, value in headers.items()]
