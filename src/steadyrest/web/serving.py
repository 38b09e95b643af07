"""Serve the app: on this machine alone, or to the shop's other machines too, over TLS."""

from __future__ import annotations

import ctypes
import re
import socket
import sys
from collections.abc import Callable
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import IPv4Address
from pathlib import Path
from typing import TYPE_CHECKING

from steadyrest.desk.books.safe_keeping import Rounds, Schedule
from steadyrest.desk.floor import who
from steadyrest.desk.night.check_in import CheckIns
from steadyrest.desk.place import Place, open_place
from steadyrest.trouble import BadInput
from steadyrest.units import parse_time

if TYPE_CHECKING:
    from steadyrest.web.tls import Certified

HOST = "127.0.0.1"
HOSTS = ("127.0.0.1", "localhost", "::1")
# RFC 1123: letters, digits and hyphens, 63 a label.
NAME = re.compile(r"(?=.{1,253}$)[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?(\.[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?)*")
SHORTEST_S = 60.0
M_ARENA_MAX = -8  # of the C library's malloc.h


@dataclass(frozen=True, slots=True)
class Lan:
    """Let other machines in. names: of this machine, besides its own."""

    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Reached:
    """Where the app is reached. names, addresses: of this machine in the shop's network; certified: for TLS."""

    names: tuple[str, ...] = ()
    addresses: tuple[IPv4Address, ...] = ()
    certified: Certified | None = None


def backups(folder: Path | None, every: str, keep: int) -> Schedule | None:
    """When and where to back up, as typed.

    Args:
        folder: of backups; None: not at all.
        every: such as "6 h", a minute at least.
        keep: how many stay, 1 at least.
    Returns: the schedule, or None.
    Raises: BadInput: no time, or none would stay.
    """
    if folder is None:
        return None
    every_s = parse_time(every, "--backup-every")
    if every_s < SHORTEST_S or keep < 1:
        raise BadInput(where="--backup-every", what="too often, or none kept.", do="Give 1 min at least, and keep 1.")
    return Schedule(folder, timedelta(seconds=every_s), keep)


def serve(
    *, data: Path | None, shop_file: Path | None, port: int, backups: Schedule | None = None, lan: Lan | None = None,
    log: Path | None = None,
) -> None:  # fmt: skip
    """Serve until stopped.

    Args:
        data: the data folder.
        shop_file: the shop file; else the data folder's own, else the example, which is then put there.
        port: 1 to 65535.
        backups: when and where to back up meanwhile, or None.
        lan: let other machines in; None: this one alone.
        log: write a line for each request there.
    Raises: BadInput: no folder, a port in use, the shop file is wrong, or other machines wanted and nobody has a PIN.
    """
    if data is None:
        raise BadInput(where="serve", what="no data folder was named.", do="Give one: --data my-shop.")
    if not 1 <= port <= 65535:
        raise BadInput(where="--port", what=f"{port} is no port.", do="Give one from 1 to 65535, such as 8744.")
    with ExitStack() as open_now:
        place = open_place(data, shop_file)
        open_now.callback(place.close)
        if backups is not None and backups.folder.resolve().is_relative_to(data.resolve()):
            raise BadInput(where="--backup-to", what="lies in the data folder itself.", do="Choose another disk.")
        reached = reached_by(place, lan, now=clock()) if lan is not None else Reached()
        if port_in_use(port):
            do = "Stop the other one, or give another port."
            raise BadInput(where="--port", what=f"port {port} is in use.", do=do)
        run(place, reached, port=port, backups=backups, log=log, open_now=open_now)


def few_pools() -> None:
    """Let all threads share two pools of memory: else each keeps what its largest page once took."""
    if sys.platform == "linux":
        with suppress(OSError, AttributeError):  # another C library has its own way
            ctypes.CDLL("libc.so.6").mallopt(M_ARENA_MAX, 2)


def clock() -> datetime:
    """The door's clock."""
    return datetime.now().astimezone()


def run(
    place: Place, reached: Reached, *, port: int, backups: Schedule | None, log: Path | None, open_now: ExitStack
) -> None:
    """Serve an open place. open_now: what is closed at the end."""
    import uvicorn

    few_pools()
    from steadyrest.web.app import make_app
    from steadyrest.web.request_log import RequestLog

    certified = reached.certified
    hosts = (*HOSTS, *reached.names, *(str(one) for one in reached.addresses))
    app = make_app(place, clock=clock, hosts=hosts, authority=certified.authority if certified else None)
    logged = RequestLog(app, log, clock) if log is not None else None
    if logged is not None:
        open_now.callback(logged.close)
    config = uvicorn.Config(
        logged or app, host=HOST, port=port, log_level="warning", timeout_graceful_shutdown=2, server_header=False,
        ssl_certfile=certified.certificate if certified else None, ssl_keyfile=certified.key if certified else None,
    )  # fmt: skip
    listening = [listen(HOST, port), *(listen(str(one), port) for one in reached.addresses)]
    for one in listening:
        open_now.callback(one.close)
    say_where(reached, port, said=lambda line: print(line, file=sys.stderr))
    check_ins = CheckIns(place.store, place.said.shop, clock)
    check_ins.open()
    open_now.callback(check_ins.close)
    rounds = Rounds(place.store, backups, clock, lambda said: print(said, file=sys.stderr)) if backups else None
    if rounds:
        rounds.open()
        open_now.callback(rounds.close)
    uvicorn.Server(config).run(sockets=listening)


def reached_by(place: Place, lan: Lan, *, now: datetime) -> Reached:
    """How the shop's other machines reach this one.

    Args:
        place: the data folder.
        lan: what was typed.
        now: aware moment.
    Returns: names, addresses, and the certificates for them.
    Raises: BadInput: nobody has a PIN, a name that is none, or no private address.
    """
    if not who.pins_are_set(place.store):
        what = "nobody has a PIN, and without one every machine of the network would be the owner."
        do = "Give the owner one first: steadyrest people pin NAME --role owner --data DIR."
        raise BadInput(where="serve --lan", what=what, do=do)
    names = own_names(lan.names)
    addresses = private_addresses()
    if not addresses:
        what = "this machine has no address of a private network."
        raise BadInput(where="serve --lan", what=what, do="Join the shop's network, or serve without --lan.")
    from steadyrest.web import tls

    return Reached(names, addresses, tls.certified(place.store.folder, names=names, addresses=addresses, now=now))


def own_names(typed: tuple[str, ...]) -> tuple[str, ...]:
    """The names of this machine: its own, with and without .local, and those typed. Raises: BadInput: one is none."""
    for name in typed:
        if not NAME.fullmatch(name.lower()):
            raise BadInput(where="--name", what=f"{name[:60]!r} is no name of a machine.", do="Such as workshop-pc.")
    own = socket.gethostname().split(".")[0].lower()
    found = (own, f"{own}.local") if NAME.fullmatch(own) else ()
    return tuple(sorted({*found, *(name.lower() for name in typed)}))


def private_addresses() -> tuple[IPv4Address, ...]:
    """This machine's addresses in private networks; one of the world outside is never listened on."""
    import psutil

    from steadyrest.web.tls import is_private

    found = {
        IPv4Address(one.address)
        for ones in psutil.net_if_addrs().values()
        for one in ones
        if one.family == socket.AF_INET
    }
    return tuple(sorted(one for one in found if is_private(one)))


def say_where(reached: Reached, port: int, *, said: Callable[[str], None]) -> None:
    """Say how to open the app, and what a browser will ask about its certificate."""
    if reached.certified is None:
        said("Only this machine can reach it. For the shop's other machines: give people PINs, then serve --lan.")
        said(f"Open http://{HOST}:{port} in a browser on this machine. Ctrl-C stops it.")
        return
    for where in (HOST, *reached.names, *map(str, reached.addresses)):
        said(f"Open https://{where}:{port}" + (" on this machine" if where == HOST else ""))
    one = reached.certified
    said(
        "Browsers do not know this shop's certificate yet and warn. Put it on each phone and computer once: open "
        "/sign-in there, take the certificate, and let it be trusted for web pages only if its SHA-256 fingerprint is:"
    )
    said(one.fingerprint)
    if one.new_authority:
        said("This certificate is new: every device has to take it, also those that had an older one.")
    said("It vouches for this machine's names and private addresses and nothing else. Ctrl-C stops the app.")


def listen(host: str, port: int) -> socket.socket:
    """A listening socket. Raises: BadInput: it cannot be had."""
    try:
        return socket.create_server((host, port))
    except OSError as fault:
        what = f"cannot listen on {host}, port {port} ({fault.strerror})."
        raise BadInput(where="serve", what=what, do="Stop what uses it, or give another --port.") from None


def port_in_use(port: int) -> bool:
    """Whether something answers on this port already."""
    with socket.socket() as tried:
        tried.settimeout(0.3)
        return tried.connect_ex((HOST, port)) == 0
