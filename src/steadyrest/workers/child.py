"""What runs in a worker process: take one task, do it, tell, leave.

Standard input brings the task and, by closing, the news that the house is gone. Standard output carries messages only;
what the libraries print there by themselves, from C too, goes nowhere.
"""

from __future__ import annotations

import contextlib
import importlib
import os
import signal
import sys
import threading
import time
import traceback
from collections.abc import Callable
from typing import BinaryIO, cast

from steadyrest.trouble import BadInput
from steadyrest.workers import frames

Order = tuple[Callable[..., object], tuple[object, ...], int]
TELL_EVERY_S = 0.03
ORPHAN = 3


def main() -> None:
    """Do one task from standard input; modules named as arguments are imported while waiting for it."""
    tell = own_output()
    die_with_the_house()
    for name in sys.argv[1:]:
        with contextlib.suppress(Exception):  # what cannot be imported fails again, and is told, in the task
            importlib.import_module(name)
    try:
        task, args, limit_s = cast(
            "tuple[Callable[..., object], tuple[object, ...], int]", frames.read(sys.stdin.buffer)
        )
    except EOFError:
        os._exit(ORPHAN)
    except Exception:
        failed(tell)
        return
    last_resort(limit_s)
    threading.Thread(target=leave_when_orphaned, daemon=True).start()
    work(tell, task, args)


def own_output() -> BinaryIO:
    """Keep standard output for messages, and give everybody else the null device."""
    tell = os.fdopen(os.dup(1), "wb")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.close(nowhere)
    sys.stdout = open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115  open for as long as we are
    return tell


def die_with_the_house() -> None:
    """Leave the keyboard's interrupt to the house, and on Linux let the kernel end this process with it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if sys.platform == "linux":
        import ctypes

        pr_set_pdeathsig = 1
        ctypes.CDLL(None).prctl(pr_set_pdeathsig, signal.SIGKILL)


def last_resort(limit_s: int) -> None:
    """Where the system can, no core file, and an end to a process that computes long after anybody waits for it."""
    if sys.platform != "win32":
        import resource

        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        resource.setrlimit(resource.RLIMIT_CPU, (16 * limit_s, 16 * limit_s))


def leave_when_orphaned() -> None:
    """End this process when the house closes its end of the pipe."""
    while os.read(0, 1):
        pass
    os._exit(ORPHAN)


def work(tell: BinaryIO, task: Callable[..., object], args: tuple[object, ...]) -> None:
    """Call the task and tell what came of it: ("done", result), ("bad", BadInput), ("memory",) or ("failed", text)."""
    told_at, told_share = -TELL_EVERY_S, 0.0

    def progress(what: str, share: float) -> None:
        nonlocal told_at, told_share
        now = time.monotonic()
        if now - told_at >= TELL_EVERY_S or share >= 1 > told_share:
            told_at, told_share = now, share
            frames.write(tell, ("progress", what, float(share)))

    try:
        result = task(*args, progress=progress)
    except BadInput as trouble:
        frames.write(tell, ("bad", trouble))
        return
    except MemoryError:
        frames.write(tell, ("memory",))
        return
    except Exception:
        failed(tell)
        return
    try:
        frames.write(tell, ("done", result))
    except frames.TooLarge:
        frames.write(tell, ("large",))
    except (OSError, ValueError):
        raise
    except Exception:
        failed(tell)


def failed(tell: BinaryIO) -> None:
    """Tell that we are at fault, with where."""
    frames.write(tell, ("failed", traceback.format_exc()))


if __name__ == "__main__":
    main()
