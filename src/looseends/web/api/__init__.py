"""The HTTP API: what screens do, for other programs; described at /schema/openapi.json."""

from __future__ import annotations

from collections.abc import Sequence

from litestar.types import ControllerRouterHandler

from looseends.web.api import (
    clips,
    comparison,
    conclusions,
    consequences,
    facts,
    intake,
    judgement,
    keeping,
    me,
    motion,
    observations,
    people,
    photos,
    sheet,
    tablet,
    vehicles,
    vin,
    visits,
)
from looseends.web.api.refusals import described

_MODULES = (
    clips,
    comparison,
    conclusions,
    consequences,
    facts,
    intake,
    judgement,
    keeping,
    me,
    motion,
    observations,
    people,
    photos,
    sheet,
    tablet,
    vehicles,
    vin,
    visits,
)

API_HANDLERS: Sequence[ControllerRouterHandler] = described(
    handler for module in _MODULES for handler in module.HANDLERS
)
