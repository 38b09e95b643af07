"""The least weighted hours late of a very small week, by trying every order of its phases and everyone who may do them.

Imports nothing of the package it judges. A phase is put where it can begin once all before it in the order are placed;
what is best is among such plans, because sooner is never worse. Weeks with limits on the wait are not for it.
"""

from __future__ import annotations

from typing import Any

NEVER = float("inf")


def least(people: list[list[tuple[float, float]]], jobs: list[dict[str, Any]]) -> float:
    """Weighted hours late of the best plan that ends every job; inf: there is none.

    people: each one's stretches. jobs: release, due, weight, phases; a phase: step, machine or None, who, takes, may
    pause; its step is the same object for all its phases.
    """
    best = NEVER

    def late(j: int, end: float) -> float:
        return float(jobs[j]["weight"] * max(0.0, end - jobs[j]["due"]) / 3600.0)

    def on(at: list[int], ready: list[float], free: list[float], machines: dict[str, Any], cost: float) -> None:
        nonlocal best
        if cost >= best:
            return
        if all(k == len(job["phases"]) for k, job in zip(at, jobs, strict=True)):
            best = cost
            return
        for j, job in enumerate(jobs):
            if at[j] == len(job["phases"]):
                continue
            phase = job["phases"][at[j]]
            opens = at[j] == 0 or job["phases"][at[j] - 1]["step"] != phase["step"]
            closes = at[j] + 1 == len(job["phases"]) or job["phases"][at[j] + 1]["step"] != phase["step"]
            owner, machine_free = machines.get(phase["machine"], (None, 0.0)) if phase["machine"] else (None, 0.0)
            if opens and owner is not None:
                continue
            begin = max(ready[j], machine_free) if opens else ready[j]
            for p in phase["who"] or [None]:
                end = begin + phase["takes"]
                if p is not None:
                    end = _ends(people[p], max(begin, free[p]), phase["takes"], phase["may pause"])
                if end == NEVER:
                    continue
                then = [end if q == p else t for q, t in enumerate(free)]
                held = machines | ({phase["machine"]: (None if closes else j, end)} if phase["machine"] else {})
                count = [k + (i == j) for i, k in enumerate(at)]
                last = count[j] == len(job["phases"])
                on(count, [end if i == j else t for i, t in enumerate(ready)], then, held, cost + last * late(j, end))

    on([0] * len(jobs), [float(job["release"]) for job in jobs], [0.0] * len(people), {}, 0.0)
    return best


def _ends(stretches: list[tuple[float, float]], t: float, takes: float, may_pause: bool) -> float:
    """When work begun as soon as may be from t on is over."""
    for n, (a, b) in enumerate(stretches):
        begin = max(a, t)
        if begin >= b:
            continue
        if begin + takes <= b + 1e-6:
            return begin + takes
        if may_pause:
            left = takes - (b - begin)
            for c, d in stretches[n + 1 :]:
                if left <= d - c + 1e-6:
                    return c + left
                left -= d - c
            return NEVER
    return NEVER
