"""The nest answered: where every part goes, what found no place, and what is left of the plate in one piece.

Rough outlines find the arrangement, exact ones finish it; exact polygons judge it before it is handed out.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from steadyrest.shop.figure import Reason, because
from steadyrest.stock.nesting.beforehand import area_there, areas_taken, fits_alone
from steadyrest.stock.nesting.floor import Ground, ground
from steadyrest.stock.nesting.judged import closest, faults, left_beyond
from steadyrest.stock.nesting.near import Floats
from steadyrest.stock.nesting.pieces import polygon
from steadyrest.stock.nesting.search import Search, Told, silent
from steadyrest.stock.nesting.wanted import Left, NestPart, NestPlan, NestWanted, NotPlaced, Placed

ROUGH = 0.004
TRIES = 60
ROUNDS, FINE_ROUNDS, TOGETHER_ROUNDS, FEWER_ROUNDS = 1500, 250, 240, 60
SHARE_FOR_ALL = 0.75
NEARLY = 0.05
FULL = 0.95


def nest(
    wanted: NestWanted,
    left_s: Callable[[], float],
    *,
    seed: int = 0,
    told: Told = silent,
    rounds: int = TOGETHER_ROUNDS,
) -> NestPlan:
    """Where every part goes.

    Args:
        wanted: parts, plate, what is kept clear.
        left_s: seconds left; 0 or less: stop with the best so far.
        seed: of the luck. told: what is being done, and how much is lacking.
        rounds: so many are spent on pushing together what is placed.
    Returns: a nest in which nothing stands too near; the same for the same seed if the time was enough.
    """
    fitting = tuple(part for part in wanted.parts if part.count and fits_alone(wanted, part))
    never = tuple(part for part in wanted.parts if part.count and part not in fitting)
    doubts = [because("nest.never_fits", part=part.id) for part in never]
    lacking = {part.id: part.count for part in never}
    if not fitting:
        return _answer(wanted, (), lacking, None, doubts)
    some = replace(wanted, parts=fitting)
    exact = Search(ground(some), seed, told)
    rough = Search(ground(some, ROUGH * _size(wanted)), seed, told)
    wanted_mm2, has_mm2 = areas_taken(some), area_there(some)
    out = _too_much(exact, wanted_mm2, has_mm2)
    rough.ground.floor.active[:] = exact.ground.floor.active
    if out:
        doubts.append(because("nest.more_area", wanted_mm2=float(wanted_mm2.sum()), has_mm2=has_mm2))
    if not _all_placed(exact, rough, left_s) or out:
        _some_placed(exact, out, left_s)
    left = _together(exact, left_s, wanted, rounds) if exact.ground.floor.active.any() else None
    placed = _sound(wanted, exact)
    for part in some.parts:
        count = part.count - sum(one.part is part for one in placed)
        if count:
            lacking[part.id] = count
    if len(placed) < len(exact.areas) and not out:
        doubts.append(because("nest.perhaps_more"))
    return _answer(wanted, placed, lacking, left, doubts)


def _size(wanted: NestWanted) -> float:
    """The lesser side of the median part's box, mm."""
    boxes = [polygon(part.outline_mm).bounds for part in wanted.parts for _ in range(part.count)]
    return float(np.median([min(x1 - x0, y1 - y0) for x0, y0, x1, y1 in boxes]))


def make_ready() -> None:
    """Nest two squares, so that everything is compiled before the time begins to count."""
    square = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
    plate = ((0.0, 0.0), (30.0, 0.0), (30.0, 15.0), (0.0, 15.0))
    nest(NestWanted((NestPart("A", 2, square),), plate, (), 1.0, 1.0, 0.0, (0.0,), False), lambda: 1.0)


def _too_much(exact: Search, wanted_mm2: Floats, has_mm2: float) -> list[int]:
    """Parts left out from the beginning since the plate has not that much area: as little of them as may be."""
    out, taken = list[int](), 0.0
    if wanted_mm2.sum() <= has_mm2:
        return out
    for part in np.argsort(-wanted_mm2, kind="stable").tolist():
        if taken + wanted_mm2[part] > FULL * has_mm2:
            exact.drop(part)
            out.append(part)
        else:
            taken += float(wanted_mm2[part])
    return out


def _all_placed(exact: Search, rough: Search, left_s: Callable[[], float]) -> bool:
    """All parts, from several beginnings. Returns: whether it came about; if not, the best stands in the exact one."""
    whole = left_s()
    best, kept = np.inf, None

    def share() -> float:
        return left_s() - (1 - SHARE_FOR_ALL) * whole

    for n in range(TRIES):
        if n % 3 == 2:
            rough.scatter()
        else:
            rough.lay(mixed=0.1 * min(n, 6))
        rough.told("set down", rough.total)
        near = rough.parted(share, rounds=ROUNDS) or rough.total < NEARLY * _size(rough.ground.wanted)
        exact.restore(rough.poses)
        if near and exact.parted(share, rounds=FINE_ROUNDS, shakes=1):
            return True
        if exact.total < best:
            best, kept = exact.total, exact.poses.copy()
        if share() <= 0:
            break
    if kept is not None:
        exact.restore(kept)
    return False


def _some_placed(exact: Search, out: list[int], left_s: Callable[[], float]) -> None:
    """Leave out parts until the others stand clear, then take back what finds a place."""
    enough = exact.ground.ways.enough
    out = list(out)
    while exact.lacks.max() > enough:
        part = exact.worst()
        exact.drop(part)
        out.append(part)
        exact.parted(left_s, rounds=FEWER_ROUNDS, shakes=0)
    for part in sorted(out, key=lambda part: -exact.areas[part]):
        kept = exact.poses.copy()
        exact.take(part)
        if exact.lacks.max() > enough and not exact.parted(left_s, rounds=FEWER_ROUNDS, shakes=0):
            exact.drop(part)
            exact.restore(kept)


def _together(exact: Search, left_s: Callable[[], float], wanted: NestWanted, rounds: int) -> Left:
    """Pushed to one end along the longer side: to that which leaves more."""
    room = exact.ground.room
    axis = 0 if room[2] - room[0] >= room[3] - room[1] else 1
    middle = (room[axis] + room[axis + 2]) / 2
    ends = [left_beyond(wanted, middle, axis, upward=upward).area_mm2 for upward in (True, False)]
    upward = ends[0] >= ends[1]
    reach = exact.together(left_s, axis=axis, upward=upward, rounds=rounds)
    return left_beyond(wanted, reach, axis, upward=upward)


def _sound(wanted: NestWanted, exact: Search) -> tuple[Placed, ...]:
    """What stands, without any part that exact polygons find too near."""
    at: Ground = exact.ground
    placed = [at.placed(slot, exact.poses[slot]) for slot in np.flatnonzero(at.floor.active).tolist()]
    while wrong := faults(wanted, placed):
        placed.pop(wrong[0].parts[-1])
    return tuple(placed)


def _answer(
    wanted: NestWanted, placed: Sequence[Placed], lacking: dict[str, int], left: Left | None, doubts: Sequence[Reason]
) -> NestPlan:
    free = polygon(wanted.plate_mm).area - sum(polygon(ring).area for ring in wanted.holes_mm)
    net = sum(polygon(one.part.outline_mm, one.part.holes_mm).area for one in placed)
    unplaced = tuple(NotPlaced(part, lacking[part.id]) for part in wanted.parts if lacking.get(part.id))
    return NestPlan(tuple(placed), unplaced, left, closest(placed), net / free, tuple(doubts))
