"""`looseends serve`: the application for the bay and the office."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from looseends.cli.options import PolicyFile

Address = Annotated[
    str,
    typer.Option(
        "--address", metavar="ADDRESS", help="Where it listens; 127.0.0.1 is reached from this computer only."
    ),
]
Port = Annotated[int, typer.Option("--port", min=1, max=65535, help="The port.")]
Database = Annotated[
    str | None,
    typer.Option(
        "--database",
        metavar="STORE",
        help="A file, or postgresql://USER@HOST/DATABASE; else LOOSEENDS_STORE, else a file in the user's data folder.",
    ),
]
Demo = Annotated[
    bool, typer.Option("--demo", help="Open the demo bay: invented vehicles, people and visits, on this computer only.")
]
Public = Annotated[
    str | None,
    typer.Option("--public", metavar="URL", help="What people type to reach it, where a proxy stands before it."),
]

Tls = Annotated[bool, typer.Option("--tls", help='Serve by TLS with what "looseends tablets" made.')]


def serve(
    address: Address = "127.0.0.1",
    port: Port = 8750,
    database: Database = None,
    public: Public = None,
    demo: Demo = False,
    tls: Tls = False,
    policy: PolicyFile = None,
) -> None:
    """Serve the application for the bay.

    Prints the address to open. With --demo that address signs in once; in a new shop it makes the owner. Stop it with
    Ctrl+C; what was recorded is kept.
    """
    from looseends.web.serving import serve as serve_application  # the web's libraries: --help need not wait for them
    from looseends.web.settings import Settings, certificate_folder, usual_data_folder
    from looseends.web.tablets.certificates import certificates_in

    shown = "127.0.0.1" if address in ("0.0.0.0", "::") else address
    data = usual_data_folder()
    made = certificates_in(certificate_folder()) if tls else None
    settings = Settings(
        data=data / "demo" if demo else data,
        store=str(data / "demo" / "records.sqlite") if demo and database is None else database,
        public_address=(public or f"{'https' if tls else 'http'}://{shown}:{port}").rstrip("/"),
        demo=demo,
        authority=None if made is None else made.authority,
        policy=policy,
    )
    serve_application(settings, address, port, _told, made)


def _told(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()
