"""The nominal solid as STEP, made in a process of its own: the kernel that makes it can abort."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from steadyrest.workers.running import Progress, Stop, run

if TYPE_CHECKING:
    from steadyrest.part.handover.step_out import Handed
    from steadyrest.shop.part import Part

TIME_S = 60.0
MEMORY_MB = 2000.0


def nominal_step(part: Part, *, progress: Progress, stop: Stop) -> Handed:
    """The nominal solid as a STEP file, read back and compared.

    Args:
        part: with a profile, or read with its cells.
        progress: called with words and a share from 0 to 1.
        stop: asked every 50 ms; True ends it.
    Returns: the file, and what is not in it.
    Raises: BadInput: the kernel cannot build this solid. Stopped, Failed: see running.run.
    """
    return run(step_in_child, (part,), name=part.name, time_s=TIME_S, memory_mb=MEMORY_MB, progress=progress, stop=stop)


def step_in_child(part: Part, *, progress: Progress) -> Handed:
    """What the worker process does."""
    from steadyrest.part.handover import step_out
    from steadyrest.part.handover.left_out import ids_left
    from steadyrest.part.handover.read_back import not_read_back, other_faces
    from steadyrest.part.read import read

    progress("making the solid", 0.0)
    handed = step_out.nominal_solid(part)
    progress("reading it back", 0.7)
    again = read(handed.data, part.name, unit=None, grid=True, progress=lambda _w, _s: None, stop=lambda: False)
    said = (*handed.said, *not_read_back(part, again, ids_left(handed.said)), *other_faces(part, again))
    return replace(handed, said=said)
