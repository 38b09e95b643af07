"""The app as a process of its own that may be killed: `python -m tests.browser.month_server DATA PORT CLOCK`.

CLOCK is a file with the moment that the app takes for now, so that a month goes by in minutes.
"""

from __future__ import annotations

import sys
from datetime import datetime
from pathlib import Path

import uvicorn

from steadyrest.desk.place import open_place
from steadyrest.web.app import make_app


def main() -> None:
    data, port, clock = Path(sys.argv[1]), int(sys.argv[2]), Path(sys.argv[3])
    place = open_place(data, None)

    def now() -> datetime:
        return datetime.fromisoformat(clock.read_text())

    app = make_app(place, clock=now, hosts=("127.0.0.1",))
    uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=port, log_level="error")).run()


if __name__ == "__main__":
    main()
