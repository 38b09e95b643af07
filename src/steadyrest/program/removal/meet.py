"""A run's moves, in order, against the stock: what each cuts away and what each must not touch.

A *stretch* is what one tool does until the next tool comes in, or until a break that the caller names (a hold point).
A rapid counts as a fault only if the tool, drawn in by MARGIN_MM on every side, still meets metal: to touch a face, to
run along a finished wall, or to draw back out of one's own hole is none. What a rapid tears away is gone all the same,
so that one fault is told once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from steadyrest.program.removal.bar import Bar, bar_of
from steadyrest.program.removal.blank import Blank
from steadyrest.program.removal.chords import pieces_of
from steadyrest.program.removal.field import Field, field_of
from steadyrest.program.removal.lines import Lines, lines_of
from steadyrest.program.removal.met import Follows, Met, Stretch, ToolMet
from steadyrest.program.removal.setting import Rotary, Setting
from steadyrest.program.removal.tool_shape import Form, ToolShape, tool_shape
from steadyrest.program.removal.work import Written, milling, milling_round, turning
from steadyrest.program.run import Motion, Moves

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

ROTARY_DEG = 1e-3  # how near a position of the rotary axes must be to count as one that is known
HOME_MM = 1e-6  # how near home must be to be home
BITS = 62  # stretches that can be told apart at one place
CHORD_MM = {"mill": 0.004, "lathe": 0.001}  # how far a chord may stand off its arc


def meet(
    moves: Moves,
    blank: Blank | Field | Bar | Lines,
    tools: Mapping[int, ToolShape],
    *,
    machine: Literal["mill", "lathe"],
    resolution_mm: float | None = None,
    breaks: Sequence[int] = (),
    settings: Mapping[Rotary, Setting] | None = None,
    home_mm: tuple[float, float, float] = (0.0, 0.0, 0.0),
    stop: Callable[[], bool] = lambda: False,
    progress: Callable[[float], None] = lambda _: None,
) -> Met:
    """What a run's moves do to a blank, in order.

    Args:
        moves: of a run, in machine coordinates.
        blank: in work coordinates of the first offset in which a tool feeds; or what an earlier run left on the same
            kind of machine, in the coordinates of this run. It is not changed.
        tools: shapes by number. A number that is not here is taken generously where it clears and as a line where it
            must not hit.
        machine: "mill" (tool along z) or "lathe" (work about z, X a radius).
        resolution_mm: side of a cell; None takes what the blank affords.
        breaks: numbers of moves before which a new stretch begins though the tool stays (hold points).
        settings: of a mill, how the work lies at each position of the rotary axes that counts; then it is cut from all
            those sides. None: only where they stood in the first feed.
        home_mm: where the spindle's nose is when the machine is home, machine coordinates.
        stop: asked now and then; True ends the work.
        progress: told the share that is done, now and then.
    Returns: what was met.
    Raises: ValueError: a resolution that cannot be, or stock left by the other kind of machine. InterruptedError: stop
        said so.
    """
    told = moves
    moves = _read_only(seen_at_ends(told, machine, home_mm))
    n = len(moves)
    zero = _zero(moves)
    row, shapes = _rows(moves, tools)
    setting = _setting(moves, settings or {})
    unmet = _unmet(moves, row) if settings is None else (setting < 0) & (row >= 0)
    row[unmet] = -1
    edges = _edges(told, breaks)
    mark_of, bits = _marks(told, edges)
    written = Written(n)
    left: Field | Bar | Lines
    if machine == "mill" and settings is not None and not isinstance(blank, Bar):
        left = lines_of(blank, resolution_mm=resolution_mm)
        whole, resolution, zero = left.volume_mm3(), max(left.cell_mm), np.zeros(3)
        work = milling_round(moves, left, shapes, row, mark_of, setting, list(settings.values()), written)
    elif machine == "mill" and not isinstance(blank, Bar | Lines):
        left = field_of(blank, resolution_mm=resolution_mm)
        whole, resolution = left.volume_mm3(), max(left.cell_mm)
        work = milling(moves, left, shapes, row, mark_of, written)
    elif machine == "lathe" and not isinstance(blank, Field | Lines):
        left = bar_of(blank, resolution_mm=resolution_mm)
        whole, resolution = left.volume_mm3(), left.cell_mm
        work = turning(moves, left, shapes, row, mark_of, written)
    else:
        raise ValueError(f"meet: a {machine} cannot take up stock that is a {type(blank).__name__}")
    for lot in pieces_of(moves, zero, within_mm=CHORD_MM[machine]):
        if stop():
            raise InterruptedError
        progress(float(lot.move[0]) / n)
        work(lot.move, lot.ends_mm)
    progress(1.0)
    rapid = moves.motion == Motion.RAPID
    rate = np.where(rapid, 0.0, _rate(moves, written.removed))
    engaged = written.removed > 0.0
    stretches = tuple(Stretch(int(told.tool[a]), a, b, float(written.removed[a:b].sum())) for a, b in pairwise(edges))
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


def seen_at_ends(moves: Moves, machine: str, home_mm: tuple[float, float, float]) -> Moves:
    """The same moves, but rapids of which one end is not known are judged at the other alone.

    One that brings another tool length into force: where the tool's point was before is not known, and a tool change
    draws the spindle back. One from where a probing move ended, which may be anywhere on its way. One from or to the
    machine's home: shop files place it by travel, not by how it lies to the stock. One along the height of home is
    left out.

    Args:
        moves: of a run, machine coordinates.
        machine: "mill" or "lathe".
        home_mm: where the spindle's nose is when the machine is home.
    Returns: the moves, or copies of them.
    """
    rapid = moves.motion == Motion.RAPID
    up = np.zeros((len(moves), 3))
    up[:, 2] = moves.tool_length_mm
    axes = [2] if machine == "mill" else [0, 2]
    home = np.array(home_mm)[axes]
    begins = (np.abs((moves.start_mm + up)[:, axes] - home) < HOME_MM).all(axis=1) & rapid
    ends = (np.abs((moves.end_mm + up)[:, axes] - home) < HOME_MM).all(axis=1) & rapid
    begins[1:] |= ((np.diff(moves.tool_length_mm) != 0.0) | moves.skip[:-1]) & rapid[1:]
    if not (begins | ends).any():
        return moves
    start, end = moves.start_mm.copy(), moves.end_mm.copy()
    start[begins] = moves.end_mm[begins]
    end[ends & ~begins] = moves.start_mm[ends & ~begins]
    return replace(moves, start_mm=start, end_mm=end, tool=np.where(begins & ends, 0, moves.tool))


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
        offset_mm=_view(moves.offset_mm),
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
    moves: Moves, shapes: list[ToolShape], row: IntArray, written: Written, rate: FloatArray
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


def _setting(moves: Moves, settings: Mapping[Rotary, Setting]) -> IntArray:
    """Each move's place in the list of settings; -1 where the rotary axes stand elsewhere."""
    found = np.full(len(moves), -1, dtype=np.int64)
    for place, rotary in enumerate(settings):
        found[np.abs(moves.rotary_deg - np.array(rotary)).max(axis=1, initial=0.0) <= ROTARY_DEG] = place
    # A path run while the work turns lies in neither position.
    turns = np.abs(np.diff(moves.rotary_deg, axis=0, prepend=moves.rotary_deg[:1])).max(axis=1, initial=0.0)
    found[(turns > ROTARY_DEG) & (moves.length_mm > 0.0)] = -1
    return found
