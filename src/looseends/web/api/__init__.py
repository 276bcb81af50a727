"""The HTTP API: what screens do, for other programs; described at /schema/openapi.json."""

from __future__ import annotations

from collections.abc import Sequence

from litestar.types import ControllerRouterHandler

from looseends.web.api import judgement, me, motion, observations, people, photos, visits
from looseends.web.api.refusals import described

API_HANDLERS: Sequence[ControllerRouterHandler] = described(
    handler for module in (judgement, me, motion, observations, people, photos, visits) for handler in module.HANDLERS
)
