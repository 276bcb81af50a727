"""The application started: its first link printed, then served until it is stopped."""

from __future__ import annotations

import io
import ipaddress
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import segno
import uvicorn
from litestar import Litestar
from litestar.concurrency import set_asyncio_executor

from looseends.errors import InputError
from looseends.language import refusal
from looseends.store.kept import Store
from looseends.web.accounts.one_time import OneTimeLinks
from looseends.web.accounts.people import account_named, nobody_yet
from looseends.web.application import create_app
from looseends.web.demo import DEMO_PERSON, fill_demo
from looseends.web.demo.starting import start_demo
from looseends.web.long_lived import spare_long_lived
from looseends.web.own.keeping import use_folder
from looseends.web.pages.sign_in import FIRST_START
from looseends.web.settings import LOOPBACK, Settings
from looseends.web.tablets.certificates import Certificates

_THREADS = 80
"""More than the tablets of a full bay; nearly all of them wait."""


def serve(
    settings: Settings, address: str, port: int, tell: Callable[[str], None], certificates: Certificates | None = None
) -> None:
    """Serve until stopped.

    `tell` is given lines for whoever started it: the link that signs in, or that makes the owner at the first start,
    and how a tablet gets on.

    Raises
    ------
    InputError
        If the demo, which needs no password, is to be reached from the network, or the store cannot be used.
    """
    if settings.demo and not is_loopback(address):
        raise InputError(
            refusal(
                '--address: the demo signs in without a password, so it must be 127.0.0.1, found "{found}"; '
                "leave --demo out to serve a shop, which has accounts.",
                found=address,
            )
        )
    if certificates is not None and not certificates.server.exists():
        raise InputError(
            refusal(
                '--tls: there is no certificate yet; make it with "looseends tablets --name NAME", where NAME '
                "is what tablets call this computer."
            )
        )
    use_folder(settings.vehicles)
    app = create_app(settings)
    tell(f"Open {first_link(app)}")
    if settings.demo:
        start_demo(app)
    if not is_loopback(address):
        tell(f"On a tablet: {settings.public_address}/tablet\n{code_of(settings.public_address + '/tablet')}")
    tell("Stop with Ctrl+C.")
    with_enough_threads()
    spare_long_lived()
    uvicorn.run(
        app,
        host=address,
        port=port,
        log_level="warning",
        access_log=False,
        server_header=False,
        ssl_certfile=None if certificates is None else str(certificates.server),
        ssl_keyfile=None if certificates is None else str(certificates.server_key),
    )


def with_enough_threads() -> None:
    """So many requests at once that judgements, which wait for each other, hold up neither records nor pages."""
    set_asyncio_executor(ThreadPoolExecutor(_THREADS, thread_name_prefix="answers"))


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


def code_of(address: str) -> str:
    """A QR code of an address, drawn in characters of half a line."""
    drawn = io.StringIO()
    segno.make(address, micro=False).terminal(drawn, compact=True)
    return drawn.getvalue()


def is_loopback(address: str) -> bool:
    """Whether only this computer reaches the address."""
    try:
        return address in LOOPBACK or ipaddress.ip_address(address).is_loopback
    except ValueError:
        return False
