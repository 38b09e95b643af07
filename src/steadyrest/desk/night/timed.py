"""Programs that were really timed: what they teach of a machine's constants, and of how far a computed time is off.

The shop file says under [program."FILE.nc"] how long it took, `took_s = [1774, 1771]`, start to end and without a wait.
A file that is no longer there teaches nothing. Constants are fitted only where the control rounds corners: a machine
that comes to rest at every block has none that a clock could tell.
"""

from __future__ import annotations

import statistics
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from steadyrest.program.leave import dialect_of
from steadyrest.program.reading.read import read
from steadyrest.program.run import Run
from steadyrest.program.timing.fit_time import fit_time
from steadyrest.program.timing.machine_time import MachineTiming, run_time, timing_of
from steadyrest.shop.leaving import LeavingMachine, ProgramSaid
from steadyrest.tables.practice import rule


@dataclass(frozen=True, slots=True)
class Taught:
    """timing: the machine's constants, fitted where they could be. fitted: from how many programs, 0 for none.

    past: (computed, actual) seconds of every timed run, with these constants.
    """

    timing: MachineTiming
    fitted: int
    past: tuple[tuple[float, float], ...]


def taught(
    machine: LeavingMachine,
    programs: Sequence[ProgramSaid],
    folder: Path | None,
    *,
    unit: Literal["mm", "in"],
    stop: Callable[[], bool],
) -> Taught:
    """What the timed programs of a machine teach.

    Args:
        machine: as the shop file has it.
        programs: all that the shop file names.
        folder: where its paths begin; None where it has no place.
        unit: of programs that name none.
        stop: asked now and then.
    Returns: constants and past runs; the shop file's own constants where nothing was timed.
    Raises: BadInput: a timed file is no NC program.
    """
    timed: list[tuple[Run, tuple[float, ...]]] = []
    for said in programs:
        file = folder / said.file if folder is not None else None
        if said.took_s and said.machine == machine.name and file is not None and file.is_file():
            run = read(file.read_bytes(), dialect_of(machine, said, unit), name=str(file), stop=stop)
            timed.append((run, said.took_s))
    timing, fitted = timing_of(machine), 0
    if timed and machine.corner_mm is not None:
        believed = MachineTiming(
            timing.rapid_mm_min,
            timing.accel_mm_s2,
            timing.corner_mm,
            timing.tool_change_s,
            rule("spindle_s_per_1000_rpm") / 1000,
        )
        timing = fit_time([(run, statistics.median(took)) for run, took in timed], believed).timing
        fitted = len(timed)
    past = [(run_time(run, timing).total_s, seconds) for run, took in timed for seconds in took]
    return Taught(timing, fitted, tuple(pair for pair in past if pair[0] > 0))
