"""Several browsers that share one connection to the application, each with cookies of its own."""

from __future__ import annotations

from typing import cast

import httpx
from litestar import Litestar

from looseends.web.accounts.access import ROLES, Role
from tests.web.cast import Client, sign_in_as


class Devices:
    """Devices by name; the first word of a name is the role of who signs in with it, "nobody" for a stranger."""

    def __init__(self, app: Litestar, client: Client) -> None:
        self._app, self._client = app, client
        self._cookies: dict[str, httpx.Cookies] = {}
        self._held = ""

    def take(self, name: str) -> Client:
        """The client, with the cookies of this device; the same object for all of them."""
        self._cookies[self._held] = httpx.Cookies(self._client.cookies)
        self._held = name
        if name in self._cookies:
            self._client.cookies = self._cookies[name]
            return self._client
        self._client.cookies.clear()
        role = name.split()[0]
        if role in ROLES:
            sign_in_as(self._app, self._client, cast(Role, role))
        else:
            self._client.get("/sign-in")
        return self._client

    def signed_in(self, name: str) -> bool:
        """Whether this device still is."""
        return self.take(name).get("/").url.path == "/"
