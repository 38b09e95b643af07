"""Read a stranger's file into a Part, in a process of its own."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from steadyrest.trouble import BadInput
from steadyrest.workers.running import Progress, Stop, Workers, run

if TYPE_CHECKING:
    from steadyrest.part.triangles.outside import Outside
    from steadyrest.shop.part import Part

PRELOAD = ("steadyrest.part.read",)
KERNEL = "steadyrest.part.solid.graph"  # what a solid needs besides, and takes longest to load


@dataclass(frozen=True, slots=True)
class ReadingLimits:
    """What reading one file may take."""

    time_s: float = 120.0
    memory_mb: float = 3000.0
    file_mb: float = 500.0


def about_to_read(path: Path) -> Workers:
    """A process that loads what this one file will need, while its caller still loads what it needs itself.

    Args:
        path: of the file; only its ending is looked at.
    Returns: to hand to read_part, and to close.
    """
    solid = path.suffix.lower() in (".step", ".stp", ".p21")
    return Workers((*PRELOAD, KERNEL) if solid else PRELOAD, once=True)


def read_part(
    path: Path,
    *,
    name: str = "",
    unit: str | None,
    body: int | None = None,
    grid: bool = False,
    progress: Progress,
    stop: Stop,
    limits: ReadingLimits | None = None,
    workers: Workers | None = None,
) -> Part:
    """Read a file into a Part, in a process of its own.

    Args:
        path: the file.
        name: as the person knows it, where the file is kept under another; the path's own by default.
        unit: "mm", "in" or "m" for a file that names none; None if the person has not said.
        body: which of several bodies, from 1; None for all together.
        grid: make the body's cells too, for a plan.
        progress: called with words and a share from 0 to 1.
        stop: asked every 50 ms; True ends the reading.
        limits: on time, memory and the file itself.
        workers: a process that stands ready; else a fresh one is started.
    Returns: the part.
    Raises: BadInput: no such file, or one line on what is wrong with it. Stopped, Failed: see running.run.
    """
    limits = limits or ReadingLimits()
    name = name or path.name or str(path)
    check(path, name, limits)
    return run(
        read_in_child,
        (str(path.absolute()), name, unit, body, grid),
        name=name,
        time_s=limits.time_s,
        memory_mb=limits.memory_mb,
        progress=progress,
        stop=stop,
        workers=workers,
    )


def read_outside(
    path: Path, *, unit: str | None, progress: Progress, stop: Stop, limits: ReadingLimits | None = None
) -> Outside:
    """The outside of a part, as triangles, in a process of its own.

    Args:
        path: the file.
        unit: "mm", "in" or "m" for a file that names none; None if the person has not said.
        progress: called with words and a share from 0 to 1.
        stop: asked every 50 ms; True ends the reading.
        limits: on time, memory and the file itself.
    Returns: corners in mm and triangles.
    Raises: BadInput: no such file, or one line on what is wrong with it. Stopped, Failed: see running.run.
    """
    limits = limits or ReadingLimits()
    name = path.name or str(path)
    check(path, name, limits)
    return run(
        outside_in_child,
        (str(path.absolute()), name, unit),
        name=name,
        time_s=limits.time_s,
        memory_mb=limits.memory_mb,
        progress=progress,
        stop=stop,
    )


def outside_in_child(path: str, name: str, unit: str | None, *, progress: Progress) -> Outside:
    """What the worker process does."""
    from steadyrest.part.triangles.outside import outside

    return outside(bytes_of(path, name), name, unit=unit, progress=progress, stop=never)


def check(path: Path, name: str, limits: ReadingLimits) -> None:
    """Raise BadInput for what can be seen without opening the file."""
    try:
        size = path.stat().st_size
    except (OSError, ValueError) as fault:
        why = getattr(fault, "strerror", None) or "the name is not possible"
        raise BadInput(where=name, what=f"cannot be opened ({why}).", do="Check the name and the folder.") from None
    if not path.is_file():
        raise BadInput(where=name, what="is not a file.", do="Give one file, such as shaft.ply.")
    if size == 0:
        raise BadInput(where=name, what="is empty.", do="Export or copy it again.")
    if size > limits.file_mb * 1e6:
        what = f"is {size / 1e6:.0f} MB, above the {limits.file_mb:.0f} MB that are read."
        raise BadInput(where=name, what=what, do="Export it coarser, or cut away what is not needed.")


def read_in_child(path: str, name: str, unit: str | None, body: int | None, grid: bool, *, progress: Progress) -> Part:
    """What the worker process does. Nothing of part/ is imported on this side of it."""
    from steadyrest.part.read import read

    return read(bytes_of(path, name), name, unit=unit, body=body, grid=grid, progress=progress, stop=never)


def bytes_of(path: str, name: str) -> bytes:
    """The file's bytes. Raises: BadInput: they cannot be had."""
    try:
        return Path(path).read_bytes()
    except OSError as fault:
        raise BadInput(where=name, what=f"cannot be read ({fault.strerror}).", do="Check who may read it.") from None


def never() -> bool:
    """Stopping is done from outside: the process is ended."""
    return False
