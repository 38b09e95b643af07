"""What stands behind the bench: the other pages, the queue, what is at hand. It opens once, beside the first pages.

The bench needs little and is there at once; the rest reads half the house in, and whoever asks for it meanwhile waits.
"""

from __future__ import annotations

import contextlib
import logging
import threading
from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING

from steadyrest.desk.place import Place
from steadyrest.desk.plan import in_short

if TYPE_CHECKING:
    from steadyrest.web.rooms import Rooms

log = logging.getLogger("steadyrest.web")


class Behind:
    """The rooms of one data folder, opened when somebody first asks for them.

    place: the data folder and the shop. clock: the door's clock.
    """

    def __init__(self, place: Place, clock: Callable[[], datetime]) -> None:
        self.place = place
        self.clock = clock
        self.lock = threading.Lock()
        self.closing = False
        self.opened: Rooms | None = None
        self.thread = threading.Thread(target=self.open, name="steadyrest-behind", daemon=True)

    def rooms(self) -> Rooms:
        """The rooms; whoever asks while they are being opened waits."""
        with self.lock:
            if self.opened is None:
                from steadyrest.web import rooms

                self.opened = rooms.opened(self.place, self.clock)
            return self.opened

    def open(self) -> None:
        """Open them, take up what the queue was left with, and have at hand what the first pages would wait for."""
        try:
            rooms = self.rooms()
        except Exception:  # said to everybody who asks for a page, too
            log.exception("the pages behind the bench cannot be opened")
            return
        with self.lock:
            if self.closing:
                return
            rooms.queue.open()
        with contextlib.suppress(Exception):  # what is wrong, the page says that shows it
            rooms.week.week(self.place.said, self.place.store, now=self.clock())
            rooms.likenesses.warm(self.place.store)
            while not self.closing and in_short.catch_up(self.place.store):
                pass

    def close(self) -> None:
        """Close the queue, if it was opened."""
        with self.lock:
            self.closing = True
            rooms = self.opened
        if rooms is not None:
            rooms.queue.close()
