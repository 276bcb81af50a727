"""The shop's own certificates: a real handshake with who trusts them, and nobody else's names."""

from __future__ import annotations

import datetime
import socket
import ssl
import stat
import threading
from pathlib import Path

import pytest
from litestar.testing import TestClient

from looseends.errors import InputError
from looseends.web import Settings, create_app
from looseends.web.serving import serve
from looseends.web.tablets.certificates import Certificates, certificates_in, make_certificates
from tests.web.cast import ADDRESS, words_of


def handshake(made: Certificates, trusted: Path, called: str) -> str:
    """What a client says after it called a server, with `made`, by this name: the version of TLS."""
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(made.server, made.server_key)
    client = ssl.create_default_context(cafile=str(trusted))
    near, far = socket.socketpair()

    def answer() -> None:
        try:
            with server.wrap_socket(far, server_side=True) as secured:
                secured.recv(1)
        except (ssl.SSLError, OSError):
            far.close()

    thread = threading.Thread(target=answer)
    thread.start()
    try:
        with near, client.wrap_socket(near, server_hostname=called) as secured:
            return str(secured.version())
    finally:
        thread.join()


@pytest.fixture
def made(tmp_path: Path) -> Certificates:
    """Certificates for a name and an address."""
    return make_certificates(tmp_path / "certificates", ["bay-desk.local", "192.168.7.20"])


@pytest.mark.parametrize("called", ["bay-desk.local", "192.168.7.20"])
def test_who_trusts_the_authority_trusts_the_server_by_each_of_its_names(made: Certificates, called: str) -> None:
    assert handshake(made, made.authority, called) == "TLSv1.3"


@pytest.mark.parametrize("called", ["bank.example", "192.168.7.21", "local"])
def test_by_another_name_the_server_is_not_trusted(made: Certificates, called: str) -> None:
    with pytest.raises(ssl.SSLCertVerificationError):
        handshake(made, made.authority, called)


def test_who_trusts_another_shop_does_not_trust_this_one(made: Certificates, tmp_path: Path) -> None:
    other = make_certificates(tmp_path / "other", ["bay-desk.local"])
    with pytest.raises(ssl.SSLCertVerificationError):
        handshake(made, other.authority, "bay-desk.local")


def test_the_key_is_the_owners_alone_and_that_of_the_authority_is_nowhere(made: Certificates) -> None:
    folder = made.authority.parent
    assert stat.S_IMODE(made.server_key.stat().st_mode) == 0o600
    assert sorted(file.name for file in folder.iterdir()) == ["authority.pem", "server-key.pem", "server.pem"]
    assert "PRIVATE KEY" not in made.authority.read_text() + made.server.read_text()


def test_it_holds_for_no_longer_than_tablets_take(tmp_path: Path) -> None:
    now = datetime.datetime(2026, 11, 26, tzinfo=datetime.UTC)
    until = make_certificates(tmp_path, ["bay-desk"], now=now).holds_until
    assert datetime.timedelta(days=300) < until - now.date() < datetime.timedelta(days=398)


@pytest.mark.parametrize("name", ["", "bay desk", "https://bay-desk", "*", "a..b", "bäy"])
def test_what_is_no_name_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match="--name must be"):
        make_certificates(tmp_path, [name])


def test_without_a_certificate_tls_says_how_to_make_one(tmp_path: Path) -> None:
    settings = Settings(tmp_path, str(tmp_path / "records.sqlite"), "https://bay-desk.local:8443")
    with pytest.raises(InputError, match="looseends tablets --name NAME"):
        serve(settings, "127.0.0.1", 8443, print, certificates_in(tmp_path))


def test_a_tablet_is_told_the_steps_and_given_the_certificate(
    made: Certificates, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LOOSEENDS_CACHE", str(tmp_path / "tables"))
    settings = Settings(tmp_path / "web", str(tmp_path / "records.sqlite"), ADDRESS, authority=made.authority)
    with TestClient(create_app(settings), base_url=ADDRESS) as client:
        page = client.get("/tablet").text
        given = client.get("/tablet/authority.crt")
    assert made.fingerprint in page and "Trust the server of this shop" in words_of(page)
    assert "<svg" in page.split("code-frame")[1]
    assert given.headers["content-type"] == "application/x-x509-ca-cert"
    assert given.content == made.authority.read_bytes()
