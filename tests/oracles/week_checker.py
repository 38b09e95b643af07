"""Judges a plan of `steadyrest promise` by the contract's section 3, sentence by sentence.

Imports nothing of the package it judges. Takes the request (as tomllib reads it) and the answer (as json reads it).
"""

from __future__ import annotations

from datetime import datetime
from itertools import pairwise
from typing import Any

CLOSE_S = 1e-3


def seconds(moment: str | datetime, now: datetime) -> float:
    at = datetime.fromisoformat(moment) if isinstance(moment, str) else moment
    return (at - now).total_seconds()


def worked(stretches: list[tuple[float, float]], begin: float, takes: float) -> tuple[bool, float]:
    """Whether somebody is in at `begin`, and when work begun then and paused between stretches is over."""
    left, inside = takes, False
    for a, b in stretches:
        if not inside:
            if a - CLOSE_S <= begin < b or (takes == 0 and abs(begin - b) < CLOSE_S):
                inside = True
                if left <= b - begin + CLOSE_S:
                    return True, begin + left
                left -= b - begin
        elif left <= b - a + CLOSE_S:
            return True, a + left
        else:
            left -= b - a
    return inside, float("inf")


def faults(request: dict[str, Any], answer: dict[str, Any]) -> list[str]:
    """Every rule of the contract that the plan breaks; empty: it can be worked."""
    now: datetime = request["now"]
    hours = {
        str(p["id"]): sorted((seconds(a, now), seconds(b, now)) for a, b in p["hours"])
        for p in request.get("person", [])
    }
    rows = {(row["job"], row["step"], row["phase"]): row for row in answer["plan"]}
    finish = {job["job"]: job["finish"] for job in answer["jobs"]}
    out: list[str] = []
    if len(rows) != len(answer["plan"]):
        out.append("a phase has two rows")
    wanted = {
        (str(job["id"]), str(step["id"]), k)
        for job in request["job"]
        for step in job["step"]
        for k in range(len(step["phase"]))
    }
    if wanted != set(rows):
        out.append(f"rows differ from phases: {sorted(wanted ^ set(rows))}")
        return out
    people: dict[str, list[tuple[float, float]]] = {}
    machines: dict[str, list[tuple[float, float]]] = {}
    for job in request["job"]:
        name, before, wait = str(job["id"]), 0.0, None
        done = finish[name] is not None
        for step in job["step"]:
            held: list[float] = []
            for k, phase in enumerate(step["phase"]):
                row, at = rows[name, str(step["id"]), k], f"{name}/{step['id']}/{k}"
                if row["start"] is None or row["end"] is None:
                    if done or row["start"] != row["end"]:
                        out.append(f"{at}: no times, yet its job ends")
                    continue
                if not done:
                    out.append(f"{at}: has times, yet its job never ends")
                    continue
                a, b = seconds(row["start"], now), seconds(row["end"], now)
                held += [a, b]
                first = before == 0.0 and wait is None
                if first and a < max(0.0, seconds(job.get("release", now), now)) - CLOSE_S:
                    out.append(f"{at}: before its release")
                if not first and a < before - CLOSE_S:
                    out.append(f"{at}: before the phase before is over")
                if not first and wait is not None and wait >= 0 and a > before + wait + CLOSE_S:
                    out.append(f"{at}: waits {a - before - wait:.3f} s too long")
                before, wait = b, phase.get("max_wait_s", -1)
                takes, who, person = phase["duration_s"], [str(x) for x in phase.get("who", [])], row["person"]
                if row["machine"] != step.get("machine"):
                    out.append(f"{at}: on {row['machine']}")
                if not who:
                    if person is not None or abs(b - a - takes) > CLOSE_S:
                        out.append(f"{at}: takes {b - a} by {person}, not {takes} by nobody")
                    continue
                if person not in who:
                    out.append(f"{at}: done by {person}")
                    continue
                people.setdefault(person, []).append((a, b))
                if phase.get("interruptible", False):
                    inside, end = worked(hours[person], a, takes)
                    if not inside or abs(end - b) > CLOSE_S:
                        out.append(f"{at}: ends at {b}, should at {end}")
                elif abs(b - a - takes) > CLOSE_S or not any(
                    x - CLOSE_S <= a and b <= y + CLOSE_S for x, y in hours[person]
                ):
                    out.append(f"{at}: not in one stretch, or not as long as it takes")
            if held and step.get("machine") is not None:
                machines.setdefault(step["machine"], []).append((held[0], held[-1]))
        if done and abs(seconds(finish[name], now) - before) > CLOSE_S:
            out.append(f"{name}: ends at {before}, not {finish[name]}")
    for what, given in (("person", people), ("machine", machines)):
        for name, spans in given.items():
            for (a, b), (c, d) in pairwise(sorted(spans)):
                if b > c + CLOSE_S and b > a and d > c:
                    out.append(f"{what} {name}: {a}-{b} and {c}-{d}")
    return out


def hours_late(request: dict[str, Any], answer: dict[str, Any]) -> float:
    """Sum of weight x hours late over the jobs that end."""
    due = {str(job["id"]): (job["due"], job.get("weight", 1)) for job in request["job"]}
    total = 0.0
    for job in answer["jobs"]:
        if job["finish"] is not None:
            at, weight = due[job["job"]]
            total += weight * max(0.0, seconds(job["finish"], at)) / 3600
    return total
