"""`looseends tablets`: what a tablet needs to trust the server."""

from __future__ import annotations

from typing import Annotated

import typer

from looseends.cli.options import AsJson
from looseends.cli.output import console, print_json

Names = Annotated[
    list[str] | None,
    typer.Option(
        "--name", metavar="NAME", help="A name or address by which tablets reach this computer; may be given again."
    ),
]


def tablets(name: Names = None, as_json: AsJson = False) -> None:
    """Make the certificates by which tablets trust the server.

    It makes the shop's own certificate authority, and a certificate of the server by it.
    A tablet that trusts the authority gives the application its camera and lets it work offline. The authority is good
    for these names alone. Then start the application with --tls. Made again, tablets must be told again.
    """
    from looseends.web.settings import certificate_folder
    from looseends.web.tablets.certificates import (
        make_certificates,  # the web's libraries: --help need not wait for them
    )

    made = make_certificates(certificate_folder(), name or [])
    if as_json:
        print_json({"authority": made.authority, "fingerprint": made.fingerprint, "until": made.holds_until})
        return
    out = console()
    out.print(f"The authority's certificate, for tablets: {made.authority}", soft_wrap=True)
    out.print(f"Its SHA-256: {made.fingerprint}", soft_wrap=True)
    out.print(f"The server's certificate holds until {made.holds_until:%d %B %Y}.")
    public = f"https://{(name or [''])[0]}:8443"
    out.print(f"Now: looseends serve --tls --address 0.0.0.0 --port 8443 --public {public}", soft_wrap=True)
