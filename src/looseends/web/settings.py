"""What a running application is told: where its records are, where it listens, and whether it is the demo."""

from __future__ import annotations

import os
import secrets
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_data_path

from looseends.errors import InputError
from looseends.language import refusal

LOOPBACK = ("127.0.0.1", "::1", "localhost")
"""Addresses that only this computer reaches."""

_SECRET_FILE = "web-secret"


@dataclass(frozen=True)
class Settings:
    """One application's settings.

    `store` names the database as `store.location` reads it, None for the usual place. `data` is the folder of sessions
    and secrets. `public_address` is what people type, such as https://bay-desk:8443; it decides whether cookies demand
    TLS. `demo`: signs in by a one-time link, on this computer only. `authority` is the certificate that tablets are to
    trust, where the shop made its own. `policy` is the file of the shop's own policy, None for the one that ships.
    """

    data: Path
    store: str | None = None
    public_address: str = "http://127.0.0.1:8750"
    demo: bool = False
    authority: Path | None = None
    policy: Path | None = None

    @property
    def secure(self) -> bool:
        """Whether people reach the application by TLS."""
        return self.public_address.startswith("https://")

    @property
    def vehicles(self) -> Path:
        """The folder of the shop's own vehicles where LOOSEENDS_VEHICLES names no other."""
        return self.data / "vehicles"

    def secret(self) -> str:
        """The secret that signs form tokens, made at the first start and kept for the user alone.

        Raises
        ------
        InputError
            If the data folder cannot be written.
        """
        file = self.data / _SECRET_FILE
        try:
            self.data.mkdir(parents=True, exist_ok=True, mode=0o700)
            if not file.exists():
                with open(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="ascii") as opened:
                    opened.write(secrets.token_hex(32))
            return file.read_text(encoding="ascii")
        except OSError as error:
            raise InputError(
                refusal(
                    "{folder} cannot be used as data folder: {problem}.",
                    folder=self.data,
                    problem=error.strerror or error,
                )
            ) from error


def usual_data_folder() -> Path:
    """The folder of sessions and secrets where nobody names another."""
    return user_data_path("looseends") / "web"


def certificate_folder() -> Path:
    """The folder of the shop's certificates."""
    return usual_data_folder() / "certificates"
