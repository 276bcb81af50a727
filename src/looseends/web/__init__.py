"""The web room: the application for the bay and the office, over what the other rooms conclude."""

from looseends.web.application import create_app
from looseends.web.settings import Settings

__all__ = ["Settings", "create_app"]
