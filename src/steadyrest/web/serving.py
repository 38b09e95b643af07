"""Serve the app on this machine."""

from __future__ import annotations

import sys
from datetime import datetime, timedelta
from pathlib import Path

from steadyrest.desk.place import open_place
from steadyrest.desk.safe_keeping import Rounds, Schedule
from steadyrest.trouble import BadInput
from steadyrest.units import parse_time

HOST = "127.0.0.1"
HOSTS = ("127.0.0.1", "localhost", "::1")


SHORTEST_S = 60.0


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


def serve(*, data: Path | None, shop_file: Path | None, port: int, backups: Schedule | None = None) -> None:
    """Serve until stopped.

    Loopback only: reaching it from other machines waits until people and PINs are set up.

    Args:
        data: the data folder.
        shop_file: the shop file; else the data folder's own, else the example, which is then put there.
        port: 1 to 65535.
        backups: when and where to back up meanwhile, or None.
    Raises: BadInput: no folder, a port in use, or the shop file is wrong.
    """
    import uvicorn

    from steadyrest.web.app import make_app

    if data is None:
        raise BadInput(where="serve", what="no data folder was named.", do="Give one: --data my-shop.")
    if not 1 <= port <= 65535:
        raise BadInput(where="--port", what=f"{port} is no port.", do="Give one from 1 to 65535, such as 8744.")
    place = open_place(data, shop_file)
    if backups is not None and backups.folder.resolve().is_relative_to(data.resolve()):
        place.close()
        raise BadInput(where="--backup-to", what="lies in the data folder itself.", do="Choose another disk.")

    def clock() -> datetime:
        return datetime.now().astimezone()

    app = make_app(place, clock=clock, hosts=HOSTS)
    config = uvicorn.Config(app, host=HOST, port=port, log_level="warning", timeout_graceful_shutdown=2)
    server = uvicorn.Server(config)
    taken = port_in_use(port)
    if taken:
        place.close()
        raise BadInput(where="--port", what=f"port {port} is in use.", do="Stop the other one, or give another port.")
    print("Only this machine can reach it; other machines can once people and PINs are set up.", file=sys.stderr)
    print(f"Open http://{HOST}:{port} in a browser on this machine. Ctrl-C stops it.", file=sys.stderr)
    rounds = Rounds(place.store, backups, clock, lambda said: print(said, file=sys.stderr)) if backups else None
    if rounds:
        rounds.open()
    try:
        server.run()
    finally:
        if rounds:
            rounds.close()
        place.close()


def port_in_use(port: int) -> bool:
    """Whether something answers on this port already."""
    import socket

    with socket.socket() as tried:
        tried.settimeout(0.3)
        return tried.connect_ex((HOST, port)) == 0
