"""The constants of a machine from timed programs: found again where the programs tell them apart, doubted where not."""

from __future__ import annotations

import numpy as np
import pytest

from steadyrest.program.run import Run
from steadyrest.program.timing.fit_time import fit_time
from steadyrest.program.timing.machine_time import MachineTiming, run_time
from tests.program.hand_runs import run_of

RAPID = (15000.0, 15000.0, 15000.0)
BELIEVED = MachineTiming(RAPID, 1500.0, 0.02, 8.0)


def corners(count: int, step_mm: float, bend: float) -> Run:
    """A path of so many short moves that turns by the same angle each time."""
    angle = np.cumsum(np.full(count, bend) * np.where(np.arange(count) % 2 == 0, 1.0, -1.0))
    places = np.cumsum(step_mm * np.stack((np.cos(angle), np.sin(angle)), axis=1), axis=0)
    return run_of([("tool", 1), ("rate", 5000.0), *[("feed", float(x), float(y), 0.0) for x, y in places]])


def lines(count: int) -> Run:
    """Long moves there and back, where only the acceleration counts."""
    return run_of([("rate", 6000.0), *[("feed", x, 0, 0) for _ in range(count) for x in (30, 0)]])


def changes(count: int) -> Run:
    return run_of([("tool", 1 + n % 2) for n in range(count)])


PROGRAMS = (corners(3000, 0.5, 0.3), corners(3000, 2.0, 0.6), lines(200), changes(20))


@pytest.mark.parametrize("accel", [400.0, 3000.0])
@pytest.mark.parametrize("corner", [0.005, 0.06])
def test_constants_that_programs_tell_apart_are_found_again(accel: float, corner: float) -> None:
    truth = MachineTiming(RAPID, accel, corner, 5.0)
    fitted = fit_time([(run, run_time(run, truth).total_s) for run in PROGRAMS], BELIEVED)
    assert fitted.timing.accel_mm_s2 == pytest.approx(accel, rel=0.02)
    assert fitted.timing.corner_mm == pytest.approx(corner, rel=0.1)
    assert fitted.timing.tool_change_s == pytest.approx(5.0, rel=0.02)
    assert min(share for _, share in fitted.told) > 0.8
    assert max(map(abs, fitted.off)) < 0.01


def test_what_no_program_tells_stays_as_it_was_believed() -> None:
    truth = MachineTiming(RAPID, 700.0, 0.02, 3.0)
    fitted = fit_time([(lines(200), run_time(lines(200), truth).total_s)], BELIEVED)
    told = dict(fitted.told)
    assert fitted.timing.accel_mm_s2 == pytest.approx(700.0, rel=0.05)
    assert fitted.timing.corner_mm == pytest.approx(0.02)
    assert fitted.timing.tool_change_s == pytest.approx(8.0)
    assert told["corner_mm"] < 0.01
    assert told["accel_mm_s2"] > 0.9


@pytest.mark.parametrize("seconds", [0.0, -1.0])
def test_a_time_that_is_none_is_refused(seconds: float) -> None:
    with pytest.raises(ValueError, match="fit_time"):
        fit_time([(changes(2), seconds)], BELIEVED)
    with pytest.raises(ValueError, match="fit_time"):
        fit_time([], BELIEVED)
