"""A machine's constants fitted from some programs that were really timed, judged by the others.

    python -m tests.scoring.timed DIR [--fit box_op1.nc plate_05.nc] [--rapid 20000] [--accel 1500] [--change 8]

DIR holds the programs and `measured_times.csv` (program, active_seconds, clean). The medians of clean runs count. What
is believed of the machine before stands in the flags: the class of the machine, not what the runs say.
"""

from __future__ import annotations

import argparse
import csv
import json
import statistics
from collections import defaultdict
from pathlib import Path

from steadyrest.program.reading.dialect import Dialect
from steadyrest.program.reading.read import read
from steadyrest.program.run import Run
from steadyrest.program.timing.fit_time import fit_time
from steadyrest.program.timing.machine_time import MachineTiming, run_time
from steadyrest.tables.practice import rule

HOME_Z_MM = 300.0  # above the work zero: a middling machine's stroke, nobody measured it


def medians(folder: Path) -> dict[str, float]:
    """The median of clean runs by program, s."""
    found: dict[str, list[float]] = defaultdict(list)
    with (folder / "measured_times.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            if row["clean"] == "yes":
                found[row["program"]].append(float(row["active_seconds"]))
    return {name: statistics.median(times) for name, times in sorted(found.items())}


def run_of(file: Path) -> Run:
    """A program's run on a machine whose work zeros nobody gave."""
    zeros = {f"G{number}": (0.0, 0.0, 0.0) for number in range(54, 60)}
    return read(file.read_bytes(), Dialect(offsets_mm=zeros, start_mm=(0.0, 0.0, HOME_Z_MM), home_mm=(0, 0, HOME_Z_MM)))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--fit", nargs="+", default=["box_op1.nc", "plate_05.nc"])
    parser.add_argument("--rapid", type=float, default=20_000.0)
    parser.add_argument("--accel", type=float, default=1500.0)
    parser.add_argument("--change", type=float, default=8.0)
    parser.add_argument("--spindle", type=float, default=rule("spindle_s_per_1000_rpm"))
    told = parser.parse_args()
    times = medians(told.folder)
    runs = {name: run_of(told.folder / name) for name in times}
    rapid = (told.rapid, told.rapid, told.rapid)
    before = MachineTiming(rapid, told.accel, rule("corner_mm"), told.change, told.spindle / 1000)
    fitted = fit_time([(runs[name], times[name]) for name in told.fit], before)
    timing = fitted.timing
    print(
        json.dumps(
            {
                "accel_mm_s2": round(timing.accel_mm_s2, 1),
                "corner_mm": round(timing.corner_mm or 0.0, 5),
                "tool_change_s": round(timing.tool_change_s, 2),
                "told": {name: round(share, 2) for name, share in fitted.told},
            }
        )
    )
    for name, run in runs.items():
        computed = run_time(run, timing).total_s
        role = "fits" if name in told.fit else "judges"
        print(f"{name:15} {role:6} {times[name]:8.1f} {computed:8.1f} {100 * (computed / times[name] - 1):+.1f} %")


if __name__ == "__main__":
    main()
