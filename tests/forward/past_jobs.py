"""Invented shops whose past is known: how they estimate, who gets the job, how long it then takes.

Written from the trade, not from the learner's model, and imports nothing of steadyrest. The work of a job is a true
time. We and every rival estimate that time, each with errors of our own; a way of choosing gives the job to one; what
it then takes is the true time, slower or faster with whoever does it, with luck and now and then with trouble.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

CHOOSING = ("lowest", "noisy", "friends", "blind", "soft")
TROUBLE = ("none", "now and then", "skew", "shared")


@dataclass(frozen=True, slots=True)
class Done:
    """One step of a job: what was estimated, and what it took or would have taken."""

    step: str
    station: str
    person: str
    estimate_s: float
    actual_s: float


@dataclass(frozen=True, slots=True)
class Job:
    """One job."""

    name: str
    rivals: int
    won: bool
    steps: tuple[Done, ...]

    @property
    def estimate_s(self) -> float:
        return sum(step.estimate_s for step in self.steps)

    @property
    def actual_s(self) -> float:
        return sum(step.actual_s for step in self.steps)


@dataclass(frozen=True, slots=True)
class Floor:
    """How a shop errs.

    choosing: "lowest" of all estimates; "noisy": lowest of prices, which are estimates times a margin of the day;
    "friends": one job in four comes without looking at the others; "blind": nothing to do with the estimate; "soft":
    the dearer, the less likely, against a rival's middle. trouble: "now and then" a step takes twice to five times;
    "skew": own luck is exponential-like; "shared": now and then the whole job takes longer.
    """

    seed: int
    job_error: float
    step_error: float
    luck: float
    rival_error: float
    our_margin: float
    choosing: str
    trouble: str
    rivals: tuple[int, ...]
    steps: tuple[int, int] = (1, 7)
    nobody: float = 0.0
    biased: dict[str, float] = field(default_factory=dict[str, float])
    slow: dict[str, float] = field(default_factory=dict[str, float])


def floor(seed: int, **given: object) -> Floor:
    """A shop of its own kind for every seed. given: what is fixed beforehand."""
    rng = np.random.default_rng([seed, 11])
    stations = ["saw", "turn", "mill", "weld", "hand", "inspect"][: rng.integers(3, 7)]
    persons = ["ada", "ben", "cleo", "dov", "eli"][: rng.integers(1, 6)]
    error = float(rng.uniform(0.1, 0.4))
    kind: dict[str, object] = {
        "job_error": error,
        "step_error": float(rng.uniform(0.05, 0.3)),
        "luck": float(rng.uniform(0.05, 0.3)),
        "rival_error": error * float(rng.choice([1.0, 1.0, 0.6, 1.5])),
        "our_margin": float(rng.normal(0, 0.08)),
        "choosing": CHOOSING[rng.integers(len(CHOOSING))],
        "trouble": TROUBLE[rng.integers(len(TROUBLE))],
        "rivals": tuple(int(k) for k in rng.choice([0, 1, 1, 2, 2, 3, 4, 6], size=rng.integers(1, 6))),
        "nobody": float(rng.choice([0.0, 0.0, 0.15])),
        "biased": {name: float(rng.normal(0.05, 0.15)) for name in stations},
        "slow": {name: float(rng.normal(0, 0.12)) for name in persons},
    }
    return Floor(seed=seed, **(kind | given))  # type: ignore[arg-type]


def jobs(shop: Floor, stream: str, new_rivals: tuple[int, ...] | None = None) -> Iterator[Job]:
    """Jobs one after another, won and lost, without end. stream: another name, other jobs of the same shop."""
    rng = np.random.default_rng([shop.seed, *stream.encode()])
    stations, persons = list(shop.biased), list(shop.slow)
    number = 0
    while True:
        number += 1
        count = int(rng.integers(*shop.steps))
        at = [stations[i] for i in rng.integers(0, len(stations), count)]
        by = [persons[i] for i in rng.integers(0, len(persons), count)]
        true_s = np.exp(rng.normal(math.log(5400), 0.8, count))
        shared = rng.standard_normal() * shop.job_error
        estimate_s = true_s * np.exp(-np.array([shop.biased[s] for s in at]) - shared)
        estimate_s = estimate_s * np.exp(-shop.step_error * rng.standard_normal(count))
        k = int(rng.choice(new_rivals or shop.rivals))
        won = _won(shop, rng, estimate_s.sum() / true_s.sum(), k)
        actual_s = true_s * np.exp(np.array([shop.slow[p] for p in by]) + shop.luck * rng.standard_normal(count))
        actual_s = _troubled(shop.trouble, rng, actual_s)
        yield Job(
            f"{stream}-{number}",
            k,
            won,
            tuple(
                Done(str(n + 1), at[n], by[n], float(estimate_s[n]), max(1.0, round(float(actual_s[n]))))
                for n in range(count)
            ),
        )


def _won(shop: Floor, rng: np.random.Generator, ours: float, k: int) -> bool:
    """ours: our estimate over the true time."""
    if rng.random() < shop.nobody:
        return False
    rivals = np.exp(shop.rival_error * rng.standard_normal(k))
    ours = ours * math.exp(shop.our_margin)
    match shop.choosing:
        case "lowest":
            return bool(k == 0 or ours < rivals.min())
        case "noisy":
            return bool(k == 0 or ours * math.exp(rng.normal(0, 0.1)) < (rivals * np.exp(rng.normal(0, 0.1, k))).min())
        case "friends":
            return bool(k == 0 or rng.random() < 0.25 or ours < rivals.min())
        case "blind":
            return bool(rng.random() < 1 / (k + 1))
        case _:
            return bool(k == 0 or rng.random() < (1 / (1 + math.exp(math.log(ours) / 0.15))) ** k)


def _troubled(trouble: str, rng: np.random.Generator, actual_s: np.ndarray) -> np.ndarray:
    match trouble:
        case "now and then":
            return np.where(rng.random(len(actual_s)) < 0.04, actual_s * rng.uniform(2, 5, len(actual_s)), actual_s)
        case "skew":
            return actual_s * np.exp(0.25 * (rng.exponential(1, len(actual_s)) - 1))
        case "shared":
            return actual_s * (rng.uniform(1.3, 2.0) if rng.random() < 0.08 else 1.0)
        case _:
            return actual_s


def csv_of(quotes: list[Job], *, actual: bool) -> str:
    """The list as the contract writes it; lost quotes have no actual time."""
    head = "job,step,station,person,estimate_s,rivals,won" + (",actual_s" if actual else "")
    lines = [head]
    for job in quotes:
        for one in job.steps:
            line = f"{job.name},{one.step},{one.station},{one.person},{one.estimate_s:.1f},{job.rivals},{int(job.won)}"
            lines.append(line + (f",{one.actual_s if job.won else ''}" if actual else ""))
    return "\n".join(lines) + "\n"
