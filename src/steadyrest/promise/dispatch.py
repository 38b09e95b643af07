"""The policy, simulated: what people do at each moment, over many draws at once.

At every moment when something ends, a job is released or a stretch begins, ready phases with nobody begin; then the
people in file order who are in and free take each the first ready phase, by the order of the jobs, that names them. A
phase is ready when the one before is done, all that its job comes after is done, what it needs of bought stock is here,
what machines share is left for its machine and, for the first of a step with a machine, the machine is free. One that
may not be interrupted is begun only if its stated duration fits into what is left of the stretch, and is then worked to
its end; one that may pauses at the end of the stretch, and is then ready again for the same person (with hand-over: for
anyone it names) with the seconds that are left. A run with nobody that stops on its way stands until anyone is in.
Nothing begins on a machine that stands; what runs by itself when it begins to stand goes on afterwards, and hands that
work on it are free until then.
People re-decide at each moment: no frozen sequence is replayed. tests/oracles/slow_dispatch.py says the same plainly.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from steadyrest.promise.durations import WeekDraws
from steadyrest.promise.moments import Record, all_draws, laid
from steadyrest.promise.week import Flat, IntArray
from steadyrest.shop.draws import FloatArray


@dataclass(frozen=True, slots=True)
class Outcome:
    """What happened in each draw; inf where it did not happen within the calendar.

    finish_s: (n, J). begin_s, end_s: (n, P). by: (n, P) index of the person who began it, or -1. broken: (n, J) how
    often a phase began later after the one before than it may wait. trace: (k, 4) phase, person or -1, from, to in the
    traced draw.
    """

    finish_s: FloatArray
    begin_s: FloatArray
    end_s: FloatArray
    by: IntArray
    broken: IntArray
    trace: FloatArray


def dispatch(flat: Flat, draws: WeekDraws, order: IntArray, *, traced: int = -1) -> Outcome:
    """Simulates every draw under one order of the jobs.

    Args:
        flat: the week's arrays.
        draws: n draws of its durations and releases.
        order: (J,) job indices, the first choice first.
        traced: index of the draw whose stretches of work are written down; -1: none.
    Returns: the outcome.
    """
    n, phases = draws.base_s.shape
    jobs = flat.first.size - 1
    record = Record(
        finish_s=np.full((n, jobs), np.inf),
        begin_s=np.full((n, phases), np.inf),
        end_s=np.full((n, phases), np.inf),
        by=np.full((n, phases), -1, np.int64),
        broken=np.zeros((n, jobs), np.int64),
        trace=np.zeros((phases + int(flat.here_count.sum()) + flat.down_of.size + 1 if traced >= 0 else 1, 4)),
    )
    used = all_draws(laid(flat), flat.machines, draws, order, traced, record)
    return Outcome(*record[:5], record.trace[:used])
