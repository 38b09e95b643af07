"""The certificate for the shop's other machines, judged from outside: by the TLS library that Python brings."""

from __future__ import annotations

import contextlib
import ssl
import stat
from datetime import UTC, datetime, timedelta
from ipaddress import IPv4Address
from pathlib import Path

import pytest
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import ec

from steadyrest.desk.floor import who
from steadyrest.desk.place import open_place
from steadyrest.trouble import BadInput
from steadyrest.web import serving, tls

NOW = datetime.now(UTC)  # the library that judges looks at the clock itself
NAMES = ("workshop-pc", "workshop-pc.local")
ADDRESSES = (IPv4Address("192.168.1.20"), IPv4Address("10.0.0.4"))


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, tls.Certified]:
    folder = tmp_path_factory.mktemp("tls")
    return folder, tls.certified(folder, names=NAMES, addresses=ADDRESSES, now=NOW)


def shaken(one: tls.Certified, name: str, *, certificate: Path | None = None, key: Path | None = None) -> str:
    """A client that knows the authority alone asks for a server by a name: the protocol agreed on."""
    ours = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    ours.load_cert_chain(certificate or one.certificate, key or one.key)
    theirs = ssl.create_default_context(cafile=str(one.authority))
    to_us, to_them = ssl.MemoryBIO(), ssl.MemoryBIO()
    server = ours.wrap_bio(to_us, to_them, server_side=True)
    client = theirs.wrap_bio(to_them, to_us, server_hostname=name)
    for _ in range(4):
        with contextlib.suppress(ssl.SSLWantReadError):
            client.do_handshake()
        with contextlib.suppress(ssl.SSLWantReadError):
            server.do_handshake()
    return client.version() or ""


@pytest.mark.parametrize("name", ["localhost", "127.0.0.1", *NAMES, "192.168.1.20", "10.0.0.4"])
def test_a_device_that_took_the_certificate_trusts_this_machine_by_each_of_its_names(made, name: str) -> None:
    assert shaken(made[1], name) in ("TLSv1.2", "TLSv1.3")


@pytest.mark.parametrize("name", ["elsewhere.local", "192.168.1.21", "bank.example"])
def test_and_by_no_other(made, name: str) -> None:
    with pytest.raises(ssl.SSLCertVerificationError, match=r"mismatch|not valid for"):
        shaken(made[1], name)


@pytest.mark.parametrize(("names", "addresses"), [(("bank.example",), ()), ((), (IPv4Address("198.51.100.7"),))])
def test_whoever_stole_its_key_could_vouch_for_nothing_outside_the_shop(made, tmp_path, names, addresses) -> None:
    authority, authority_key = tls.read_pair(made[1].authority, made[1].authority.with_suffix(".key"))
    assert authority is not None
    assert authority_key is not None
    key = ec.generate_private_key(ec.SECP256R1())
    forged = tls.made_server(key, authority, authority_key, names, addresses, NOW)
    tls.write_pair(tmp_path / "f.pem", tmp_path / "f.key", forged, key)
    with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree violation"):
        shaken(made[1], str([*names, *addresses][0]), certificate=tmp_path / "f.pem", key=tmp_path / "f.key")


def test_keys_are_for_their_owner_alone(made) -> None:
    for file in (made[1].key, made[1].authority.with_suffix(".key")):
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE((made[0] / "tls").stat().st_mode) == 0o700


def test_the_authority_stays_while_names_and_addresses_change_and_the_servers_follows(tmp_path) -> None:
    first = tls.certified(tmp_path, names=NAMES, addresses=ADDRESSES[:1], now=NOW)
    server = first.certificate.read_bytes()
    again = tls.certified(tmp_path, names=NAMES, addresses=ADDRESSES[:1], now=NOW)
    assert (again.fingerprint, again.certificate.read_bytes()) == (first.fingerprint, server)
    moved = tls.certified(tmp_path, names=NAMES, addresses=ADDRESSES[1:], now=NOW)
    assert (moved.fingerprint, moved.new_authority) == (first.fingerprint, False)
    assert moved.certificate.read_bytes() != server
    assert shaken(moved, "10.0.0.4")
    late = tls.certified(tmp_path, names=NAMES, addresses=ADDRESSES[1:], now=NOW + timedelta(days=350))
    assert (late.fingerprint, late.new_authority) == (first.fingerprint, False)
    named = tls.certified(tmp_path, names=("shop.example", *NAMES), addresses=ADDRESSES, now=NOW)
    assert named.new_authority  # it may vouch for no name that it was not made for
    assert named.fingerprint != first.fingerprint


def test_what_is_no_certificate_of_ours_is_said_with_the_way_out(tmp_path) -> None:
    one = tls.certified(tmp_path, names=NAMES, addresses=ADDRESSES, now=NOW)
    other = ec.generate_private_key(ec.SECP256R1()).private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    for damage in (b"no key", other):
        one.key.write_bytes(damage)
        with pytest.raises(BadInput, match="Remove that folder"):
            tls.certified(tmp_path, names=NAMES, addresses=ADDRESSES, now=NOW)


def test_other_machines_are_let_in_only_once_somebody_has_a_pin(tmp_path, monkeypatch) -> None:
    place = open_place(tmp_path, None)
    with pytest.raises(BadInput) as said:
        serving.reached_by(place, serving.Lan(), now=NOW)
    assert "nobody has a PIN" in said.value.line()
    assert "\n" not in said.value.line()
    who.give_pin(place.store, place.said.shop, person="ambra", pin="4711", role="owner", by="owner", now=NOW)
    monkeypatch.setattr(serving, "private_addresses", lambda: ADDRESSES)
    reached = serving.reached_by(place, serving.Lan(("Bench-PC",)), now=NOW)
    assert "bench-pc" in reached.names
    lines: list[str] = []
    serving.say_where(reached, 8744, said=lines.append)
    assert reached.certified is not None
    assert reached.certified.fingerprint in lines
    with pytest.raises(BadInput, match="no name of a machine"):
        serving.reached_by(place, serving.Lan(("bad name/",)), now=NOW)
    monkeypatch.setattr(serving, "private_addresses", tuple)
    with pytest.raises(BadInput, match="no address of a private network"):
        serving.reached_by(place, serving.Lan(), now=NOW)
    place.close()


def test_an_address_of_the_world_outside_is_not_one_to_listen_on() -> None:
    inside = ("10.1.2.3", "172.16.0.1", "172.31.255.254", "192.168.0.7", "169.254.3.4", "100.64.0.1")
    outside = ("8.8.8.8", "172.32.0.1", "192.0.2.1", "127.0.0.1", "100.128.0.1", "0.0.0.0")
    assert all(tls.is_private(IPv4Address(one)) for one in inside)
    assert not any(tls.is_private(IPv4Address(one)) for one in outside)
