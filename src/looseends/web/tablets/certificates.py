"""The school's own certificate authority and the server's certificate, so that a tablet trusts the server by TLS.

Without TLS a browser gives a page from another computer no camera and no storage that works offline.
"""

from __future__ import annotations

import datetime
import ipaddress
import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from looseends.errors import InputError
from looseends.language import refusal

_AUTHORITY_DAYS = 3650
_SERVER_DAYS = 397
"""Some tablets refuse a server's certificate that holds longer than 398 days, from memory."""

_A_DAY = datetime.timedelta(days=1)


@dataclass(frozen=True)
class Certificates:
    """Files in PEM: `authority` goes onto tablets, `server` and `server_key` are the server's."""

    authority: Path
    server: Path
    server_key: Path

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the authority's certificate as tablets show it, in pairs of digits."""
        found = x509.load_pem_x509_certificate(self.authority.read_bytes()).fingerprint(hashes.SHA256())
        return found.hex(":").upper()

    @property
    def holds_until(self) -> datetime.date:
        """The last day of the server's certificate."""
        return x509.load_pem_x509_certificate(self.server.read_bytes()).not_valid_after_utc.date()


def fingerprint_of(authority: Path | None) -> str:
    """The number of an authority's certificate as tablets show it; empty where a shop made none."""
    return certificates_in(authority.parent).fingerprint if authority is not None and authority.exists() else ""


def certificates_in(folder: Path) -> Certificates:
    """The files of a folder, whether they are there or not."""
    return Certificates(folder / "authority.pem", folder / "server.pem", folder / "server-key.pem")


def make_certificates(folder: Path, names: Sequence[str], *, now: datetime.datetime | None = None) -> Certificates:
    """A server certificate for these names and addresses, by an authority that is limited to them.

    The authority's key signs once and is not kept, so that nobody can sign with it later; who renews the certificate
    brings the new authority onto the tablets again.

    Raises
    ------
    InputError
        If a name is none, or the folder cannot be written.

    Source
    ------
    RFC 5280, sections 4.2.1.6 (subject alternative name), 4.2.1.9 and 4.2.1.10 (name constraints).
    """
    general = [_general(name) for name in names]
    if not general:
        raise InputError(refusal("tablets: --name must be given at least once, found none."))
    at = now or datetime.datetime.now(datetime.UTC)
    authority_key, server_key = ec.generate_private_key(ec.SECP256R1()), ec.generate_private_key(ec.SECP256R1())
    authority = _authority(authority_key, general, at)
    server = _server(server_key.public_key(), authority, authority_key, names[0], general, at)
    made = certificates_in(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        _write(made.authority, authority.public_bytes(serialization.Encoding.PEM))
        _write(made.server, server.public_bytes(serialization.Encoding.PEM))
        _write(made.server_key, _key_bytes(server_key))
    except OSError as error:
        raise InputError(
            refusal("{folder} cannot be written: {problem}.", folder=folder, problem=error.strerror or error)
        ) from error
    return made


def _authority(
    key: ec.EllipticCurvePrivateKey, names: Sequence[x509.GeneralName], at: datetime.datetime
) -> x509.Certificate:
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"Loose Ends of this shop, {at:%Y-%m-%d}")])
    permitted = [_constraint(name) for name in names]
    return (
        _begun(subject, subject, key.public_key(), at, _AUTHORITY_DAYS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs=True), critical=True)
        .add_extension(x509.NameConstraints(permitted_subtrees=permitted, excluded_subtrees=None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )


def _server(
    public_key: ec.EllipticCurvePublicKey,
    authority: x509.Certificate,
    authority_key: ec.EllipticCurvePrivateKey,
    name: str,
    names: Sequence[x509.GeneralName],
    at: datetime.datetime,
) -> x509.Certificate:
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name[:64])])
    return (
        _begun(subject, authority.subject, public_key, at, _SERVER_DAYS)
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(authority_key.public_key()), critical=False)
        .sign(authority_key, hashes.SHA256())
    )


def _begun(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePublicKey, at: datetime.datetime, days: int
) -> x509.CertificateBuilder:
    # a day back: clocks of tablets differ
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(at - _A_DAY)
        .not_valid_after(at + days * _A_DAY)
    )


def _usage(*, signs: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs,
        key_cert_sign=signs,
        crl_sign=signs,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _general(name: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        pass
    labels = name.split(".")
    if not name.isascii() or not all(label.replace("-", "").isalnum() and len(label) < 64 for label in labels):
        raise InputError(
            refusal(
                'tablets: --name must be a name or address of this computer, such as bay-desk.local, found "{name}".',
                name=name,
            )
        )
    return x509.DNSName(name.lower())


def _constraint(name: x509.GeneralName) -> x509.GeneralName:
    return x509.IPAddress(ipaddress.ip_network(name.value)) if isinstance(name, x509.IPAddress) else name


def _key_bytes(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )


def _write(file: Path, content: bytes) -> None:
    file.unlink(missing_ok=True)
    with open(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as opened:
        opened.write(content)
