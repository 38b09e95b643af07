"""Which tool relies on which: by the material that one leaves for another when it is missing.

Each stretch sweeps a lowest surface (a height over a plane, one set-up direction). If an earlier stretch had cut
nothing, because its tool was broken, a later one would meet what that left: a drill without its pilot, a finisher in
uncut stock. How much it would meet is how much it relies on the earlier one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from steadyrest.program.removal.blank import Blank
from steadyrest.program.removal.meet import Met, meet
from steadyrest.program.removal.tool_shape import ToolShape
from steadyrest.program.run import Moves

FloatArray = npt.NDArray[np.float64]
LEAST_MM3 = 1.0
MOST_STRETCHES = 16  # each is another cut through the whole blank


@dataclass(frozen=True, slots=True)
class Reliance:
    """A stretch that would meet what another left. met_mm3: the material; deepest_mm: where most of it stands.

    later, earlier: places in the order of stretches. share: of what the later one then cuts, how much is not its own.
    """

    later: int
    earlier: int
    met_mm3: float
    deepest_mm: float
    share: float


@dataclass(frozen=True, slots=True)
class MetReliance:
    """The same by tools: what the later one meets more when the earlier one cut nothing, and its share of the work.

    later_first, earlier_first: the first move of either stretch.
    """

    later: int
    earlier: int
    later_first: int
    earlier_first: int
    met_mm3: float
    share: float


def reliances(
    stock_mm: FloatArray, swept_mm: Sequence[FloatArray], *, cell_mm2: float, least_mm3: float = LEAST_MM3
) -> tuple[Reliance, ...]:
    """Which stretch relies on which, each earlier one missing by itself.

    Args:
        stock_mm: (...) heights of the blank over the plane's cells.
        swept_mm: for each stretch, in order, (...) the lowest height that its tool sweeps; inf where it never is.
        cell_mm2: area of a cell.
        least_mm3: less than this is no reliance.
    Returns: reliances, by later and then earlier stretch.
    """
    found: list[Reliance] = []
    tops = surfaces(stock_mm, swept_mm)
    for later in range(1, len(swept_mm)):
        swept = swept_mm[later]
        reach = np.isfinite(swept)
        if not reach.any():
            continue
        own = np.maximum(0.0, tops[later][reach] - swept[reach])
        # What all but one of the earlier ones leave, from both sides: O(n) surfaces for each later stretch.
        left = [stock_mm[reach]]
        for k in range(later):
            left.append(np.minimum(left[-1], swept_mm[k][reach]))
        right = np.full(int(reach.sum()), np.inf)
        for earlier in reversed(range(later)):
            without = np.minimum(left[earlier], right)
            right = np.minimum(right, swept_mm[earlier][reach])
            meets = np.maximum(0.0, without - swept[reach]) - own
            met_mm3 = float(meets.sum()) * cell_mm2
            if met_mm3 >= least_mm3:
                whole = met_mm3 + float(own.sum()) * cell_mm2
                found.append(Reliance(later, earlier, met_mm3, float(meets.max()), met_mm3 / whole))
    return tuple(sorted(found, key=lambda one: (one.later, one.earlier)))


def surfaces(stock_mm: FloatArray, swept_mm: Sequence[FloatArray]) -> list[FloatArray]:
    """The surface before each stretch, and after the last."""
    found = [stock_mm]
    for swept in swept_mm:
        found.append(np.minimum(found[-1], swept))
    return found


def made_by(stock_mm: FloatArray, swept_mm: Sequence[FloatArray]) -> npt.NDArray[np.int64]:
    """Which stretch made the surface that is left in each cell.

    Args:
        stock_mm: (...) heights of the blank.
        swept_mm: for each stretch the lowest height that its tool sweeps; inf where it never is.
    Returns: (...) place in the order of stretches; -1 where the blank still stands.
    """
    maker = np.full(stock_mm.shape, -1, dtype=np.int64)
    top = stock_mm.copy()
    for k, swept in enumerate(swept_mm):
        lower = swept < top
        maker[lower] = k
        top = np.where(lower, swept, top)
    return maker


def lost_with(failed: int, found: Sequence[Reliance], *, share: float = 0.5) -> tuple[int, ...]:
    """The later stretches whose tools are in danger when one fails: they meet mostly what it left, or rely on such.

    Args:
        failed: the stretch whose tool broke.
        found: reliances.
        share: from which share of foreign material on a tool counts as in danger.
    Returns: stretches in order.
    """
    lost = {failed}
    for one in sorted(found, key=lambda one: one.later):
        if one.earlier in lost and one.share >= share:
            lost.add(one.later)
    return tuple(sorted(lost - {failed}))


def reliances_met(
    moves: Moves,
    blank: Blank,
    tools: Mapping[int, ToolShape],
    *,
    machine: Literal["mill", "lathe"],
    breaks: Sequence[int] = (),
    end: int | None = None,
    resolution_mm: float | None = None,
    stop: Callable[[], bool] = lambda: False,
) -> tuple[MetReliance, ...]:
    """Which stretch relies on which, by cutting the blank again with each earlier one missing.

    Args:
        moves: of a run, in machine coordinates.
        blank: as the stock model takes it.
        tools: shapes by number.
        machine: "mill" or "lathe".
        breaks: numbers of moves at which a stretch ends though the tool stays.
        end: only the moves before this one, such as the first part of a bar; None for all.
        resolution_mm: side of a cell; None takes what the blank affords.
        stop: asked now and then.
    Returns: reliances, by later and then earlier stretch; only the first stretches of a long run are tried.
    Raises: InterruptedError: stop said so.
    """
    whole = some(moves, np.arange(len(moves) if end is None else end))

    def cut(some_moves: Moves, inner: Sequence[int]) -> Met:
        return meet(some_moves, blank, tools, machine=machine, resolution_mm=resolution_mm, breaks=inner, stop=stop)

    met = cut(whole, [at for at in breaks if at < len(whole)])
    found: list[MetReliance] = []
    stretches = met.stretches[:MOST_STRETCHES]
    for earlier in stretches[:-1]:
        if earlier.removed_mm3 <= LEAST_MM3:
            continue
        left = np.concatenate([np.arange(earlier.first), np.arange(earlier.end, len(whole))])
        without = cut(some(whole, left), ())
        removed = np.zeros(len(whole))
        removed[left] = without.removed_mm3
        for later in stretches:
            more = float(removed[later.first : later.end].sum()) - later.removed_mm3
            if later.first > earlier.first and more > LEAST_MM3:
                share = more / (more + later.removed_mm3)
                found.append(MetReliance(later.tool, earlier.tool, later.first, earlier.first, more, share))
    return tuple(sorted(found, key=lambda one: (one.later_first, one.earlier_first)))


def some(moves: Moves, which: npt.NDArray[np.int64]) -> Moves:
    """Only these moves of a run."""
    return Moves(*(getattr(moves, name)[which] for name in Moves.__slots__))
