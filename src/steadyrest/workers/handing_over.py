"""The nominal solid as STEP, made in a process of its own: the kernel that makes it can abort."""

from __future__ import annotations

from typing import TYPE_CHECKING

from steadyrest.workers.running import Progress, Stop, run

if TYPE_CHECKING:
    from steadyrest.shop.part import Part

TIME_S = 60.0
MEMORY_MB = 2000.0


def nominal_step(part: Part, *, progress: Progress, stop: Stop) -> bytes:
    """The nominal solid as a STEP file.

    Args:
        part: with a profile.
        progress: called with words and a share from 0 to 1.
        stop: asked every 50 ms; True ends it.
    Returns: the file.
    Raises: BadInput: the kernel cannot build this solid. Stopped, Failed: see running.run.
    """
    return run(step_in_child, (part,), name=part.name, time_s=TIME_S, memory_mb=MEMORY_MB, progress=progress, stop=stop)


def step_in_child(part: Part, *, progress: Progress) -> bytes:
    """What the worker process does."""
    from steadyrest.part.handover import step_out

    progress("making the solid", 0.0)
    return step_out.nominal_step(part)
