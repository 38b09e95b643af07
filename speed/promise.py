"""How long a promise takes: 1,000 draws of the week at 60, 120 and 300 phases, beside the plain twin of tests/oracles.

Both must agree on every finish before time counts. The twin runs a few draws only; its time is scaled to as many.
Run: python speed/promise.py. One JSON line a case.
"""

from __future__ import annotations

import json
import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from steadyrest.promise.dispatch import dispatch
from steadyrest.promise.durations import Spreads, draw
from steadyrest.promise.promise import promise
from steadyrest.promise.week import Presence, Week, WeekJob, WeekPhase, WeekStep, arrays
from steadyrest.shop.draws import Luck
from tests.oracles.slow_dispatch import simulate
from tests.promise.sample_shop import DUE, NOW, route, shop
from tests.promise.weeks import plainly

HOUR = 3600.0
DRAWS, TWIN_DRAWS = 1000, 10


def generated(phases: int, seed: int) -> Week:
    """A shop of three people and eight machines with jobs of two to five steps: set up, run (some alone), unload."""
    generator = np.random.default_rng(seed)
    day = [(h * HOUR, (h + 4) * HOUR) for h in (8, 13)]
    days = max(120, phases // 12)
    people = tuple(
        Presence(name, tuple((a + d * 24 * HOUR, b + d * 24 * HOUR) for d in range(days) for a, b in day[:halves]))
        for name, halves in (("ada", 2), ("bo", 1), ("cy", 2))
    )
    names, machines = tuple(p.id for p in people), tuple(f"m{n}" for n in range(8))
    jobs: list[WeekJob] = []
    count = 0
    while count < phases:
        steps: list[WeekStep] = []
        for s in range(int(generator.integers(2, 6))):
            who = tuple(str(name) for name in generator.choice(names, int(generator.integers(1, 4)), replace=False))
            alone = bool(generator.random() < 0.4)
            run = WeekPhase("run", float(generator.uniform(0.2, 3)) * HOUR, () if alone else who, not alone, 0.2)
            set_up = WeekPhase("set up", float(generator.uniform(0.1, 0.8)) * HOUR, who, False, 0.2)
            unload = WeekPhase("unload", 0.1 * HOUR, names, False, 0.2)
            steps.append(WeekStep(f"{s}", str(generator.choice(machines)), (set_up, run, unload)))
            count += 3
        due = float(generator.uniform(1, phases / 10)) * 24 * HOUR
        jobs.append(WeekJob(f"{len(jobs)}", 0.0, due, 1.0, tuple(steps)))
    return Week(people, machines, tuple(jobs))


def dispatch_case(phases: int) -> dict[str, float | str]:
    """Ours and the twin on one generated week, agreeing on every finish."""
    week = generated(phases, 1)
    flat = arrays(week)
    draws = draw(week, Luck(DRAWS, 1), Spreads(shop=0.1, job=0.2, person_else=0.1))
    order = np.argsort([job.due_s for job in week.jobs]).astype(np.int64)
    dispatch(flat, draws.some(2), order)
    begun = time.perf_counter()
    ours = dispatch(flat, draws, order)
    ours_s = time.perf_counter() - begun
    begun = time.perf_counter()
    for d in range(TWIN_DRAWS):
        people, jobs, factors = plainly(week, draws, d)
        done = simulate(people, jobs, [int(j) for j in order], factors)
        assert [job.ended[-1] for job in done] == ours.finish_s[d].tolist()
    peer_s = (time.perf_counter() - begun) * DRAWS / TWIN_DRAWS
    return {"case": f"{len(week.phases())} phases, {DRAWS} draws", "ours_s": ours_s, "peer_s": peer_s}


def promise_case() -> dict[str, float | str]:
    """The whole promise for the sample shop: six jobs promised and one new, search and all draws."""
    promise(route(), job_id="300", due=DUE, now=NOW, shop=shop(), luck=Luck(10, 1))
    begun = time.perf_counter()
    promise(route(), job_id="300", due=DUE, now=NOW, shop=shop(), luck=Luck(DRAWS, 1))
    return {"case": f"a promise among six, {DRAWS} draws", "ours_s": time.perf_counter() - begun}


def peak_mb() -> float:
    """The most memory this process has held, MB; 0 where the system does not say."""
    try:
        import resource
    except ImportError:
        return 0.0
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1024 if sys.platform != "darwin" else 1024**2)


if __name__ == "__main__":
    for case in (dispatch_case(60), dispatch_case(120), dispatch_case(300), promise_case()):
        if "peer_s" in case:
            case["ratio"] = round(float(case["peer_s"]) / float(case["ours_s"]), 1)
        case["peak_mb"] = round(peak_mb(), 1)
        print(json.dumps({k: round(v, 4) if isinstance(v, float) else v for k, v in case.items()}))
