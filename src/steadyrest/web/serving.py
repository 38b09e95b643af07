"""Serve the app on this machine."""

from __future__ import annotations

import sys
from datetime import datetime
from pathlib import Path

from steadyrest.desk.place import open_place
from steadyrest.trouble import BadInput

HOST = "127.0.0.1"
HOSTS = ("127.0.0.1", "localhost", "::1")


def serve(*, data: Path | None, shop_file: Path | None, port: int) -> None:
    """Serve until stopped.

    Loopback only: reaching it from other machines waits until people and PINs are set up.

    Args:
        data: the data folder.
        shop_file: the shop file; else the data folder's own, else the example, which is then put there.
        port: 1 to 65535.
    Raises: BadInput: no folder, a port in use, or the shop file is wrong.
    """
    import uvicorn

    from steadyrest.web.app import make_app

    if data is None:
        raise BadInput(where="serve", what="no data folder was named.", do="Give one: --data my-shop.")
    if not 1 <= port <= 65535:
        raise BadInput(where="--port", what=f"{port} is no port.", do="Give one from 1 to 65535, such as 8744.")
    place = open_place(data, shop_file)
    app = make_app(place, clock=lambda: datetime.now().astimezone(), hosts=HOSTS)
    config = uvicorn.Config(app, host=HOST, port=port, log_level="warning", timeout_graceful_shutdown=2)
    server = uvicorn.Server(config)
    taken = port_in_use(port)
    if taken:
        place.close()
        raise BadInput(where="--port", what=f"port {port} is in use.", do="Stop the other one, or give another port.")
    print("Only this machine can reach it; other machines can once people and PINs are set up.", file=sys.stderr)
    print(f"Open http://{HOST}:{port} in a browser on this machine. Ctrl-C stops it.", file=sys.stderr)
    try:
        server.run()
    finally:
        place.close()


def port_in_use(port: int) -> bool:
    """Whether something answers on this port already."""
    import socket

    with socket.socket() as tried:
        tried.settimeout(0.3)
        return tried.connect_ex((HOST, port)) == 0
