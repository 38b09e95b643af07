"""What a canned cycle does at one hole, step by step along its axis.

Sequences by NISTIR 6556 (G81 to G89); the way back in between of a peck by the machine's own clearance. G73, G74 and
G76 are common practice without an open source. Levels are coordinates along the drilling axis.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

# A peck as fine as this is a slip of the decimal point.
MOST_PECKS = 10_000
_DWELLS = ("drill and dwell", "bore, stop, rapid out", "bore, stop, by hand out", "bore, dwell, feed out")


@dataclass(frozen=True, slots=True)
class Step:
    """One step: a move to a level, sideways by `shift_mm` from the hole; or a dwell, or a wait for somebody."""

    kind: Literal["rapid", "feed", "dwell", "wait"]
    level: float
    shift_mm: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Hole:
    """One hole of a cycle. near: R. bottom: Z. back_to: where it ends, R or the first level. q_mm: peck or side step.

    clear_mm: how far above the last depth a full peck comes down in rapid. break_mm: how far a short one draws back.
    """

    near: float
    bottom: float
    back_to: float
    q_mm: float = 0.0
    dwell: bool = False
    clear_mm: float = 0.0
    break_mm: float = 0.0
    shift_mm: tuple[float, float] = (0.0, 0.0)
    back: float = 0.0


def steps(does: str, hole: Hole) -> Iterator[Step]:
    """The steps of a cycle at one hole, from above it at the level it came in.

    Args:
        does: what the cycle's word means, as in tables/data/nc_words.csv. hole: its levels.
    Returns: each step in order.
    Raises: ValueError: no such cycle.
    Source: nist-rs274-ngc, canned cycles. Checked in tests/program/test_cycles.py.
    """
    if does == "back bore":
        yield from _back_bore(hole)
        return
    yield Step("rapid", hole.near)
    if does in ("peck", "peck, break chips") and hole.q_mm > 0.0:
        yield from _pecks(hole, full=does == "peck")
    else:
        yield Step("feed", hole.bottom)
    if hole.dwell and does in _DWELLS:
        yield Step("dwell", hole.bottom)
    if does in ("tap", "tap, left hand", "bore, feed out", "bore, dwell, feed out"):
        yield Step("feed", hole.near)
    elif does == "bore, stop, by hand out":
        yield Step("wait", hole.bottom)
    elif does == "bore, shift, rapid out":
        aside = (hole.q_mm, 0.0)
        yield Step("rapid", hole.bottom, aside)
        yield Step("rapid", hole.back_to, aside)
    elif does not in ("drill", "drill and dwell", "peck", "peck, break chips", "bore, stop, rapid out"):
        raise ValueError(f"steps: no cycle {does!r}")
    yield Step("rapid", hole.back_to)


def _pecks(hole: Hole, full: bool) -> Iterator[Step]:
    down = math.copysign(1.0, hole.bottom - hole.near)
    depth = abs(hole.bottom - hole.near)
    count = min(max(1, math.ceil(depth / hole.q_mm - 1e-9)), MOST_PECKS)
    for k in range(1, count):
        reached = hole.near + down * k * hole.q_mm
        yield Step("feed", reached)
        if full:
            yield Step("rapid", hole.near)
            yield Step("rapid", hole.near + down * max(0.0, k * hole.q_mm - hole.clear_mm))
        else:
            yield Step("rapid", reached - down * min(hole.break_mm, k * hole.q_mm))
    yield Step("feed", hole.bottom)


def _back_bore(hole: Hole) -> Iterator[Step]:
    yield Step("rapid", hole.near)
    yield Step("rapid", hole.near, hole.shift_mm)
    yield Step("rapid", hole.bottom, hole.shift_mm)
    yield Step("rapid", hole.bottom)
    yield Step("feed", hole.back)
    yield Step("feed", hole.bottom)
    yield Step("rapid", hole.bottom, hole.shift_mm)
    yield Step("rapid", hole.back_to, hole.shift_mm)
    yield Step("rapid", hole.back_to)
