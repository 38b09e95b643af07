"""What was last made of a folder's rows, kept at hand until a row is added."""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Generic, TypeVar

from steadyrest.store import seals
from steadyrest.store.opening import Session, Store

T = TypeVar("T")


@dataclass(slots=True)
class AtHand(Generic[T]):
    """Of one folder: that which is served. Every row that stays is sealed: the last seal says whether one was added."""

    kept: dict[Path, tuple[int, Hashable, tuple[T, ...]]] = field(default_factory=dict)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def of(self, store: Store, fresh: Callable[[Session], tuple[T, ...]], *, besides: Hashable = None) -> tuple[T, ...]:
        """What is at hand, made fresh where rows were added since; once where several ask at one moment.

        Args:
            store: an open data folder.
            fresh: makes it from a transaction.
            besides: what else it hangs on, such as the day.
        Returns: what it made.
        """
        with self.lock, store.reading() as session:
            last = seals.last(session)
            known = self.kept.get(store.folder)
            if known is None or known[:2] != (last, besides):
                known = (last, besides, fresh(session))
                self.kept = {store.folder: known}
            return known[2]
