"""A server in a process of its own on loopback: the app over a data folder, or one bare page.

    with served("app", folder) as (port, peak): ...

It ends when its standard input closes, so nothing stays behind if the measurement breaks off.
"""

from __future__ import annotations

import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from _shared import peak_mb

HOST = "127.0.0.1"


@contextmanager
def served(what: str, of: Path) -> Iterator[tuple[int, list[float]]]:
    """Its port while it runs; its peak memory, MB, in the list once it has ended. what: "app" or "bare"."""
    peak: list[float] = []
    command = [sys.executable, __file__, what, str(of)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stdin is not None
        try:
            yield int(process.stdout.readline()), peak
        finally:
            process.stdin.close()
            peak.append(float(process.stdout.readline() or 0))


def the_app(data: Path) -> object:
    from steadyrest.desk.place import open_place
    from steadyrest.web.app import make_app

    return make_app(open_place(data, None), clock=lambda: datetime.now().astimezone(), hosts=(HOST,))


def bare(page: Path) -> object:
    """Every address answers with this file's bytes."""
    from starlette.applications import Starlette
    from starlette.responses import HTMLResponse
    from starlette.routing import Route

    body = page.read_bytes()

    async def answer(_request: object) -> HTMLResponse:
        return HTMLResponse(body)

    return Starlette(routes=[Route("/{anything:path}", answer)])


def serve(what: str, of: Path) -> None:
    """Say the port, serve until standard input closes, say the peak memory."""
    import uvicorn

    app = {"app": the_app, "bare": bare}[what](of)
    server = uvicorn.Server(uvicorn.Config(app, host=HOST, port=0, log_level="warning"))  # type: ignore[arg-type]
    thread = threading.Thread(target=server.run)
    thread.start()
    while not server.started and thread.is_alive():
        time.sleep(0.01)
    print(server.servers[0].sockets[0].getsockname()[1], flush=True)
    sys.stdin.read()
    server.should_exit = True
    thread.join()
    print(peak_mb(), flush=True)


if __name__ == "__main__":
    serve(sys.argv[1], Path(sys.argv[2]))
