"""The application started: its first link printed, then served until it is stopped."""

from __future__ import annotations

import ipaddress
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import uvicorn
from litestar import Litestar

from looseends.errors import InputError
from looseends.store.kept import Store
from looseends.web.application import create_app
from looseends.web.demo import DEMO_PERSON, fill_demo
from looseends.web.one_time import OneTimeLinks
from looseends.web.pages.sign_in import FIRST_START
from looseends.web.people import account_named, nobody_yet
from looseends.web.settings import LOOPBACK, Settings


@dataclass(frozen=True)
class Certificate:
    """Files of a server certificate and its key, in PEM."""

    certificate: Path
    key: Path


def serve(
    settings: Settings, address: str, port: int, tell: Callable[[str], None], certificate: Certificate | None = None
) -> None:
    """Serve until stopped. `tell` is given the link that signs in, or that makes the owner at the first start.

    Raises
    ------
    InputError
        If the demo, which needs no password, is to be reached from the network, or the store cannot be used.
    """
    if settings.demo and not is_loopback(address):
        raise InputError(
            f'--address: the demo signs in without a password, so it must be 127.0.0.1, found "{address}"; leave '
            "--demo out to serve a shop, which has accounts."
        )
    app = create_app(settings)
    tell(first_link(app))
    uvicorn.run(
        app,
        host=address,
        port=port,
        log_level="warning",
        access_log=False,
        server_header=False,
        ssl_certfile=None if certificate is None else str(certificate.certificate),
        ssl_keyfile=None if certificate is None else str(certificate.key),
    )


def first_link(app: Litestar) -> str:
    """The address to open: with a word that signs in once in the demo, or that makes the owner where nobody is yet."""
    settings: Settings = app.state.settings
    store: Store = app.state.store
    links: OneTimeLinks = app.state.links
    if settings.demo:
        with store.writing() as session:
            fill_demo(session)
            account = account_named(session, DEMO_PERSON)
            assert account is not None
            return f"{settings.public_address}/once/{links.word_for(account.id)}"
    with store.reading() as session:
        first = nobody_yet(session)
    return f"{settings.public_address}/first-start/{links.word_for(FIRST_START)}" if first else settings.public_address


def is_loopback(address: str) -> bool:
    """Whether only this computer reaches the address."""
    try:
        return address in LOOPBACK or ipaddress.ip_address(address).is_loopback
    except ValueError:
        return False
