"""A page of a visit, as the visit's home links to it."""

from __future__ import annotations

from dataclasses import dataclass

from looseends.language import Text
from looseends.web.accounts.access import Action


@dataclass(frozen=True)
class VisitPage:
    """A page at /visits/{id}/`path`: its name and what it is for, and what one must be allowed to do to open it."""

    path: str
    name: Text
    what: Text
    action: Action = "see visits"

    def address(self, visit_id: str) -> str:
        """Where the page of one visit is."""
        return f"/visits/{visit_id}/{self.path}"
