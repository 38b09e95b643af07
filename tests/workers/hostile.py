"""Tasks that behave as badly as a stranger's file can make a reader behave."""

from __future__ import annotations

import ctypes
import os
import sys
import time
from pathlib import Path

import numpy as np

from steadyrest.trouble import BadInput


def double(number, *, progress):
    for tenth in range(1, 11):
        progress("doubling", tenth / 10)
    return 2 * number


def endless(*, progress):
    progress("begun", 0.0)
    while True:
        pass


def asleep_in_c(pid_file, *, progress):
    """Hold the interpreter's lock in C code, so that no Python thread of this process can do anything."""
    Path(pid_file).write_text(str(os.getpid()))
    progress("asleep", 1.0)
    ctypes.PyDLL(None).usleep(30_000_000)


def hungry(*, progress):
    return float(np.ones(4_000_000_000 // 8).sum())


def out_of_memory(*, progress):
    raise MemoryError


def abort(*, progress):
    os.abort()


def segfault(*, progress):
    ctypes.string_at(0)


def leave(*, progress):
    sys.exit(0)


def chatter(*, progress):
    ctypes.CDLL(None).puts(b"printed by a C library")
    print("printed by Python")
    os.write(1, b"written past Python")
    return "quiet"


def huge(*, progress):
    return bytes(600 * 1024 * 1024)


def unsendable(*, progress):
    return lambda: None


def bad(*, progress):
    raise BadInput(where="cover.dxf, layer CUT", what="the outline is open by 0.32 mm.", do="Close it there.")


def our_fault(*, progress):
    return {}["no such key"]


def garble(*, progress):
    """Write nonsense into the channel that carries the messages, whatever its number."""
    for fd in range(3, 10):
        try:
            os.write(fd, b"nonsense" * 100)
        except OSError:
            continue
    time.sleep(5)


def has_children(pid_file, *, progress):
    import subprocess

    child = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(60)"])
    Path(pid_file).write_text(str(child.pid))
    progress("child started", 1.0)
    time.sleep(60)
