"""Several searches for a nest side by side: threads are enough, since the compiled loops let go of the interpreter."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor

# Not by the number of cores: the same file and seed are to give the same nest on every machine.
SIDE_BY_SIDE = 2


def at_once(jobs: Sequence[Callable[[], None]]) -> None:
    """Do jobs at the same time, and wait for all.

    Args:
        jobs: each is called once, in a thread of its own.
    Raises: whatever the first of them raised.
    """
    with ThreadPoolExecutor(max(1, len(jobs))) as pool:
        for done in [pool.submit(job) for job in jobs]:
            done.result()
