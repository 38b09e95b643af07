"""When a person can do a phase: inside their hours, around what is already given to them."""

from __future__ import annotations

import numpy as np

from steadyrest.compiled import loop
from steadyrest.promise.week import IntArray
from steadyrest.shop.draws import FloatArray

SMALL_S = 1e-6


@loop()
def after(ends: FloatArray, count: int, t: float) -> int:
    """The first of `count` rising ends that lies after t; count where none does."""
    low, high = 0, count
    while low < high:
        middle = (low + high) // 2
        if ends[middle] > t:
            high = middle
        else:
            low = middle + 1
    return low


@loop()
def stretch_at(here_at: IntArray, cell_s: float, here_to: FloatArray, here: int, t: float) -> int:
    """The first stretch that ends after t >= 0, looked up; `here` where none does."""
    s = int(here_at[min(int(min(t / cell_s, 1e9)), here_at.size - 1)])
    while s < here and here_to[s] <= t:
        s += 1
    return s


@loop(inner=True)
def _busy_at(busy_to: FloatArray, busy: int, t: float) -> int:
    """As `after`, soonest where t is near the end: most work is put behind what there is."""
    if busy == 0 or busy_to[busy - 1] <= t:
        return busy
    if busy == 1 or busy_to[busy - 2] <= t:
        return busy - 1
    return int(after(busy_to, busy, t))


@loop(inner=True)
def at_a_stretch(
    s: int, here_from: FloatArray, here_to: FloatArray, here: int, busy_from: FloatArray, busy_to: FloatArray,
    busy: int, t: float, takes: float,
) -> float:  # fmt: skip
    """The earliest begin from t on, in stretch s or later, of `takes` seconds at a stretch and free; inf: never."""
    b = int(_busy_at(busy_to, busy, t))
    while s < here:
        t = max(t, here_from[s])
        while b < busy and busy_to[b] <= t:
            b += 1
        while b < busy and busy_from[b] < t + takes and t + takes <= here_to[s] + SMALL_S:
            t = max(t, busy_to[b])
            b += 1
        if t + takes <= here_to[s] + SMALL_S and t < here_to[s]:
            return t
        s += 1
        while s < here and here_to[s] <= t:
            s += 1
    return np.inf


@loop(inner=True)
def worked_off(here_from: FloatArray, here_to: FloatArray, here: int, s: int, t: float, takes: float) -> float:
    """When `takes` seconds begun at t in stretch s are over, pausing between stretches; inf: never."""
    left = takes - (here_to[s] - t)
    if left <= SMALL_S:
        return t + takes
    for k in range(s + 1, here):
        room = here_to[k] - here_from[k]
        if left <= room + SMALL_S:
            return here_from[k] + left
        left -= room
    return np.inf


@loop(inner=True)
def with_pauses(
    s: int, here_from: FloatArray, here_to: FloatArray, here: int, busy_from: FloatArray, busy_to: FloatArray,
    busy: int, t: float, takes: float,
) -> tuple[float, float]:  # fmt: skip
    """The earliest begin from t on, in stretch s or later, of work that pauses between stretches with nothing else in
    between, and its end."""
    b = int(_busy_at(busy_to, busy, t))
    while s < here:
        t = max(t, here_from[s])
        end = worked_off(here_from, here_to, here, s, t, takes)
        if end == np.inf:
            return np.inf, np.inf
        while b < busy and busy_to[b] <= t:
            b += 1
        if b == busy or busy_from[b] >= end:
            return t, end
        t = busy_to[b]
        b += 1
        while s < here and here_to[s] <= t:
            s += 1
    return np.inf, np.inf


@loop(inner=True)
def begun_to_end_at(here_from: FloatArray, here_to: FloatArray, here: int, end: float, takes: float) -> float:
    """The latest begin of work with pauses that still ends at `end` or after it; end - takes where hours do not say."""
    s = int(after(here_to, here, end - SMALL_S))
    if s == here:
        return end - takes
    # Where nobody is in at `end`, a second of the work is left for when they next are.
    end, left = max(end, here_from[s] + min(1.0, takes)), takes
    while s >= 0:
        if end - left >= here_from[s]:
            return end - left
        left -= end - here_from[s]
        s -= 1
        end = here_to[s] if s >= 0 else 0.0
    return end - left
