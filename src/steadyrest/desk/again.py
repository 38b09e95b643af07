"""What the app does in a thread of its own while it is served: at once, and then every so often."""

from __future__ import annotations

import threading
from abc import ABC, abstractmethod


class Again(ABC):
    """Calls `once` at once and then again, until closed. name: the thread's. every_s: between two calls, seconds."""

    def __init__(self, name: str, every_s: float) -> None:
        self.every_s = every_s
        self.closing = threading.Event()
        self.thread = threading.Thread(target=self.work, name=f"steadyrest-{name}", daemon=True)

    def open(self) -> None:
        """Begin."""
        self.thread.start()

    def close(self) -> None:
        """Stop. A call that runs may finish; what is due then is done after the next start."""
        self.closing.set()
        self.thread.join(timeout=10)

    def work(self) -> None:
        while not self.closing.is_set():
            self.once()
            self.closing.wait(self.every_s)

    @abstractmethod
    def once(self) -> None:
        """One call. It keeps its own faults: none may end the thread."""
