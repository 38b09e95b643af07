"""What every measurement shares: the clock, the memory, the line it prints.

`ratio` is the peer's time over ours: above 1 we are the quicker. `peak_mb` is the most memory that the measured process
has held since it started. Cold: for the first time in a process that has just started. Warm: the middle of several
times after that, ours and the peer's taken by turns, so that whatever else the machine does falls on both.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

HOME = Path(__file__).resolve().parents[1]


def once(work: Callable[[], object]) -> float:
    """How long one run takes, s."""
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def by_turns(ours: Callable[[], object], peer: Callable[[], object], times: int) -> tuple[float, float]:
    """The middle of so many runs of each, s."""
    both = [(once(ours), once(peer)) for _ in range(times)]
    return statistics.median(a for a, _ in both), statistics.median(b for _, b in both)


def peak_mb() -> float:
    """The most memory this process has held, MB; 0 where the system does not say."""
    return _most_mb(children=False)


def of_children_mb() -> float:
    """The most memory that any one process started and ended here has held, MB; 0 where the system does not say."""
    return _most_mb(children=True)


def _most_mb(*, children: bool) -> float:
    try:
        import resource
    except ImportError:
        return 0.0
    whose = resource.RUSAGE_CHILDREN if children else resource.RUSAGE_SELF
    return resource.getrusage(whose).ru_maxrss / (1024 if sys.platform != "darwin" else 1024**2)


def line(case: str, *, ours_s: float, peer: str, peer_s: float, peak: float | None = None) -> None:
    """One case as one line of JSON on standard output."""
    told = {
        "case": case,
        "ours_s": round(ours_s, 5),
        "peer": peer,
        "peer_s": round(peer_s, 5),
        "ratio": round(peer_s / ours_s, 3),
        "peak_mb": round(peak_mb() if peak is None else peak, 1),
    }
    print(json.dumps(told), flush=True)


def each_in_its_own_process(script: str, cases: dict[str, Callable[[], None]]) -> None:
    """Run the case named on the command line; without a name, every case, each in a process that starts for it."""
    named = sys.argv[1:]
    if named:
        for name in named:
            cases[name]()
        return
    for name in cases:
        subprocess.run([sys.executable, script, name], check=True)
