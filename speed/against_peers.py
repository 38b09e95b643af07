"""The plan of a certain week beside other ways to plan it: a list search, a constraint solver, earliest due first.

DIR holds the peers: `shopgen.py` (shops, checker, objective) and `peer_*.py`, each `--steps --seed --seconds`. Their
shops are taken as a week's file can say them: each step on the first of its machines, no set-up families, nothing
that runs only while somebody is in; and due in TIGHT of their time, because a week in which nothing is late says
nothing. All are given the same shops, the same PROCESSOR seconds on one thread, and the same checker; what counts is
weight x hours late. Ours counts its work, not the clock, so its work is set from a first short run.
Run: python speed/against_peers.py DIR [SECONDS A USUAL SECOND TAKES HERE] [STEPS ..]. One JSON line a case.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path
from types import ModuleType
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from speed.schedule import never, quiet
from steadyrest.promise.search.search import Found, least_late
from steadyrest.promise.week import Presence, Week, WeekJob, WeekPhase, WeekStep

HERE = Path(__file__).resolve().parents[1]
SLOT_S, SEEDS, TIGHT = 300.0, (1, 2, 3), 0.4
PEER = """
import runpy, sys, time
sys.path.insert(0, sys.argv[2])
import shopgen
sys.path.insert(0, sys.argv.pop(1))
from speed.against_peers import plain_shop, weighted_late
whole = shopgen.generate
shopgen.generate = lambda count, seed: plain_shop(whole(count, seed))
shopgen.objective = weighted_late
if sys.argv[2] != "peer_cpsat.py":
    time.perf_counter = time.process_time
sys.argv = [sys.argv[1] + "/" + sys.argv[2], *sys.argv[3:]]
runpy.run_path(sys.argv[0], run_name="__main__")
"""


def plain_shop(shop: Any) -> Any:
    """Their shop as a week's file can say it, and tight."""
    shop.jobs = [
        (release, release + int(TIGHT * (due - release)), weight, steps) for release, due, weight, steps in shop.jobs
    ]
    shop.steps = [
        replace(s, machines=s.machines[:1], family=-1, load=s.setup, mode=2 if s.mode == 1 else s.mode)
        for s in shop.steps
    ]
    return shop


def weighted_late(shop: Any, finish: list[int]) -> float:
    """Weight x hours late of a plan that their checker let pass."""
    return sum(w * max(0, finish[steps[-1]] - due) * SLOT_S / 3600.0 for _, due, w, steps in shop.jobs)


def week_of(shop: Any) -> Week:
    """Their shop as a week."""
    people = tuple(
        Presence(f"p{n}", tuple((a * SLOT_S, b * SLOT_S) for a, b in stretches))
        for n, stretches in enumerate(shop.shifts)
    )
    anyone = tuple(person.id for person in people)

    def step(number: int) -> WeekStep:
        s = shop.steps[number]
        phases = [WeekPhase("set up", s.setup * SLOT_S, anyone)]
        if s.run:
            phases.append(WeekPhase("run", s.run * SLOT_S, ()))
        if s.unload:
            phases.append(WeekPhase("unload", s.unload * SLOT_S, anyone))
        return WeekStep(f"{number}", f"m{s.machines[0]}", tuple(phases))

    jobs = tuple(
        WeekJob(f"{j}", release * SLOT_S, due * SLOT_S, float(weight), tuple(step(n) for n in numbers))
        for j, (release, due, weight, numbers) in enumerate(shop.jobs)
    )
    return Week(people, tuple(f"m{n}" for n in range(shop.machines)), jobs)


def judged(shopgen: ModuleType, shop: Any, found: Found) -> float:
    """Our plan's objective by their checker."""
    rows: list[Any] = [None] * len(shop.steps)
    i = 0
    for _, _, _, numbers in shop.jobs:
        for number in numbers:
            s = shop.steps[number]
            last = i + (s.run > 0) + (s.unload > 0)
            ends = found.begin_s[last] if s.unload else found.end_s[last]
            rows[number] = (
                s.machines[0], round(float(found.begin_s[i]) / SLOT_S), int(found.by[i]), round(float(ends) / SLOT_S),
                int(found.by[last]) if s.unload else int(found.by[i]),
            )  # fmt: skip
            i = last + 1
    return float(weighted_late(shop, shopgen.check(shop, rows)))


def ours(week: Week, work: int, seed: int) -> tuple[Found, float]:
    """A plan and the processor seconds it took."""
    begun = time.process_time()
    found = least_late(week, seed=seed, work=work, progress=quiet, stop=never)
    return found, time.process_time() - begun


def peer(folder: str, script: str, steps: int, seed: int, *more: str) -> dict[str, object]:
    """A peer's line, with the processor seconds of its whole process."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    given = [sys.executable, "-c", PEER, str(HERE), folder, script, "--steps", str(steps), "--seed", str(seed), *more]
    said = subprocess.run(given, capture_output=True, text=True, check=False)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    if said.returncode:
        return {"objective": None, "why": said.stderr.strip().splitlines()[-1:]}
    line = json.loads(said.stdout.strip().splitlines()[-1])
    return line | {"cpu_s": round(after.ru_utime - before.ru_utime, 1)}


def case(folder: str, shopgen: ModuleType, steps: int, seed: int, usual_s: float) -> dict[str, object]:
    """Ours with one usual second and with ten; the list search with ten; the solver with 1, 10 and 60; dispatch."""
    shop = plain_shop(shopgen.generate(steps, seed))
    week = week_of(shop)
    ours(week, 20_000, seed)
    _, took = ours(week, 400_000, seed)
    row: dict[str, object] = {"case": f"{steps} steps, {len(week.phases())} phases, seed {seed}"}
    for seconds in (1, 10):
        found, took_s = ours(week, int(400_000 * seconds * usual_s / took), seed)
        row |= {
            f"ours_{seconds}": round(judged(shopgen, shop, found), 3), f"ours_{seconds}_cpu_s": round(took_s, 1),
            f"proven_{seconds}": found.proven, "late_h": round(found.late_h, 2), "bound_h": round(found.bound_h, 2),
        }  # fmt: skip
    row["list_10"] = peer(folder, "peer_listsearch.py", steps, seed, "--seconds", str(10 * usual_s))["objective"]
    row["edd"] = peer(folder, "peer_edd.py", steps, seed)["objective"]
    for seconds in SOLVER:
        line = peer(folder, "peer_cpsat.py", steps, seed, "--seconds", str(seconds * usual_s))
        row |= {f"solver_{seconds}": line["objective"], f"solver_{seconds}_cpu_s": line.get("cpu_s")}
        row["solver_says"] = line.get("status")
    return row


SOLVER = (1, 10, 60)

if __name__ == "__main__":
    sys.path.insert(0, sys.argv[1])
    import shopgen  # type: ignore[import-not-found]

    scale = float(sys.argv[2]) if len(sys.argv) > 2 else 1.0
    for count in [int(n) for n in sys.argv[3:]] or [20, 60, 120, 300]:
        for number in SEEDS:
            print(json.dumps(case(sys.argv[1], shopgen, count, number, scale)), flush=True)
