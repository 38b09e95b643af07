"""A bar that is pulled on: every later part meets the blank anew, as the first one did.

Most parts of a bar are cut by the very same moves; those are cut once, and what they met is written down for each.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Literal

import numpy as np

from steadyrest.program.removal.blank import Blank
from steadyrest.program.removal.meet import meet
from steadyrest.program.removal.met import Met, ToolMet
from steadyrest.program.removal.tool_shape import ToolShape
from steadyrest.program.run import Moves

ROWS = (
    "removed_mm3", "engaged", "depth_mm", "width_mm", "rate_mm3_min", "rapid_mm", "holder_mm", "dead", "fallen_mm3",
    "unmet",
)  # fmt: skip


def meet_each(
    moves: Moves,
    ends: Sequence[int],
    blank: Blank,
    tools: Mapping[int, ToolShape],
    *,
    machine: Literal["mill", "lathe"],
    breaks: Sequence[int] = (),
    stop: Callable[[], bool] = lambda: False,
    progress: Callable[[float], None] = lambda _: None,
) -> Met:
    """What a run of several parts does to as many blanks.

    Args:
        moves: of the run.
        ends: moves before which a new part begins, rising; empty: all is one part.
        blank: of each part, in work coordinates.
        tools: shapes by number.
        machine, breaks, stop, progress: as for meet.
    Returns: what was met, a row for each move of the run; blank and what is left are those of one part.
    Raises: InterruptedError: stop said so.
    """
    n = len(moves)
    edges = sorted({0, n, *(end for end in ends if 0 < end < n)})
    met: list[Met] = []
    before: tuple[Moves, tuple[int, ...]] | None = None
    for first, end in pairwise(edges):
        own = Moves(*(getattr(moves, name)[first:end] for name in Moves.__slots__))
        its = tuple(b - first for b in breaks if first < b < end)
        if before is not None and its == before[1] and _same(own, before[0]):
            met.append(met[-1])
            continue

        def told(share: float, first: int = first, end: int = end) -> None:
            progress((first + share * (end - first)) / n)

        met.append(meet(own, blank, tools, machine=machine, breaks=its, stop=stop, progress=told))
        before = (own, its)
    return met[0] if len(met) == 1 else _joined(met, edges)


def _same(one: Moves, other: Moves) -> bool:
    """Whether two parts are cut alike; the first move comes from wherever the part before ended."""
    if len(one) != len(other):
        return False
    names = (name for name in Moves.__slots__ if name != "line")
    return all(
        np.array_equal(getattr(one, name)[1:], getattr(other, name)[1:], equal_nan=True) for name in names
    ) and np.array_equal(one.start_mm[:1], other.start_mm[:1])


def _joined(met: Sequence[Met], edges: Sequence[int]) -> Met:
    """The parts one after the other."""
    rows = {name: np.concatenate([getattr(one, name) for one in met]) for name in ROWS}
    for row in rows.values():
        row.setflags(write=False)
    stretches, follows = [], []
    for first, one in zip(edges, met, strict=False):
        base = len(stretches)
        stretches += [replace(s, first=s.first + first, end=s.end + first) for s in one.stretches]
        follows += [
            replace(f, stretch=f.stretch + base, after=f.after + base, move=f.move + first) for f in one.follows
        ]
    return replace(
        met[-1], **rows, stretches=tuple(stretches), follows=tuple(follows), tools=_tools(met), zero_mm=met[0].zero_mm
    )


def _tools(met: Sequence[Met]) -> tuple[ToolMet, ...]:
    by_number: dict[int, ToolMet] = {}
    for tool in (tool for one in met for tool in one.tools):
        so_far = by_number.get(tool.number)
        by_number[tool.number] = (
            tool
            if so_far is None
            else ToolMet(
                number=tool.number,
                known=tool.known,
                removed_mm3=so_far.removed_mm3 + tool.removed_mm3,
                engaged_moves=so_far.engaged_moves + tool.engaged_moves,
                depth_mm=max(so_far.depth_mm, tool.depth_mm),
                width_mm=max(so_far.width_mm, tool.width_mm),
                rate_mm3_min=max(so_far.rate_mm3_min, tool.rate_mm3_min),
            )
        )
    return tuple(by_number[number] for number in sorted(by_number))
