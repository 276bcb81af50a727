"""Examples in the description of the API."""

from __future__ import annotations

from collections.abc import Mapping

from litestar.openapi.spec import Example


def example(value: Mapping[str, object], summary: str = "") -> Example:
    """A body as it may be sent, with what it is an example of."""
    return Example(summary=summary or None, value=dict(value))
