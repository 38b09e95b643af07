"""Which check would catch a broken or worn tool, and where one more would pay, on the average of a run.

Two checks are offered after each stretch: touching the tool off, which finds it broken and tests no other; and
measuring what it cut, which finds it worn too. Checks that the program has already are taken as they stand.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from steadyrest.program.checks.hold_points import Boundary, HoldPointFound, expected_cost, where_it_pays
from steadyrest.program.checks.reliance import Reliance, lost_with
from steadyrest.program.night.stretches import Stretch
from steadyrest.program.night.survival import Edge
from steadyrest.shop.figure import Reason, because
from steadyrest.tables.leaving import alone_figure

# More stretches in one part than this: the likeliest to fail are looked at, the rest left out and said.
MOST_STRETCHES = 24


@dataclass(frozen=True, slots=True)
class Advised:
    """A check that would pay. after_line: where the stretch before it begins. kind: "touch off" or "size".

    saves_s: expected seconds a part that all advised checks save together.
    """

    tool: int
    after_line: int
    kind: str
    saves_s: float
    said: Reason


def advised(
    stretches: Sequence[Stretch],
    edges: Mapping[int, Edge],
    there: Sequence[HoldPointFound],
    reliances: Sequence[Reliance] = (),
) -> tuple[Advised, ...]:
    """Checks that would pay in each part, beyond those that the program has.

    Args:
        stretches: of the whole run.
        edges: tools by number.
        there: checks that the program has.
        reliances: which stretch of a part relies on which, from the material met; those that break with another cost
            their cutting time too.
    Returns: checks in the order of the program; empty if none pays.
    """
    part = [one for one in stretches if one.part == 0 and one.tool in edges][:MOST_STRETCHES]
    if not part:
        return ()
    parts = 1 + max(one.part for one in stretches)
    run_s = max(one.ends_s for one in stretches)
    cut_s = {tool: sum(one.cut_s for one in stretches if one.tool == tool) for tool in edges}
    fails = np.array([chance(one, edges[one.tool], cut_s[one.tool], parts) for one in part])
    on_s = np.array([one.ends_s - one.begins_s for one in part])
    for k in range(len(part)):
        on_s[k] += sum(part[j].cut_s for j in lost_with(k, reliances) if j < len(part))
    kinds = [better_kind(part, k) for k in range(len(part))]
    stops = [line for one in there if one.stops for line in (one.line,)]
    boundaries: list[Boundary] = []
    already: list[int] = []
    for k, (kind, catches) in enumerate(kinds):
        after = part[k + 1].line if k + 1 < len(part) else max((*stops, part[k].line)) + 1
        has = any(part[k].line < line <= after for line in stops)
        if has:
            already.append(k)
        boundaries.append(Boundary(0.0 if has else alone_figure(f"{kind}_s"), catches))
    # Until somebody comes, half of what is left of the run is scrap on the average.
    scrap_s = 0.5 * run_s
    best = where_it_pays(fails, on_s, boundaries, scrap_s=scrap_s)
    as_it_is = expected_cost(already, fails, on_s, boundaries, scrap_s=scrap_s)
    saves_s = as_it_is - best.cost_s
    return tuple(
        Advised(
            part[k].tool,
            part[k].line,
            kinds[k][0],
            saves_s,
            because(f"hold.pays_{kinds[k][0]}", tool=f"T{part[k].tool}", line=str(part[k].line)),
        )
        for k in best.at
        if k not in already and saves_s > 0
    )


def chance(one: Stretch, edge: Edge, cut_s: float, parts: int) -> float:
    """The chance that a tool fails in this stretch of one part, on the average over the run."""
    fails = 1.0 - edge.life.survives(edge.used_s, cut_s)
    return fails * one.cut_s * parts / cut_s / parts


def better_kind(part: Sequence[Stretch], k: int) -> tuple[str, np.ndarray[tuple[int], np.dtype[np.float64]]]:
    """The check after stretch k that finds more of what its tool may have done, and what it finds of each stretch."""
    own = np.array([float(one.tool == part[k].tool and j <= k) for j, one in enumerate(part)])
    broken = alone_figure("broken_hundredths")
    options = [
        (
            broken * alone_figure(f"{kind}_catch_hundredths") + (1 - broken) * alone_figure(f"{kind}_worn_hundredths"),
            kind,
        )
        for kind in ("touch_off", "size")
    ]
    # The cheaper one where both find about the same; a second costs less than a tenth of what goes unfound.
    finds, kind = max(options, key=lambda option: (option[0] - 0.001 * alone_figure(f"{option[1]}_s"), option[1]))
    return kind, own * finds
