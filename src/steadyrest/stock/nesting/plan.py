"""The nest answered: where every part goes, what found no place, and what is left of the plate in one piece.

Grids find the arrangement, linear programmes make it exact; exact polygons judge it before it is handed out.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from steadyrest.shop.figure import Reason, because
from steadyrest.stock.nesting.beforehand import area_there, areas_taken, fits_alone
from steadyrest.stock.nesting.exact import repaired
from steadyrest.stock.nesting.floor import Ground, ground
from steadyrest.stock.nesting.judged import closest, faults, left_beyond, ring_of
from steadyrest.stock.nesting.near import Floats, Whole
from steadyrest.stock.nesting.pieces import polygon, polygons
from steadyrest.stock.nesting.search import Search, Told, silent
from steadyrest.stock.nesting.table import table
from steadyrest.stock.nesting.wanted import Left, NestPart, NestPlan, NestWanted, NotPlaced, Placed

THIN_MM = 0.001
TRIES = 1000
ROUNDS, TOGETHER_ROUNDS, FEWER_ROUNDS = 3000, 200, 60
SHARE_FOR_ALL = 0.85
FULL = 0.97
GRACE = 0.04

Jobs = Sequence[Callable[[], None]]


def one_after_another(jobs: Jobs) -> None:
    """Do each in turn.

    Args:
        jobs: what is to be done.
    """
    for job in jobs:
        job()


def nest(
    wanted: NestWanted,
    left_s: Callable[[], float],
    *,
    seed: int = 0,
    told: Told = silent,
    rounds: int = TOGETHER_ROUNDS,
    searches: int = 1,
    at_once: Callable[[Jobs], None] = one_after_another,
    axis: int | None = None,
) -> NestPlan:
    """Where every part goes.

    Args:
        wanted: parts, plate, what is kept clear.
        left_s: seconds left; 0 or less: stop with the best so far.
        seed: of the luck. told: what is being done, and how much is lacking.
        rounds: so many are spent on pushing together what is placed.
        searches: how many look for a nest of all parts side by side. at_once: does jobs, at the same time if it can.
        axis: along which what is placed is pushed together, 0 x, 1 y; None: the longer side.
    Returns: a nest in which nothing stands too near; the same for the same seed if the time was enough.
    """
    fitting = tuple(part for part in wanted.parts if part.count and fits_alone(wanted, part))
    never = tuple(part for part in wanted.parts if part.count and part not in fitting)
    doubts = [because("nest.never_fits", part=part.id) for part in never]
    lacking = {part.id: part.count for part in never}
    if not fitting:
        return _answer(wanted, (), lacking, None, doubts)
    some = as_holes(replace(wanted, parts=fitting))
    at = ground(some, THIN_MM)
    on = table(at)
    sides = [Search(at, on, seed, told)]
    sides += [Search(at.twin(), on.twin(), seed + (k << 32)) for k in range(1, searches)]
    wanted_mm2, has_mm2 = areas_taken(some), area_there(some)
    out = _too_much(wanted_mm2, has_mm2, sides[0].due)
    if out:
        doubts.append(because("nest.more_area", wanted_mm2=float(wanted_mm2.sum()), has_mm2=has_mm2))
        for side in sides:
            side.on[out] = False
    whole_s = left_s()
    search, done = _all_placed(sides, left_s, at_once)
    if not done or out:
        _some_placed(search, left_s, whole_s)
    search.stand_good()
    left = together(search, left_s, wanted, rounds, axis=axis) if search.on.any() else None
    placed = _sound(wanted, search)
    for part in some.parts:
        count = part.count - sum(one.part is part for one in placed)
        if count:
            lacking[part.id] = count
    if len(placed) < search.parts and not out:
        doubts.append(because("nest.perhaps_more"))
    return _answer(wanted, placed, lacking, left, doubts)


def make_ready() -> None:
    """Nest a few parts, so that everything is compiled before the time begins to count."""
    square = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
    plate = ((0.0, 0.0), (21.5, 0.0), (21.5, 12.0), (0.0, 12.0))
    some = NestWanted((NestPart("A", 3, square),), plate, (), 1.0, 0.2, 0.0, (0.0, 90.0), False)
    nest(some, _looks(60))
    at = ground(some, THIN_MM)
    at.floor.active[:] = True
    # All on one spot, so that the exact repair too has something to do.
    repaired(at, np.tile((10.0, 6.0, 0.0, 0.0), (len(at.each), 1)), _looks(9), reach_mm=1.0, enough_mm=0.01, tries=1)


def _looks(many: int) -> Callable[[], float]:
    """So many looks at the clock until the time is over."""
    left = [many]

    def look() -> float:
        left[0] -= 1
        return float(left[0])

    return look


def as_holes(wanted: NestWanted) -> NestWanted:
    """The same nest for a search that knows only holes: clamps are holes, and what is to keep the wider distance is
    grown by the difference, corners square, which is never too little.

    Args:
        wanted: with clamps or without.
    Returns: the same without; where there were none, as it was.
    """
    if not wanted.clamps_mm:
        return wanted
    clear = min(wanted.hole_clear_mm, wanted.clamp_clear_mm)
    rings = [(ring, wanted.hole_clear_mm) for ring in wanted.holes_mm]
    rings += [(ring, wanted.clamp_clear_mm) for ring in wanted.clamps_mm]
    grown = [polygon(ring).buffer(kept - clear, join_style="mitre") for ring, kept in rings]
    holes = tuple(ring_of(one.exterior) for shape in grown for one in polygons(shape))
    return replace(wanted, holes_mm=holes, hole_clear_mm=clear, clamps_mm=(), clamp_clear_mm=0.0)


def _too_much(wanted_mm2: Floats, has_mm2: float, due: Whole) -> list[int]:
    """Parts left out from the beginning since the plate has not that much area: those due last, and as little of them
    as may be."""
    out, taken = list[int](), 0.0
    if wanted_mm2.sum() <= has_mm2:
        return out
    for part in np.lexsort((-wanted_mm2, due)).tolist():
        if taken + wanted_mm2[part] > FULL * has_mm2:
            out.append(part)
        else:
            taken += float(wanted_mm2[part])
    return out


def _all_placed(
    sides: Sequence[Search], left_s: Callable[[], float], at_once: Callable[[Jobs], None]
) -> tuple[Search, bool]:
    """All parts, from several beginnings, by each search. Returns: the best search, and whether it came about."""
    whole = left_s()
    won = list[tuple[int, int]]()

    def job(k: int) -> None:
        search = sides[k]

        def share() -> float:
            # Who has won in fewer rounds ends the others: the same one wins however quick each is.
            beaten = any(other < (search.rounds, k) for other in won)
            return 0.0 if beaten else left_s() - (1 - SHARE_FOR_ALL) * whole

        best, kept = np.inf, search.poses.copy()
        for n in range(TRIES):
            if n % 4 == 3:
                search.scatter()
            else:
                search.lay(mixed=0.1 * min(n, 6))
            search.told("set down", search.depth)
            if search.parted(share, rounds=ROUNDS):
                won.append((search.rounds, k))
                return
            if search.total < best:
                best, kept = search.total, search.poses.copy()
            if share() <= 0:
                break
        search.restore(kept)

    at_once([lambda k=k: job(k) for k in range(len(sides))])
    if won:
        return sides[min(won)[1]], True
    return min(sides, key=lambda search: search.total), False


def _some_placed(search: Search, left_s: Callable[[], float], whole_s: float) -> None:
    """Set down one by one what finds a place; or leave out parts of what nearly stood until the others stand clear.
    From the better of the two, take back, or exchange for larger ones, what finds a place.

    A little time is kept for this whatever happens: an answer that cannot be cut is none.
    """
    kept_on, kept = search.on.copy(), search.poses.copy()

    def grace() -> float:
        return left_s() + GRACE * whole_s

    search.one_by_one()
    plain = (search.on.copy(), search.poses.copy())
    search.parted(grace, rounds=FEWER_ROUNDS, shakes=0)
    search.on[:] = kept_on
    search.restore(kept)
    while search.on.any() and not search.parted(grace, rounds=FEWER_ROUNDS, shakes=0):
        search.drop(search.worst())
    if not any(search.good_mm2):
        # No time for anything: what the judge finds sound of those set down one by one is the answer.
        search.good = plain
        return
    search.stand_good()
    search.fill(left_s, rounds=FEWER_ROUNDS)


def together(
    search: Search, left_s: Callable[[], float], wanted: NestWanted, rounds: int, *, axis: int | None = None
) -> Left:
    """Push all parts to that end which leaves more of the plate.

    Args:
        search: in which they stand clear. left_s: seconds left. wanted: the plate. rounds: at most so many.
        axis: 0 along x, 1 along y; None: along the longer side.
    Returns: what is left in one piece beyond them.
    """
    room = search.ground.room
    if axis is None:
        axis = 0 if room[2] - room[0] >= room[3] - room[1] else 1
    middle = (room[axis] + room[axis + 2]) / 2
    ends = [left_beyond(wanted, middle, axis, upward=upward).area_mm2 for upward in (True, False)]
    upward = ends[0] >= ends[1]
    reach = search.together(left_s, axis=axis, upward=upward, rounds=rounds)
    return left_beyond(wanted, reach, axis, upward=upward)


def _sound(wanted: NestWanted, search: Search) -> tuple[Placed, ...]:
    """What stands, without any part that exact polygons find too near."""
    at: Ground = search.ground
    placed = [at.placed(slot, search.poses[slot]) for slot in np.flatnonzero(search.on).tolist()]
    wrong = [fault.parts for fault in faults(wanted, placed)]
    out = set[int]()
    while wrong:
        blamed = Counter(part for parts in wrong for part in parts)
        worst = max(blamed, key=lambda part: (blamed[part], part))
        out.add(worst)
        wrong = [parts for parts in wrong if worst not in parts]
    return tuple(one for k, one in enumerate(placed) if k not in out)


def _answer(
    wanted: NestWanted, placed: Sequence[Placed], lacking: dict[str, int], left: Left | None, doubts: Sequence[Reason]
) -> NestPlan:
    free = polygon(wanted.plate_mm).area - sum(polygon(ring).area for ring in wanted.holes_mm)
    net = sum(polygon(one.part.outline_mm, one.part.holes_mm).area for one in placed)
    unplaced = tuple(NotPlaced(part, lacking[part.id]) for part in wanted.parts if lacking.get(part.id))
    return NestPlan(tuple(placed), unplaced, left, closest(placed), net / free, tuple(doubts))
