"""Drawing habits: reads habits.toml, and gives every candidate size its prior weight under each habit.

Weights are per mm of size: a habit that uses whole millimetres only puts weight 1 on each whole millimetre, one that
follows no rule has density 1 everywhere. So habits of different fineness compare fairly.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources
from itertools import pairwise

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
INCH_MM = 25.4
EXACT_MM = 1e-6


@dataclass(frozen=True, slots=True)
class System:
    """One habit of a drawing.

    steps: (step in mm, share), coarse to fine. preferred: share of preferred numbers. strays: (other habit, share).
    halves: the habits that a mixed one is made of.
    """

    name: str
    unit: str
    source: str
    share: float
    free: float
    strays: tuple[tuple[str, float], ...]
    preferred: float
    steps: tuple[tuple[float, float], ...]
    halves: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Habits:
    """All of habits.toml; every table besides the systems as plain numbers by name.

    together: (s, s) how often what is across follows the first habit and the lengths the second. own_way: share of
    single lengths that follow a mixed habit. free_length: of those that follow none, under any habit. repeats, drills:
    plain numbers by name; drill_steps: by "mm" and "in", as a habit whose steps are mm.
    second_choice_mm: metric bolts that are rare.
    worse: share of single sizes that are made or seen worse than the rest of the part, and how many times.
    """

    systems: tuple[System, ...]
    standard: dict[str, float]
    scan: dict[str, float]
    wear: dict[str, float]
    made: tuple[tuple[float, float], ...]
    length_times: float
    worse: tuple[float, float]
    together: FloatArray
    own_way: float
    free_length: float
    repeats: dict[str, float]
    drills: dict[str, float]
    drill_steps: dict[str, System]
    second_choice_mm: frozenset[float]
    angle: System
    angle_made_deg: float


@cache
def habits() -> Habits:
    """The habits as read from habits.toml, steps in mm."""
    text = (resources.files("steadyrest.part.nominal") / "habits.toml").read_text(encoding="utf-8")
    raw = tomllib.loads(text)
    systems: list[System] = []
    for name, row in raw["system"].items():
        unit = row.get("unit", "")
        scale = INCH_MM if unit == "in" else 1.0
        systems.append(
            System(
                name=name,
                unit=unit,
                source=row.get("source", ""),
                share=row["share"],
                free=row["free"],
                strays=tuple((other, share) for other, share in row.get("strays", [])),
                preferred=row.get("preferred", 0.0),
                steps=tuple((step * scale, share) for step, share in row.get("steps", [])),
                halves=tuple(row.get("halves", [])),
            )
        )
    made = raw["made"]
    return Habits(
        systems=tuple(systems),
        standard=raw["standard"],
        scan=raw["scan"],
        wear=raw["wear"],
        made=tuple((sd, share) for sd, share in made["sd_mm"]),
        length_times=made["length_times"],
        worse=(made["worse_share"], made["worse_times"]),
        together=together(systems, raw["lengths"]),
        own_way=raw["lengths"]["own_way"],
        free_length=raw["lengths"]["free"],
        repeats=raw["repeats"],
        drills={name: value for name, value in raw["drills"].items() if isinstance(value, float)},
        drill_steps={unit: stepped("drill", unit, raw["drills"][f"steps_{unit}"]) for unit in ("mm", "in")},
        second_choice_mm=frozenset(raw["bolts"]["second_choice_mm"]),
        angle=stepped("angle", "deg", raw["angle"]["steps_deg"], free=raw["angle"]["free"]),
        angle_made_deg=raw["angle"]["made_deg"],
    )


def stepped(name: str, unit: str, steps: list[list[float]], *, free: float = 0.0) -> System:
    """A rule with steps and nothing else; steps in inches become mm."""
    scale = INCH_MM if unit == "in" else 1.0
    return System(name, unit, name, 1.0, free, (), 0.0, tuple((step * scale, share) for step, share in steps), ())


def together(systems: list[System], lengths: dict[str, float]) -> FloatArray:
    """(s, s) prior of the habit of what is across and of that of the lengths: mostly the same, else any."""
    shares = np.array([system.share for system in systems])
    shares /= shares.sum()
    free = np.array([not system.steps and not system.halves for system in systems])
    ruled = np.where(free, 0.0, shares)
    apart = np.where(free, lengths["apart_free"] / free.sum(), (1 - lengths["apart_free"]) * ruled / ruled.sum())
    return shares[:, None] * ((1 - lengths["apart"]) * np.eye(len(systems)) + lengths["apart"] * apart[None, :])


def grid_weights(system: System, *, low_mm: float, high_mm: float, size_mm: float) -> dict[float, float]:
    """Weight of every round size between two bounds, by the steps of one habit.

    Args:
        system: the habit; one with steps.
        low_mm: from.
        high_mm: to.
        size_mm: about how large the size is; steps too coarse for it are left out.
    Returns: size in mm (rounded to 1e-6) to its weight; empty if the habit has no steps.
    """
    usable = [(step, share) for step, share in system.steps if step <= size_mm / 1.5]
    if not usable:
        usable = list(system.steps[-1:])
    total = sum(share for _, share in usable)
    weights: dict[float, float] = {}
    coarser_per_mm = 0.0
    for step, share in usable:
        per_mm = 1.0 / step
        weight = share / total / (per_mm - coarser_per_mm)
        if (high_mm - low_mm) * per_mm < 400:
            for k in range(int(np.ceil(low_mm / step)), int(np.floor(high_mm / step)) + 1):
                value = round(k * step, 6)
                if value > 0 and value not in weights:
                    weights[value] = weight
        coarser_per_mm = per_mm
    return weights


def list_weights(values_mm: tuple[float, ...], *, low_mm: float, high_mm: float) -> dict[float, float]:
    """Weight of every size of a standard list between two bounds: the room that it has among its neighbours.

    Args:
        values_mm: the list, rising.
        low_mm: from.
        high_mm: to.
    Returns: size to weight, mm.
    """
    if len(values_mm) < 2:
        return {}
    gaps = [b - a for a, b in pairwise(values_mm)]
    rooms = [gaps[0], *((a + b) / 2 for a, b in pairwise(gaps)), gaps[-1]]
    return {v: room for v, room in zip(values_mm, rooms, strict=True) if low_mm <= v <= high_mm}
