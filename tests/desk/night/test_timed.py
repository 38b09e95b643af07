"""Timed programs of the shop file teach the machine's constants and the spread of every computed time."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from steadyrest.desk.night.leave import ShopText, leave_bytes
from steadyrest.program.leave import LeavingAnswer
from steadyrest.program.reading.dialect import Dialect
from steadyrest.program.reading.read import read
from steadyrest.program.timing.machine_time import MachineTiming, run_time
from steadyrest.tables.practice import rule

MACHINE = """
[machine.M]
kind = "mill"
may_run_alone = true
offsets_mm.G54 = {x = 0, y = 0, z = 0}
rapid_mm_min = {x = 15000, y = 15000, z = 15000}
accel_mm_s2 = 1500
corner = "CORNER"
tool_change_s = 8
"""
TRUTH = MachineTiming((15000.0,) * 3, 400.0, 0.006, 12.0, rule("spindle_s_per_1000_rpm") / 1000)


def program(seed: int, moves: int, step_mm: float) -> str:
    """A wandering path in short moves, a tool change in the middle."""
    rng = np.random.default_rng(seed)
    places = np.cumsum(rng.uniform(-step_mm, step_mm, (moves, 2)), axis=0)
    lines = ["G21 G90 G94 G54", "T1 M6", "S8000 M3", "F4000"]
    lines += [f"G1 X{x:.3f} Y{y:.3f}" for x, y in places[: moves // 2]]
    lines += ["T2 M6", "S8000 M3", *(f"G1 X{x:.3f} Y{y:.3f}" for x, y in places[moves // 2 :]), "M30", ""]
    return "\n".join(lines)


PROGRAMS = {"a.nc": program(1, 1500, 0.6), "b.nc": program(2, 600, 3.0), "c.nc": program(3, 1000, 1.2)}


def truly_s(text: str) -> float:
    return run_time(read(text.encode(), Dialect(offsets_mm={"G54": (0.0, 0.0, 0.0)})), TRUTH).total_s


def ask(folder: Path, corner: str, timed: tuple[str, ...], *, kept: bool = True) -> LeavingAnswer:
    for name in timed if kept else ():
        (folder / name).write_text(PROGRAMS[name])
    rows = [f'[program."{n}"]\nmachine = "M"\ntook_s = [{truly_s(PROGRAMS[n]):.1f}]\n' for n in timed]
    text = MACHINE.replace("CORNER", corner) + "".join(rows)
    return leave_bytes(
        PROGRAMS["c.nc"].encode(), "c.nc", machine="M", shop=ShopText(text, str(folder / "shop.toml")),
        progress=lambda _what, _share: None, stop=lambda: False,
    )  # fmt: skip


def test_a_machine_that_was_timed_tells_a_new_program_s_time(tmp_path: Path) -> None:
    wanted = truly_s(PROGRAMS["c.nc"])
    before, after = ask(tmp_path, "rounded", ()), ask(tmp_path, "rounded", ("a.nc", "b.nc"))
    assert abs(before.time.value / wanted - 1) > 0.1
    assert after.time.value == pytest.approx(wanted, rel=0.03)
    low, high = after.time_spread_s
    wide_low, wide_high = before.time_spread_s
    assert low < wanted < high
    assert high / low < wide_high / wide_low


def test_a_machine_that_stops_at_every_block_keeps_its_constants_and_learns_only_the_spread(tmp_path: Path) -> None:
    plain, timed = ask(tmp_path, "stop", ()), ask(tmp_path, "stop", ("a.nc", "b.nc"))
    assert timed.time.value == plain.time.value
    assert timed.time_spread_s != plain.time_spread_s


def test_a_timed_file_that_is_gone_teaches_nothing(tmp_path: Path) -> None:
    assert ask(tmp_path, "rounded", ("a.nc",), kept=False).time.value == ask(tmp_path, "rounded", ()).time.value
