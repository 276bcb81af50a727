"""Examples in the description of the API."""

from __future__ import annotations

from collections.abc import Mapping

from litestar.openapi.spec import Example


def example(value: Mapping[str, object]) -> Example:
    """A body as it may be sent."""
    return Example(value=dict(value))
