"""A run's moves, in order, against the stock: what each cuts away and what each must not touch.

A *stretch* is what one tool does until the next tool comes in, or until a break that the caller names (a hold point).
A rapid counts as a fault only if the tool, drawn in by MARGIN_MM on every side, still meets metal: to touch a face, to
run along a finished wall, or to draw back out of one's own hole is none. What a rapid tears away is gone all the same,
so that one fault is told once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from steadyrest.program.removal import heights, profile
from steadyrest.program.removal.bar import Bar, bar_of
from steadyrest.program.removal.blank import Blank
from steadyrest.program.removal.chords import pieces_of
from steadyrest.program.removal.field import Field, field_of
from steadyrest.program.removal.tool_shape import Form, ToolShape, tool_shape
from steadyrest.program.run import Motion, Moves

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

MARGIN_MM = 0.05  # ten chords' error, and above any rounding of a posted coordinate
UNLISTED_MM = 25.0  # radius that a tool of unknown size is taken to clear, so that no alarm rests on a guess
BITS = 62  # stretches that can be told apart at one place
CHORD_MM = {"mill": 0.004, "lathe": 0.001}  # how far a chord may stand off its arc


@dataclass(frozen=True, slots=True)
class Stretch:
    """What one tool does between two changes or breaks: moves first up to end, and what it removes."""

    tool: int
    first: int
    end: int
    removed_mm3: float


@dataclass(frozen=True, slots=True)
class Follows:
    """A stretch cuts, or goes in feed, where an earlier one had made room: both by their place in `Met.stretches`.

    move: the first that does. Without the earlier stretch's cut it would have met metal there.
    """

    stretch: int
    after: int
    move: int


@dataclass(frozen=True, slots=True)
class ToolMet:
    """One tool's share. known: its size stands in the list; else removed_mm3 is a guess that clears generously.

    depth_mm, width_mm, rate_mm3_min: the most it met, in the cut.
    """

    number: int
    known: bool
    removed_mm3: float
    engaged_moves: int
    depth_mm: float
    width_mm: float
    rate_mm3_min: float


@dataclass(frozen=True, slots=True)
class Met:
    """What the run did to the blank. Arrays have a row for each move and are read-only.

    removed_mm3: cut away. engaged: it cut. depth_mm: thickest layer taken, along the tool (a lathe: across the axis).
    width_mm: breadth of what was cut, across the path; as coarse as a cell. rate_mm3_min: removed over the move's time
    at its programmed feed; 0 for rapids and where no feed is known.
    rapid_mm: how deep a rapid stood in metal; 0 none. holder_mm: how deep the holder stood in metal; 0 none.
    dead: it cut in feed with a standing spindle. fallen_mm3: what fell off a lathe's bar.
    unmet: it was left out, since the rotary axes stood elsewhere than in the first cut.
    stretches: in order. follows: which stretch cuts where which had cut before. tools: by number.
    blank_mm3, left: how much there was, and what is left of it, at `zero_mm` in machine coordinates.
    resolution_mm: side of a cell.
    """

    removed_mm3: FloatArray
    engaged: BoolArray
    depth_mm: FloatArray
    width_mm: FloatArray
    rate_mm3_min: FloatArray
    rapid_mm: FloatArray
    holder_mm: FloatArray
    dead: BoolArray
    fallen_mm3: FloatArray
    unmet: BoolArray
    stretches: tuple[Stretch, ...]
    follows: tuple[Follows, ...]
    tools: tuple[ToolMet, ...]
    blank_mm3: float
    left: Field | Bar
    zero_mm: tuple[float, float, float]
    resolution_mm: float

    @property
    def rapids_into_stock(self) -> IntArray:
        """The moves that are rapids through stock, in order."""
        return np.flatnonzero(self.rapid_mm > 0.0)


Work = Callable[[IntArray, FloatArray], None]


class _Written:
    """The arrays that the loops write, before they are closed."""

    def __init__(self, n: int) -> None:
        self.removed, self.depth, self.width = np.zeros(n), np.zeros(n), np.zeros(n)
        self.hit, self.holder, self.fallen = np.zeros(n), np.zeros(n), np.zeros(n)
        self.over = np.zeros(n, dtype=np.int64)


def meet(
    moves: Moves,
    blank: Blank,
    tools: Mapping[int, ToolShape],
    *,
    machine: Literal["mill", "lathe"],
    resolution_mm: float | None = None,
    breaks: Sequence[int] = (),
    stop: Callable[[], bool] = lambda: False,
    progress: Callable[[float], None] = lambda _: None,
) -> Met:
    """What a run's moves do to a blank, in order.

    Args:
        moves: of a run, in machine coordinates.
        blank: in work coordinates of the first offset in which a tool feeds.
        tools: shapes by number. A number that is not here is taken generously where it clears and as a line where it
            must not hit.
        machine: "mill" (tool along z) or "lathe" (work about z, X a radius).
        resolution_mm: side of a cell; None takes what the blank affords.
        breaks: numbers of moves before which a new stretch begins though the tool stays (hold points).
        stop: asked now and then; True ends the work.
        progress: told the share that is done, now and then.
    Returns: what was met.
    Raises: ValueError: a resolution that cannot be. InterruptedError: stop said so.
    """
    moves = _read_only(moves)
    n = len(moves)
    zero = _zero(moves)
    row, shapes = _rows(moves, tools)
    unmet = _unmet(moves, row)
    row[unmet] = -1
    edges = _edges(moves, breaks)
    mark_of, bits = _marks(moves, edges)
    written = _Written(n)
    left: Field | Bar
    if machine == "mill":
        left = field_of(blank, resolution_mm=resolution_mm)
        whole, resolution = left.volume_mm3(), max(left.cell_mm)
        work = _milling(moves, left, shapes, row, mark_of, written)
    else:
        left = bar_of(blank, resolution_mm=resolution_mm)
        whole, resolution = left.volume_mm3(), left.cell_mm
        work = _turning(moves, left, shapes, row, mark_of, written)
    for lot in pieces_of(moves, zero, within_mm=CHORD_MM[machine]):
        if stop():
            raise InterruptedError
        progress(float(lot.move[0]) / n)
        work(lot.move, lot.ends_mm)
    progress(1.0)
    rapid = moves.motion == Motion.RAPID
    rate = np.where(rapid, 0.0, _rate(moves, written.removed))
    engaged = written.removed > 0.0
    stretches = tuple(Stretch(int(moves.tool[a]), a, b, float(written.removed[a:b].sum())) for a, b in pairwise(edges))
    return Met(
        removed_mm3=_closed(written.removed),
        engaged=_closed(engaged),
        depth_mm=_closed(written.depth),
        width_mm=_closed(written.width),
        rate_mm3_min=_closed(rate),
        rapid_mm=_closed(np.where(rapid & ~moves.skip, written.hit, 0.0)),
        holder_mm=_closed(written.holder),
        dead=_closed(engaged & ~rapid & (moves.rpm == 0.0)),
        fallen_mm3=_closed(written.fallen),
        unmet=_closed(unmet),
        stretches=stretches,
        follows=_follows(written.over, edges, bits),
        tools=tuple(_summed(moves, shapes, row, written, rate)),
        blank_mm3=whole,
        left=left,
        zero_mm=(float(zero[0]), float(zero[1]), float(zero[2])),
        resolution_mm=resolution,
    )


def _read_only(moves: Moves) -> Moves:
    """The same moves in arrays that cannot be written, so that the loops are compiled for one kind of array only."""
    return replace(
        moves,
        start_mm=_view(moves.start_mm),
        end_mm=_view(moves.end_mm),
        centre_mm=_view(moves.centre_mm),
        motion=_view(moves.motion),
        plane=_view(moves.plane),
        length_mm=_view(moves.length_mm),
        skip=_view(moves.skip),
    )


def _view(array: npt.NDArray[Any]) -> npt.NDArray[Any]:
    return _closed(np.ascontiguousarray(array).view())


def _closed(array: npt.NDArray[Any]) -> npt.NDArray[Any]:
    array.setflags(write=False)
    return array


def _zero(moves: Moves) -> FloatArray:
    """Machine position of the blank's zero: the offset in force in the first feed."""
    feeds = np.flatnonzero((moves.motion != Motion.RAPID) & (moves.tool > 0) & ~moves.skip)
    if len(feeds):
        return moves.offset_mm[feeds[0]].copy()
    return moves.offset_mm[0].copy() if len(moves) else np.zeros(3)


def _unmet(moves: Moves, row: IntArray) -> BoolArray:
    """Moves with the rotary axes elsewhere than in the first feed: which way they turn the work is not known here."""
    feeds = np.flatnonzero((moves.motion != Motion.RAPID) & (row >= 0) & ~moves.skip)
    if not len(feeds):
        return np.zeros(len(moves), dtype=np.bool_)
    return np.abs(moves.rotary_deg - moves.rotary_deg[feeds[0]]).max(axis=1) > 1e-6


def _rows(moves: Moves, tools: Mapping[int, ToolShape]) -> tuple[IntArray, list[ToolShape]]:
    """For each move the place of its tool in the list of shapes; -1 with an empty spindle."""
    numbers, place = np.unique(moves.tool, return_inverse=True)
    shapes = [tools.get(int(number)) or tool_shape(int(number), "", diameter_mm=0.0) for number in numbers]
    empty = np.array([number <= 0 or shape.form == Form.NONE for number, shape in zip(numbers, shapes, strict=True)])
    row = place.astype(np.int64).reshape(len(moves))
    if len(row):
        row[empty[row]] = -1
    return row, shapes


def _edges(moves: Moves, breaks: Sequence[int]) -> list[int]:
    n = len(moves)
    changes = np.flatnonzero(np.diff(moves.tool)) + 1
    return sorted({0, n, *(int(change) for change in changes), *(b for b in breaks if 0 < b < n)})


def _marks(moves: Moves, edges: list[int]) -> tuple[IntArray, list[int]]:
    """The bit that each move's stretch leaves, and each stretch's bit. Past 62 stretches, a tool's share one."""
    count = len(edges) - 1
    places = list(range(count))
    if count > BITS:
        numbers = sorted({int(moves.tool[first]) for first in edges[:-1]})
        places = [min(numbers.index(int(moves.tool[first])), BITS - 1) for first in edges[:-1]]
    bits = [1 << place for place in places]
    return np.repeat(np.array(bits, dtype=np.int64), np.diff(edges)), bits


def _follows(over: IntArray, edges: list[int], bits: list[int]) -> tuple[Follows, ...]:
    found: list[Follows] = []
    for stretch, (first, end) in enumerate(pairwise(edges)):
        met = over[first:end]
        seen = int(np.bitwise_or.reduce(met)) if len(met) else 0
        for bit in sorted(set(bits)):
            before = [k for k in range(stretch) if bits[k] == bit]
            if seen & bit and before:
                found.append(Follows(stretch, before[-1], first + int(np.flatnonzero(met & bit)[0])))
    return tuple(found)


def _rate(moves: Moves, removed: FloatArray) -> FloatArray:
    """Removed over the move's time at its feed; 0 where there is none."""
    feed = np.where(np.isfinite(moves.feed_mm_min), moves.feed_mm_min, 0.0)
    fits = (feed > 0.0) & (moves.length_mm > 0.0)
    minutes = np.divide(moves.length_mm, feed, out=np.zeros(len(moves)), where=fits)
    return np.divide(removed, minutes, out=np.zeros(len(moves)), where=minutes > 0.0)


def _summed(
    moves: Moves, shapes: list[ToolShape], row: IntArray, written: _Written, rate: FloatArray
) -> Iterator[ToolMet]:
    for place, shape in enumerate(shapes):
        cut = (row == place) & (written.removed > 0.0)
        fed = cut & (moves.motion != Motion.RAPID)
        if (row == place).any():
            yield ToolMet(
                number=int(moves.tool[np.flatnonzero(row == place)[0]]),
                known=shape.known,
                removed_mm3=float(written.removed[cut].sum()),
                engaged_moves=int(cut.sum()),
                depth_mm=float(written.depth[fed].max(initial=0.0)),
                width_mm=float(written.width[fed].max(initial=0.0)),
                rate_mm3_min=float(rate[fed].max(initial=0.0)),
            )


def _milling(
    moves: Moves,
    field: Field,
    shapes: list[ToolShape],
    row: IntArray,
    mark_of: IntArray,
    to: _Written,
) -> Work:
    cell = max(field.cell_mm)
    tools = np.zeros((max(len(shapes), 1), heights.TOOL_COLUMNS))
    for tool, shape in zip(tools, shapes, strict=False):
        tool[heights.FORM] = shape.form
        tool[heights.RADIUS] = shape.radius_mm if shape.known else UNLISTED_MM
        tool[heights.TEST_RADIUS] = max(shape.radius_mm - MARGIN_MM, 0.0) if shape.known else 0.8 * cell
        tool[heights.FLAT] = shape.flat_mm if shape.known else UNLISTED_MM
        tool[heights.CORNER] = shape.corner_mm
        tool[heights.SLOPE] = shape.slope
        tool[heights.CUTS] = shape.cuts
        tool[heights.LENGTH] = shape.length_mm
        tool[heights.HOLDER] = shape.holder_mm / 2.0
    ny, nx = field.heights_mm.shape
    tiles = field.tiles()
    marks = np.zeros((ny, nx), dtype=np.int64)
    bounds, stale = np.zeros(tiles), np.ones(tiles, dtype=np.bool_)
    tile_marks = np.zeros(tiles, dtype=np.int64)
    frame = np.array([*field.corner_mm, *field.cell_mm, field.bottom_mm, field.heights_mm.max(initial=field.bottom_mm)])

    def work(whose: IntArray, pieces: FloatArray) -> None:
        heights.lower(
            field.heights_mm, marks, bounds, stale, tile_marks, frame, whose, pieces, moves.motion, moves.skip, row,
            mark_of, tools, MARGIN_MM, to.removed, to.depth, to.width, to.hit, to.holder, to.over,
        )  # fmt: skip

    return work


def _turning(moves: Moves, bar: Bar, shapes: list[ToolShape], row: IntArray, mark_of: IntArray, to: _Written) -> Work:
    tools = np.zeros((max(len(shapes), 1), profile.TOOL_COLUMNS))
    for tool, shape in zip(tools, shapes, strict=False):
        grooves = shape.width_mm > 0.0
        tool[profile.SIDE] = shape.side
        tool[profile.RADIUS] = shape.radius_mm
        tool[profile.FLAT] = shape.flat_mm
        tool[profile.SLOPE] = shape.slope
        tool[profile.WIDTH] = shape.width_mm
        tool[profile.UNSURE] = 2.0 * shape.width_mm if grooves and not shape.known else 0.0
        tool[profile.REACH] = shape.reach_mm
        tool[profile.THREAD] = shape.thread
        tool[profile.CUTS] = shape.cuts
    sure_outer, sure_inner = bar.outer_mm.copy(), bar.inner_mm.copy()
    marks = np.zeros(len(sure_outer), dtype=np.int64)
    widest = float(bar.outer_mm.max())

    def work(whose: IntArray, pieces: FloatArray) -> None:
        profile.turn_down(
            bar.outer_mm, bar.inner_mm, sure_outer, sure_inner, marks, bar.origin_mm, bar.cell_mm, whose, pieces,
            moves.motion, moves.skip, row, mark_of, tools, MARGIN_MM, widest,
            to.removed, to.depth, to.hit, to.over, to.fallen,
        )  # fmt: skip

    return work
