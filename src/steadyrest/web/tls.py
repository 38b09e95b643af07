"""The certificate by which the shop's other machines know this one, made here and explained.

Two certificates. The authority's is put once on each phone and computer of the shop; it can vouch for nothing but this
machine's names and private addresses (RFC 5280, 4.2.1.10: name constraints, critical), so that whoever stole its key
could not stand between a phone and anything else. The server's is signed by it, and made anew by itself when the
machine's names or addresses change or its time runs out; nobody has to do anything then.
"""

from __future__ import annotations

import ipaddress
import os
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import IPv4Address, IPv4Network, IPv6Network
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from steadyrest.store.files import write_whole
from steadyrest.trouble import BadInput

FOLDER = "tls"
# RFC 1918, RFC 3927, RFC 6598: what no machine of the world outside reaches; and loopback.
PRIVATE = tuple(
    IPv4Network(net) for net in ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "100.64.0.0/10")
)
VOUCHED = (*PRIVATE, IPv4Network("127.0.0.0/8"), IPv6Network("::1/128"))
LASTS = timedelta(days=3650)
# Browsers take no server's certificate for longer than 398 days: from memory, without a copy at hand.
SERVER_LASTS = timedelta(days=397)
RENEW_BEFORE = timedelta(days=60)
BACKDATED = timedelta(days=1)  # a phone's clock may be behind


@dataclass(frozen=True, slots=True)
class Certified:
    """certificate, key: files for the server. authority: the file for phones. fingerprint: of the authority, SHA-256.

    new_authority: it was made just now, and has to be put on every phone.
    """

    certificate: Path
    key: Path
    authority: Path
    fingerprint: str
    new_authority: bool


def is_private(address: IPv4Address) -> bool:
    """Whether an address is one of a private network."""
    return any(address in net for net in PRIVATE)


def certified(data: Path, *, names: Sequence[str], addresses: Sequence[IPv4Address], now: datetime) -> Certified:
    """The certificates for these names and addresses: those that are there, or new ones.

    Args:
        data: the data folder.
        names: of this machine, such as "workshop-pc" and "workshop-pc.local"; lower case.
        addresses: private ones.
        now: aware moment.
    Returns: where they are.
    Raises: BadInput: what lies there is no certificate of ours, or cannot be written.
    """
    folder = data / FOLDER
    vouched = sorted({"localhost", "local", *(name for name in names if not name.endswith(".local"))})
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
        authority, authority_key = read_pair(folder / "authority.pem", folder / "authority.key")
        fits = authority is not None and vouches_for(authority, vouched) and lasts(authority, now, RENEW_BEFORE)
        if not fits or authority is None or authority_key is None:
            authority_key = ec.generate_private_key(ec.SECP256R1())
            authority = made_authority(authority_key, vouched, now)
            write_pair(folder / "authority.pem", folder / "authority.key", authority, authority_key)
        server, server_key = read_pair(folder / "server.pem", folder / "server.key")
        good = server is not None and lasts(server, now, RENEW_BEFORE) and says(server, names, addresses)
        if not good or server is None or server_key is None or not signed_by(server, authority):
            server_key = ec.generate_private_key(ec.SECP256R1())
            server = made_server(server_key, authority, authority_key, names, addresses, now)
            write_pair(folder / "server.pem", folder / "server.key", server, server_key)
    except (OSError, ValueError) as fault:
        do = "Remove that folder: it is made anew, and the phones then take the new certificate."
        raise BadInput(where=str(folder), what=f"its certificates cannot be used ({fault}).", do=do) from None
    print_of = authority.fingerprint(hashes.SHA256()).hex(":").upper()
    return Certified(folder / "server.pem", folder / "server.key", folder / "authority.pem", print_of, not fits)


def made_authority(key: EllipticCurvePrivateKey, names: Sequence[str], now: datetime) -> x509.Certificate:
    """The authority's certificate: may vouch for these names and what is below them, and for private addresses."""
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"steadyrest of this shop, {secrets.token_hex(3)}")])
    permitted = [*(x509.DNSName(one) for one in names), *(x509.IPAddress(net) for net in VOUCHED)]
    usage = x509.KeyUsage(
        digital_signature=False, content_commitment=False, key_encipherment=False, data_encipherment=False,
        key_agreement=False, key_cert_sign=True, crl_sign=True, encipher_only=False, decipher_only=False,
    )  # fmt: skip
    return (
        blank(name, name, key, now, LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.NameConstraints(permitted, None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )


def made_server(
    key: EllipticCurvePrivateKey, authority: x509.Certificate, authority_key: EllipticCurvePrivateKey,
    names: Sequence[str], addresses: Sequence[IPv4Address], now: datetime,
) -> x509.Certificate:  # fmt: skip
    """The server's certificate, signed by the authority."""
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "steadyrest")])
    lasts_for = min(SERVER_LASTS, authority.not_valid_after_utc - now)
    return (
        blank(subject, authority.subject, key, now, lasts_for)
        .add_extension(x509.SubjectAlternativeName(alternatives(names, addresses)), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(authority_key.public_key()), critical=False)
        .sign(authority_key, hashes.SHA256())
    )


def blank(
    subject: x509.Name, issuer: x509.Name, key: EllipticCurvePrivateKey, now: datetime, lasting: timedelta
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - BACKDATED)
        .not_valid_after(now - BACKDATED + lasting)
    )


def alternatives(names: Sequence[str], addresses: Sequence[IPv4Address]) -> list[x509.GeneralName]:
    """Every name and address that the server answers to, loopback included."""
    dns = sorted({"localhost", *names})
    ips = [ipaddress.ip_address("127.0.0.1"), ipaddress.ip_address("::1"), *sorted(set(addresses))]
    return [*(x509.DNSName(one) for one in dns), *(x509.IPAddress(one) for one in ips)]


def says(server: x509.Certificate, names: Sequence[str], addresses: Sequence[IPv4Address]) -> bool:
    """Whether it names exactly these."""
    there = server.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return list(there) == alternatives(names, addresses)


def vouches_for(authority: x509.Certificate, names: Sequence[str]) -> bool:
    """Whether the authority may vouch for all of these names."""
    permitted = authority.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or ()
    return set(names) <= {one.value for one in permitted if isinstance(one, x509.DNSName)}


def signed_by(server: x509.Certificate, authority: x509.Certificate) -> bool:
    try:
        server.verify_directly_issued_by(authority)
    except Exception:  # whichever way it does not fit: another one is made
        return False
    return True


def lasts(one: x509.Certificate, now: datetime, at_least: timedelta) -> bool:
    return one.not_valid_before_utc <= now and one.not_valid_after_utc - now > at_least


def read_pair(certificate: Path, key: Path) -> tuple[x509.Certificate | None, EllipticCurvePrivateKey | None]:
    """What lies there; None twice where nothing does. Raises: ValueError, OSError: it is none of ours."""
    if not certificate.exists() or not key.exists():
        return None, None
    found = x509.load_pem_x509_certificate(certificate.read_bytes())
    secret = serialization.load_pem_private_key(key.read_bytes(), password=None)
    if not isinstance(secret, EllipticCurvePrivateKey) or secret.public_key() != found.public_key():
        raise ValueError("certificate and key do not belong together")
    return found, secret


def write_pair(certificate: Path, key: Path, made: x509.Certificate, secret: EllipticCurvePrivateKey) -> None:
    """Write both, the key for this user's eyes alone (a temporary file of ours is made so, and then renamed)."""
    pem = secret.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    write_whole(key, pem)
    os.chmod(key, 0o600)
    write_whole(certificate, made.public_bytes(serialization.Encoding.PEM))
