"""Run one task in a process of its own, with limits on time and memory.

    part = run(read, (data, name), name=name, time_s=120, memory_mb=3000, progress=say, stop=asked_to_stop)

A file that hangs, eats the memory or breaks the reader is one clear line. Memory is watched, not forbidden: libraries
reserve far more than they use, so a hard limit on addresses would stop honest work. Time is the process's own: what it
computes and what it sleeps, not what it waits for a processor on a busy machine.
"""

from __future__ import annotations

import contextlib
import logging
import os
import queue
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any, BinaryIO, TypeVar

import psutil

from steadyrest.trouble import BadInput
from steadyrest.workers import frames

Progress = Callable[[str, float], None]
Stop = Callable[[], bool]
T = TypeVar("T")

LOOK_EVERY_S = 0.05
WAIT_TIMES = 15  # of its own time, that a process may take by the clock on the wall
ANOTHER_WAY = "Save it again from the program that made it, or in another format, and try once more."

log = logging.getLogger("steadyrest.workers")
log.addHandler(logging.NullHandler())

# Linux ends a child with the *thread* that started it, so all are started from one thread that lasts as long as we do.
starter = ThreadPoolExecutor(1, thread_name_prefix="steadyrest-starter")


class Stopped(Exception):  # noqa: N818  nobody's error: a person asked for it
    """Somebody asked to stop; the process is gone and nothing is half done."""


class Failed(Exception):  # noqa: N818  says what happened
    """Our own code failed in the worker. `told` is its traceback, also in the log; not for the person's eyes."""

    def __init__(self, name: str, told: str) -> None:
        super().__init__(f"{name}: reading failed in our own code ({told.strip().splitlines()[-1][:200]})")
        self.told = told


class Worker:
    """One process that waits for one task.

    Args:
        preload: modules to import while it waits.
    """

    def __init__(self, preload: tuple[str, ...] = ()) -> None:
        path = os.pathsep.join(entry or os.getcwd() for entry in sys.path)
        self.process = starter.submit(
            subprocess.Popen[bytes],
            [sys.executable, "-P", "-m", "steadyrest.workers.child", *preload],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env={**os.environ, "PYTHONPATH": path, "PYTHONSAFEPATH": "1"},
        ).result()
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.to: BinaryIO = self.process.stdin  # pyright: ignore[reportAttributeAccessIssue]
        self.back: BinaryIO = self.process.stdout  # pyright: ignore[reportAttributeAccessIssue]

    def memory_mb(self) -> float:
        """What it holds in memory now, MB; 0 once it has ended."""
        with contextlib.suppress(psutil.Error):
            return psutil.Process(self.process.pid).memory_info().rss / 1e6
        return 0.0

    def own_s(self) -> tuple[float, bool]:
        """Processor time so far, s, and whether it sleeps now: waits for anything but a processor."""
        with contextlib.suppress(psutil.Error):
            process = psutil.Process(self.process.pid)
            used = process.cpu_times()
            return used.user + used.system, process.status() != psutil.STATUS_RUNNING
        return 0.0, True

    def end(self) -> None:
        """End it at once, its own children included; no more than a moment if it has ended already."""
        if self.process.poll() is None:
            with contextlib.suppress(psutil.Error):
                for child in psutil.Process(self.process.pid).children(recursive=True):
                    child.kill()
            self.process.kill()
        self.process.wait()
        for pipe in (self.to, self.back):
            with contextlib.suppress(OSError):
                pipe.close()


class OwnTime:
    """How long a process has been at its task: by the clock, less what it waited for a processor.

    Args:
        worker: whose time it is, from now on.
    """

    def __init__(self, worker: Worker) -> None:
        self.worker = worker
        self.began_s = self.looked_s = time.monotonic()
        self.used_s, _ = worker.own_s()
        self.spent_s = 0.0

    def look(self) -> float:
        """Own time so far, s; several processors at once count as one."""
        now_s = time.monotonic()
        used_s, sleeps = self.worker.own_s()
        passed_s = now_s - self.looked_s
        self.spent_s += passed_s if sleeps else min(max(used_s - self.used_s, 0.0), passed_s)
        self.looked_s, self.used_s = now_s, used_s
        return self.spent_s

    def is_over(self, time_s: float) -> bool:
        """Whether a limit on own time is passed, or many times as long by the clock."""
        return self.look() > time_s or self.looked_s - self.began_s > WAIT_TIMES * time_s


class Workers:
    """Keeps one process ready, its libraries loaded, so that the next file starts at once. Each still serves one file.

    Args:
        preload: modules to import ahead, such as ("steadyrest.part.read",).
        once: one file is all that comes; no other process is made ready after it.
    """

    def __init__(self, preload: tuple[str, ...], *, once: bool = False) -> None:
        self.preload = preload
        self.once = once
        self.lock = threading.Lock()
        self.spare: Worker | None = Worker(preload)

    def take(self) -> Worker:
        """The process that stands ready (or a new one); the next is started, unless one file is all."""
        with self.lock:
            ready, self.spare = self.spare, None if self.once else Worker(self.preload)
        if ready is None or ready.process.poll() is not None:
            return Worker(self.preload)
        return ready

    def close(self) -> None:
        """End the process that stands ready."""
        with self.lock:
            if self.spare is not None:
                self.spare.end()
            self.spare = None


def run(
    task: Callable[..., T],
    args: tuple[Any, ...],
    *,
    name: str,
    time_s: float = 120.0,
    memory_mb: float = 3000.0,
    progress: Progress,
    stop: Stop,
    workers: Workers | None = None,
) -> T:
    """Call `task(*args, progress=...)` in a process of its own.

    Args:
        task: a function of a module, so that the process finds it by name.
        args: picklable.
        name: the file as the person knows it; begins every message.
        time_s, memory_mb: limits; beyond them the process is ended. A wait for a processor does not count as time.
        progress: called here with what the task tells: words and a share from 0 to 1.
        stop: asked every 50 ms; True ends the process.
        workers: takes the process that stands ready; else a fresh one is started.
    Returns: what the task returned.
    Raises: BadInput: raised by the task; or the task took too long, took too much memory, or broke its process.
        Stopped: `stop` said so. Failed: the task raised anything else; our fault.
    """
    worker = workers.take() if workers else Worker()
    told: queue.SimpleQueue[tuple[Any, ...] | None] = queue.SimpleQueue()
    threading.Thread(target=listen, args=(worker.back, told), daemon=True).start()
    own = OwnTime(worker)
    try:
        with contextlib.suppress(OSError):  # it broke while loading; what it said tells why
            frames.write(worker.to, (task, args, max(1, round(time_s))))
        while True:
            if stop():
                raise Stopped(name)
            try:
                message = told.get(timeout=LOOK_EVERY_S)
            except queue.Empty:
                message = ()
            match message:
                case ("progress", what, share):
                    progress(what, share)
                case ("done", result):
                    return result
                case ():
                    pass
                case _:
                    raise trouble(name, message, worker, memory_mb=memory_mb)
            if worker.memory_mb() > memory_mb:
                raise memory_trouble(name, memory_mb)
            if own.is_over(time_s):
                raise time_trouble(name, time_s)
    finally:
        worker.end()


def listen(back: BinaryIO, told: queue.SimpleQueue[tuple[Any, ...] | None]) -> None:
    """Hand on what the process tells; None when it has gone."""
    try:
        while True:
            told.put(frames.read(back))  # pyright: ignore[reportArgumentType]
    except Exception:  # gone, cut short, or garbled: the process broke
        told.put(None)


def trouble(name: str, message: tuple[Any, ...] | None, worker: Worker, *, memory_mb: float) -> Exception:
    """What to raise for the last message of a process that gave no result."""
    match message:
        case ("bad", BadInput() as bad):
            return bad
        case ("memory",):
            return memory_trouble(name, memory_mb)
        case ("large",):
            what = f"what was read from it is larger than {frames.LARGEST // 2**20} MB."
            return BadInput(where=name, what=what, do="Export it coarser, or cut away what is not needed.")
        case ("failed", told):
            log.error("%s: worker failed\n%s", name, told)
            return Failed(name, told)
        case _:
            with contextlib.suppress(subprocess.TimeoutExpired):
                worker.process.wait(1.0)
            log.error("%s: worker process ended (%s)", name, worker.process.returncode)
            return BadInput(where=name, what=f"the reader broke on it ({ending(worker)}).", do=ANOTHER_WAY)


def ending(worker: Worker) -> str:
    """How the process ended, in a word or two."""
    code = worker.process.poll()
    if code is None:
        return "it said something that is no answer"
    if code < 0:
        with contextlib.suppress(ValueError):
            return signal.Signals(-code).name
    return f"exit {code}"


def time_trouble(name: str, time_s: float) -> BadInput:
    what = f"reading it took longer than {time_s:.0f} s and was ended."
    return BadInput(where=name, what=what, do="Export it coarser or in fewer pieces, or in another format.")


def memory_trouble(name: str, memory_mb: float) -> BadInput:
    what = f"reading it needed more than {memory_mb:.0f} MB of memory and was ended."
    return BadInput(where=name, what=what, do="Export it coarser (fewer triangles), or cut away what is not needed.")
