"""Rows of the run, written one at a time: rates, odd firsts, and the way beside the path under compensation."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from steadyrest.program.reading.arcs import SAME_MM
from steadyrest.program.reading.compensation import Join, Pair, Piece, measure, moved_radius
from steadyrest.program.reading.control import Control
from steadyrest.program.reading.subprograms import TooMuchError
from steadyrest.program.run import Motion

Place = tuple[float, float, float]
NOWHERE = (math.nan, math.nan, math.nan)


def put(
    control: Control, line: int, way: int, goal: list[float], *,
    centre: tuple[float, float, float] = NOWHERE, turns: float = 0.0, length_mm: float | None = None,
    cycle: bool = False, stop: bool = False, skip: bool = False, lead_mm: float = 0.0, follows: bool = False,
    turned: bool = False,
) -> None:  # fmt: skip
    """One row: from where the nose stands to `goal`, both turned into the tool's point by the length in force.

    Args:
        control: the control. line: of the file. way: how it goes. goal: where the nose goes, machine coordinates.
        centre, turns: of an arc; the centre by the tool's point. length_mm: along the path; None for straight.
        cycle: made by a canned cycle. stop: at rest at its end. skip: it probes. lead_mm: of a thread; 0 for none.
        follows: compensation, where in force, moves the row aside; else the tool leaves the compensated path by it.
        turned: a rotary axis moves, so that even a row without a path counts.
    Raises: TooMuchError: more rows than the limits allow.
    """
    state = control.state
    nose, high = state.nose, state.length_mm
    far = math.dist(nose, goal) if length_mm is None else length_mm
    if not control.units_told:
        control.units_told = True
        if not state.unit:
            control.said.odd("units", line)
    if not (far > 0.0 or turned):
        return
    feed, per_turn, rpm = _rates(control, line, way, far, goal[0] - state.offset()[0], lead_mm)
    row = Row(
        line, way, (nose[0], nose[1], nose[2] - high), (goal[0], goal[1], goal[2] - high), centre, turns, far,
        feed, per_turn, rpm, cycle, (state.exact and way != Motion.RAPID) or stop, skip,
    )  # fmt: skip
    if control.follower is None:
        _write(control, row)
    else:
        _write_aside(control, row, follows)
    state.nose = goal


def _rates(
    control: Control, line: int, way: int, far: float, x_end: float, lead_mm: float
) -> tuple[float, float, float]:
    """Feed a minute, feed a turn and speed of a row; the first cut without a feed is told."""
    state = control.state
    rpm = state.rpm(control.dialect, x_end)
    if way == Motion.RAPID:
        return 0.0, 0.0, rpm
    if lead_mm > 0.0:
        return lead_mm * rpm, lead_mm, rpm
    given = state.feed()
    if not given > 0.0 and not control.feed_told:
        control.feed_told = True
        control.said.odd("feed", line)
    if state.feed_mode == "inverse time":
        return given * far, 0.0, rpm
    if state.feed_mode == "feed per turn":
        return given * rpm, given, rpm
    return given, 0.0, rpm


@dataclass(frozen=True, slots=True)
class Row:
    """One move, by what changes from one to the next; the tool's point in machine coordinates."""

    line: int
    way: int
    start: Place
    end: Place
    centre: Place
    turns: float
    far: float
    feed: float
    per_turn: float
    rpm: float
    cycle: bool
    stop: bool
    skip: bool


def _write(control: Control, row: Row) -> None:
    state, rows = control.state, control.rows
    if rows.count >= control.limits.moves:
        raise TooMuchError("moves", float(control.limits.moves))
    rows.make_room(1)
    n, column = rows.count, rows.columns
    column["line"][n] = row.line
    column["motion"][n] = row.way
    column["plane"][n] = state.plane
    column["start_mm"][n] = row.start
    column["end_mm"][n] = row.end
    column["centre_mm"][n] = row.centre
    column["turns"][n] = row.turns
    column["length_mm"][n] = row.far
    column["feed_mm_min"][n] = row.feed
    column["feed_per_turn_mm"][n] = row.per_turn
    column["rpm"][n] = row.rpm
    column["surface_m_min"][n] = state.surface_m_min if state.surface else 0.0
    column["rpm_cap"][n] = state.cap_rpm
    column["tool"][n] = state.tool
    column["tool_length_mm"][n] = state.length_mm
    column["offset_mm"][n] = state.offset()
    column["rotary_deg"][n] = state.rotary
    column["cycle"][n] = row.cycle
    column["exact_stop"][n] = row.stop
    column["skip"][n] = row.skip
    rows.count = n + 1


def _write_aside(control: Control, row: Row, follows: bool) -> None:
    """Write a row beside the programmed path, or the way back to it."""
    follower = control.follower
    assert follower is not None
    u, v, w = follower.axes
    turn = {Motion.ARC_CW: -1, Motion.ARC_CCW: 1}.get(Motion(row.way), 0)
    piece = None
    if turn or math.hypot(row.end[u] - row.start[u], row.end[v] - row.start[v]) > 0.0:
        start, end = (row.start[u], row.start[v]), (row.end[u], row.end[v])
        piece = Piece(start, end, turn, (row.centre[u], row.centre[v]))
    if not follows or control.state.side == 0 or control.state.plane != control.follower_plane:
        if piece is None and follows:
            _write(control, _moved(row, follower.axes, follower.stands(), follower.stands()))
            follower.after(control.rows.count - 1, None)
            return
        join = follower.before(None)
        control.follower = None
        _write(control, row if join is None else _moved(row, follower.axes, join.start, None))
        measure(control.rows, control.rows.count - 1, follower.axes)
        return
    if piece is None:
        _write(control, _moved(row, follower.axes, follower.stands(), follower.stands()))
        follower.after(control.rows.count - 1, None)
        return
    if follower.leads():
        if turn:
            control.said.odd("gouge", row.line, what="begin")
            control.follower = None
        _write(control, row)
        follower.after(control.rows.count - 1, piece)
        return
    join = follower.before(piece)
    assert join is not None
    if turn and moved_radius(piece, follower.aside) <= 0.0:
        control.said.odd("gouge", row.line, what="radius")
    if not join.meets:
        control.said.odd("gouge", row.line, what="corner")
    if math.dist(join.end, join.start) > SAME_MM:
        _roll(control, row, join, piece, w)
    _write(control, _moved(row, follower.axes, join.start, piece.beside(piece.end, follower.aside)))
    measure(control.rows, control.rows.count - 1, follower.axes)
    follower.after(control.rows.count - 1, piece)


def _roll(control: Control, row: Row, join: Join, piece: Piece, across: int) -> None:
    """The piece between two rows: round the corner, or straight across where they do not meet."""
    follower = control.follower
    assert follower is not None
    u, v, _ = follower.axes
    way = row.way
    centre = [math.nan, math.nan, math.nan]
    if join.meets and row.way != Motion.RAPID:
        way = Motion.ARC_CW if follower.aside > 0.0 else Motion.ARC_CCW
        centre[u], centre[v], centre[across] = piece.start[0], piece.start[1], row.start[across]
    elif row.way != Motion.RAPID:
        way = Motion.LINE
    at = list(row.start)
    between = replace(row, way=way, end=(at[0], at[1], at[2]), centre=(centre[0], centre[1], centre[2]), stop=False)
    _write(control, _moved(between, follower.axes, join.end, join.start))
    measure(control.rows, control.rows.count - 1, follower.axes)


def _moved(row: Row, axes: tuple[int, int, int], start: Pair | None, end: Pair | None) -> Row:
    """A row with its ends in the plane put elsewhere; None leaves an end."""
    begin, goal = list(row.start), list(row.end)
    if start is not None:
        begin[axes[0]], begin[axes[1]] = start
    if end is not None:
        goal[axes[0]], goal[axes[1]] = end
    return replace(row, start=(begin[0], begin[1], begin[2]), end=(goal[0], goal[1], goal[2]))
