"""Damage on a scanned part, or on two halves of one, read in a process of its own."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from steadyrest.workers.reading import ReadingLimits, check
from steadyrest.workers.running import Progress, Stop, run

if TYPE_CHECKING:
    from steadyrest.part.damage.halves import Halves
    from steadyrest.part.damage.whole import Damage


def read_damage(path: Path, *, unit: str | None, progress: Progress, stop: Stop) -> Damage:
    """Damage on one scanned part.

    Args:
        path: a mesh.
        unit: "mm", "in" or "m" for a file that names none.
        progress: called with words and a share from 0 to 1.
        stop: asked every 50 ms; True ends it.
    Returns: ends, bend, openings.
    Raises: BadInput: one line on what is wrong with the file. Stopped, Failed: see running.run.
    """
    limits = ReadingLimits()
    check(path, path.name, limits)
    words = (str(path.absolute()), path.name, unit)
    return run(
        damage_in_child, words, name=path.name, time_s=limits.time_s, memory_mb=limits.memory_mb,
        progress=progress, stop=stop,
    )  # fmt: skip


def read_halves(first: Path, second: Path, *, unit: str | None, progress: Progress, stop: Stop) -> Halves:
    """How two scanned halves of one part belong together.

    Args:
        first, second: a mesh each.
        unit: for files that name none.
        progress: called with words and a share from 0 to 1.
        stop: asked every 50 ms; True ends it.
    Returns: which ends, what is missing, the whole length.
    Raises: BadInput: one line on what is wrong with a file. Stopped, Failed: see running.run.
    """
    limits = ReadingLimits()
    for path in (first, second):
        check(path, path.name, limits)
    words = (str(first.absolute()), first.name, str(second.absolute()), second.name, unit)
    return run(
        halves_in_child, words, name=f"{first.name} and {second.name}", time_s=2 * limits.time_s,
        memory_mb=limits.memory_mb, progress=progress, stop=stop,
    )  # fmt: skip


def damage_in_child(path: str, name: str, unit: str | None, *, progress: Progress) -> Damage:
    """What the worker process does for one part."""
    from steadyrest.part.damage import reading

    return reading.read_damage(Path(path).read_bytes(), name, unit=unit, progress=progress, stop=never)


def halves_in_child(
    first: str, first_name: str, second: str, second_name: str, unit: str | None, *, progress: Progress
) -> Halves:
    """What the worker process does for two halves."""
    from steadyrest.part.damage import reading

    one, other = (Path(first).read_bytes(), first_name), (Path(second).read_bytes(), second_name)
    return reading.read_halves(one, other, unit=unit, progress=progress, stop=never)


def never() -> bool:
    """Stopping is done from outside: the process is ended."""
    return False
