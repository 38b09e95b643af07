"""Hold points: what the checks in a program test, and where a check would pay.

A check that stands in the program tests what was cut before it since the last such check, by the tools that cut it. One
that only records stops nothing. Where checks pay is a dynamic programme over the boundaries between stretches: a failed
tool costs more with every stretch that cuts on after it, a check costs time, and none finds everything.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.program.night.stretches import cutting
from steadyrest.program.run import EventKind, Moves, Run
from steadyrest.shop.figure import Reason, because

FloatArray = npt.NDArray[np.float64]
# Beyond this many ways kept side by side the choice is the best of those kept, and says so.
MOST_WAYS = 20_000
# A probe's own radius and what the program leaves between the path and the surface.
TOUCH_MM = 2.0


@dataclass(frozen=True, slots=True)
class HoldPointFound:
    """A check in the program.

    line: of its call. after_tool: the tool that cut last before it; 0 if none did.
    tools: those whose work it tests: where the probe is seen to touch, the last that cut there; else all that cut since
    the last check that stops. stops: it has both limits, so it stops the machine outside them.
    probes: it touches the work, as far as the program shows. checks: what it tests, in words.
    """

    line: int
    after_tool: int
    tools: tuple[int, ...]
    stops: bool
    probes: bool
    checks: Reason


def found(run: Run, radius_mm: Mapping[int, float] | None = None, *, lathe: bool = False) -> tuple[HoldPointFound, ...]:
    """Every check in a run, once a line (a line that is repeated tests the same each time).

    Args:
        run: one execution.
        radius_mm: of tools by number, so that where the probe touches tells whose work it is.
        lathe: the work turns; what is touched is told from X and Z.
    Returns: checks in the order of their first call.
    """
    moves = run.moves
    cuts = cutting(run)
    seen: dict[int, HoldPointFound] = {}
    since = 0
    for event in run.events:
        if event.kind is not EventKind.HOLD_POINT:
            continue
        before = np.flatnonzero(cuts[: event.before])
        after = int(moves.tool[before[-1]]) if len(before) else 0
        window = moves.tool[since : event.before][cuts[since : event.before]]
        tools = tuple(dict.fromkeys(int(tool) for tool in window))
        probing = since + np.flatnonzero(moves.skip[since : event.before])
        stops = event.value > 0
        if event.line not in seen:
            touched = touched_tools(run, probing, cuts, radius_mm or {}, lathe=lathe)
            said = ", ".join(f"T{tool}" for tool in touched or tools)
            key = (
                "hold.records"
                if not stops
                else "hold.touches"
                if touched
                else "hold.stops"
                if tools
                else "hold.nothing"
            )
            seen[event.line] = HoldPointFound(
                event.line,
                after,
                touched or tools,
                stops,
                len(probing) > 0,
                because(key, tools=said, line=str(event.line)),
            )
        if stops:
            since = event.before
    return tuple(seen.values())


def touched_tools(
    run: Run,
    probing: npt.NDArray[np.int64],
    cuts: npt.NDArray[np.bool_],
    radius_mm: Mapping[int, float],
    *,
    lathe: bool,
) -> tuple[int, ...]:
    """The tools whose work is touched: for each touch the last one that cut within its own radius of that place.

    Args:
        run: one execution.
        probing: indices of the probing moves.
        cuts: (n,) which moves cut.
        radius_mm: of tools by number; 0 for one that is not there.
        lathe: the work turns.
    Returns: numbers, each once; empty where nothing is touched that was cut.
    """
    moves = run.moves
    across = (2, 0) if lathe else (0, 1)
    wide_mm = np.array([0.0 if lathe else radius_mm.get(int(tool), 0.0) for tool in moves.tool])
    touched: dict[int, None] = {}
    for touch in probing:
        which = np.flatnonzero(cuts[:touch])
        if not len(which):
            continue
        place = moves.end_mm[touch]
        near = away_mm(moves, which, place, across) <= wide_mm[which] + TOUCH_MM
        if not lathe:
            near &= np.minimum(moves.start_mm[which, 2], moves.end_mm[which, 2]) <= place[2] + TOUCH_MM
        if near.any():
            touched[int(moves.tool[which[np.flatnonzero(near)[-1]]])] = None
    return tuple(touched)


def away_mm(moves: Moves, which: npt.NDArray[np.int64], place: FloatArray, across: tuple[int, int]) -> FloatArray:
    """How far a place is from the path of some moves, seen along the third axis; an arc counts as its whole circle."""
    a, b = moves.start_mm[which][:, across], moves.end_mm[which][:, across]
    point = place[list(across)]
    way = b - a
    long = np.maximum((way**2).sum(axis=1), 1e-18)
    t = np.clip(((point - a) * way).sum(axis=1) / long, 0.0, 1.0)
    straight = np.hypot(*(a + t[:, None] * way - point).T)
    centre = moves.centre_mm[which][:, across]
    arc = np.abs(np.hypot(*(point - centre).T) - np.hypot(*(a - centre).T))
    return np.where(np.isnan(arc), straight, arc)


@dataclass(frozen=True, slots=True)
class Boundary:
    """A place between two stretches where a check could stand.

    check_s: what the check costs there, in seconds of machine time. catches: (n,) for each stretch before it, the
    chance that the check finds its tool failed; 0 for what it does not test. found_s: what a stop there costs, beyond
    the check (a part taken out, a morning's start), in the same seconds.
    """

    check_s: float
    catches: FloatArray
    found_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Checks:
    """Where to check. at: boundaries, boundary k standing after stretch k. cost_s: expected, checks and losses.

    without_s: the same with no check at all. exact: the best there is; else only the best of what was kept.
    """

    at: tuple[int, ...]
    cost_s: float
    without_s: float
    exact: bool


def where_it_pays(fails: FloatArray, on_s: FloatArray, boundaries: Sequence[Boundary], *, scrap_s: float) -> Checks:
    """Where checks pay: least expected seconds of checking, of cutting on after a failure, and of scrap.

    Args:
        fails: (n,) the chance that the tool of a stretch fails in it, given all was well before; small.
        on_s: (n,) what one stretch cut on after a failure costs: its time, and the tools it breaks.
        boundaries: (n,) the boundary after each stretch; the last one is after all is cut.
        scrap_s: what a failure costs that nothing found: the part, and those that follow.
    Returns: the boundaries to check at.
    Raises: ValueError: lengths differ.
    Source: forward dynamic programme; a way is dropped when another is no dearer and leaves no more unfound of any
        stretch, for the future costs of unfound failures only grow with them.
    """
    n = len(fails)
    if len(on_s) != n or len(boundaries) != n:
        raise ValueError(f"where_it_pays: {n} chances, {len(on_s)} costs, {len(boundaries)} boundaries")
    well = np.concatenate([[1.0], np.cumprod(1.0 - fails)])
    # A way: boundaries checked, cost so far, chance of a failure unfound by stretch.
    ways: list[tuple[tuple[int, ...], float, FloatArray]] = [((), 0.0, np.zeros(n))]
    exact = True
    for k in range(n):
        grown: list[tuple[tuple[int, ...], float, FloatArray]] = []
        for at, cost_s, unfound in ways:
            cost_s = cost_s + float(unfound.sum()) * float(on_s[k])
            unfound = unfound.copy()
            unfound[k] = well[k] * fails[k]
            grown.append((at, cost_s, unfound))
            place = boundaries[k]
            caught = unfound * place.catches
            running = float(well[k + 1] + unfound.sum())
            checked_s = cost_s + running * place.check_s + float(caught.sum()) * place.found_s
            grown.append(((*at, k), checked_s, unfound - caught))
        ways, kept_all = not_worse(grown)
        exact = exact and kept_all
    ends = [(cost_s + float(unfound.sum()) * scrap_s, at) for at, cost_s, unfound in ways]
    cost_s, at = min(ends, key=lambda end: (end[0], len(end[1]), end[1]))
    return Checks(at, cost_s, expected_cost((), fails, on_s, boundaries, scrap_s=scrap_s), exact)


def not_worse(
    ways: list[tuple[tuple[int, ...], float, FloatArray]],
) -> tuple[list[tuple[tuple[int, ...], float, FloatArray]], bool]:
    """The ways that no other beats in cost and in everything unfound; and whether all of those were kept."""
    ways = sorted(ways, key=lambda way: (way[1], float(way[2].sum()), way[0]))
    kept: list[tuple[tuple[int, ...], float, FloatArray]] = []
    unfound = np.empty((len(ways), len(ways[0][2])))
    for way in ways:
        # Sorted by cost: only cheaper ones can beat this.
        if len(kept) and bool((unfound[: len(kept)] <= way[2]).all(axis=1).any()):
            continue
        if len(kept) == MOST_WAYS:
            return kept, False
        unfound[len(kept)] = way[2]
        kept.append(way)
    return kept, True


def expected_cost(
    at: Sequence[int], fails: FloatArray, on_s: FloatArray, boundaries: Sequence[Boundary], *, scrap_s: float
) -> float:
    """What a given choice of checks costs.

    Args:
        at: boundaries checked.
        fails, on_s, boundaries, scrap_s: as in `where_it_pays`.
    Returns: expected seconds.
    """
    well, cost_s = 1.0, 0.0
    unfound = np.zeros(len(fails))
    for k in range(len(fails)):
        cost_s += float(unfound.sum()) * float(on_s[k])
        unfound[k] = well * fails[k]
        well *= 1.0 - float(fails[k])
        if k in at:
            place = boundaries[k]
            caught = unfound * place.catches
            cost_s += (well + float(unfound.sum())) * place.check_s + float(caught.sum()) * place.found_s
            unfound = unfound - caught
    return cost_s + float(unfound.sum()) * scrap_s
