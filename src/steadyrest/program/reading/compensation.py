"""Cutter compensation: the tool's centre beside the programmed path, by its radius (G41 left, G42 right).

A row is written as programmed and moved aside when the one after it is known: inside a corner both are cut at their
crossing, outside the tool rolls round the corner on an arc. It begins and ends with a straight move to and from the
point square to the path (NISTIR 6556 rolls round corners too; the beginning is common practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.program.reading.arcs import swept
from steadyrest.program.reading.rows import Rows
from steadyrest.program.run import Motion

Pair = tuple[float, float]
_SAME_WAY = 1e-7
# Smooth corners are written with rounded numbers: pieces this near are one path, and meet where they just miss.
_TOUCH_MM = 0.004
_ROUNDED_MM = 0.02


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of path in its plane. turn: 1 counter-clockwise, -1 clockwise, 0 a line; centre: of an arc."""

    start: Pair
    end: Pair
    turn: int = 0
    centre: Pair = (0.0, 0.0)

    def heading(self, at: Pair) -> Pair:
        """Unit vector along the path at its start or end."""
        if self.turn == 0:
            x, y = self.end[0] - self.start[0], self.end[1] - self.start[1]
        else:
            x, y = -self.turn * (at[1] - self.centre[1]), self.turn * (at[0] - self.centre[0])
        far = math.hypot(x, y) or 1.0
        return x / far, y / far

    def beside(self, at: Pair, aside: float) -> Pair:
        """A point of the path moved to its left by so much."""
        x, y = self.heading(at)
        return at[0] - aside * y, at[1] + aside * x


def corner(first: Piece, second: Piece, aside: float) -> tuple[Pair, Pair] | None:
    """Where two pieces, each moved to its left, end and begin at their corner.

    Args:
        first, second: one ends where the other starts. aside: how far to the left; negative to the right.
    Returns: end of the first and start of the second; where they differ, the tool rolls round the corner. None where
        they do not meet, so that the tool would cut into what it should leave.
    Source: nist-rs274-ngc, cutter radius compensation. Checked in tests/program/test_compensation.py.
    """
    at = first.end
    a, b = first.heading(at), second.heading(second.start)
    cross = a[0] * b[1] - a[1] * b[0]
    ends, begins = first.beside(at, aside), second.beside(at, aside)
    apart = math.dist(ends, begins)
    between = (0.5 * (ends[0] + begins[0]), 0.5 * (ends[1] + begins[1]))
    if apart < _TOUCH_MM:
        return between, between
    if cross * aside < 0.0 or abs(cross) < _SAME_WAY:
        return ends, begins
    meeting = _meeting(first, second, aside)
    if meeting is not None and _ahead(first, meeting, aside) and _ahead(second, meeting, aside):
        return meeting, meeting
    return (between, between) if apart < _ROUNDED_MM else None


def _ahead(piece: Piece, point: Pair, aside: float) -> bool:
    """Whether a point on a moved line lies between its ends; an arc may always be shortened."""
    if piece.turn:
        return True
    start, end = piece.beside(piece.start, aside), piece.beside(piece.end, aside)
    x, y = end[0] - start[0], end[1] - start[1]
    along = (point[0] - start[0]) * x + (point[1] - start[1]) * y
    return -1e-9 <= along <= x * x + y * y + 1e-9


def _meeting(first: Piece, second: Piece, aside: float) -> Pair | None:
    """Crossing of the two moved pieces nearest their corner."""
    found: list[Pair]
    if first.turn == 0 and second.turn == 0:
        found = _line_line(first, second, aside)
    elif first.turn == 0 or second.turn == 0:
        line, arc = (first, second) if first.turn == 0 else (second, first)
        found = _line_circle(line, arc, aside)
    else:
        found = _circle_circle(first, second, aside)
    return min(found, key=lambda point: math.dist(point, first.end), default=None)


def _line_line(first: Piece, second: Piece, aside: float) -> list[Pair]:
    a, b = first.heading(first.end), second.heading(second.start)
    p, q = first.beside(first.end, aside), second.beside(second.start, aside)
    cross = a[0] * b[1] - a[1] * b[0]
    along = ((q[0] - p[0]) * b[1] - (q[1] - p[1]) * b[0]) / cross
    return [(p[0] + along * a[0], p[1] + along * a[1])]


def _line_circle(line: Piece, arc: Piece, aside: float) -> list[Pair]:
    radius = moved_radius(arc, aside)
    p, d = line.beside(line.start, aside), line.heading(line.start)
    fx, fy = p[0] - arc.centre[0], p[1] - arc.centre[1]
    half = fx * d[0] + fy * d[1]
    under = half * half - (fx * fx + fy * fy - radius * radius)
    if under < 0.0 or radius <= 0.0:
        return []
    root = math.sqrt(under)
    return [(p[0] + t * d[0], p[1] + t * d[1]) for t in (-half - root, -half + root)]


def _circle_circle(first: Piece, second: Piece, aside: float) -> list[Pair]:
    r, s = moved_radius(first, aside), moved_radius(second, aside)
    dx, dy = second.centre[0] - first.centre[0], second.centre[1] - first.centre[1]
    far = math.hypot(dx, dy)
    if far == 0.0 or r <= 0.0 or s <= 0.0:
        return []
    along = (far * far + r * r - s * s) / (2.0 * far)
    under = r * r - along * along
    if under < 0.0:
        return []
    high = math.sqrt(under)
    x, y = first.centre[0] + along * dx / far, first.centre[1] + along * dy / far
    return [(x - high * dy / far, y + high * dx / far), (x + high * dy / far, y - high * dx / far)]


def moved_radius(piece: Piece, aside: float) -> float:
    """Radius of an arc moved to its left: smaller for a counter-clockwise one.

    Args:
        piece: the arc. aside: how far to the left; negative to the right.
    Returns: mm; 0 or less where the tool does not fit into it.
    """
    return math.dist(piece.start, piece.centre) - piece.turn * aside


@dataclass(frozen=True, slots=True)
class Join:
    """Where the row before ends and the new one starts; between them the tool rolls round.

    meets: they do so beside the path; else the tool goes straight across, and would cut into what it should leave.
    """

    end: Pair
    start: Pair
    meets: bool = True


class Follower:
    """The row whose end is still to be found, and those without a step in the plane that hang on it."""

    __slots__ = ("_last", "_leading", "_open", "_rows", "aside", "axes")

    def __init__(self, rows: Rows, axes: tuple[int, int, int], aside: float) -> None:
        self._rows = rows
        self.axes = axes
        self._open: list[int] = []
        self._last: Piece | None = None
        self._leading = False
        self.aside = aside

    def before(self, piece: Piece | None) -> Join | None:
        """Close the row before a new piece.

        Args:
            piece: as programmed; None for the way out.
        Returns: how the new row joins it; None where no row stands before.
        """
        last = self._last
        if last is None:
            return None
        if piece is None:
            end = last.end if self._leading else last.beside(last.end, self.aside)
            join = Join(end, end)
        elif self._leading:
            begins = piece.beside(piece.start, self.aside)
            join = Join(begins, begins)
        elif met := corner(last, piece, self.aside):
            join = Join(met[0], met[1])
        else:
            join = Join(last.beside(last.end, self.aside), piece.beside(piece.start, self.aside), meets=False)
        self._close(join.end)
        return join

    def leads(self) -> bool:
        """Whether the next piece is the way in."""
        return self._last is None

    def stands(self) -> Pair | None:
        """Where the last row ends as far as is known; None before the first."""
        if not self._open:
            return None
        end = self._rows.columns["end_mm"][self._open[-1]]
        return float(end[self.axes[0]]), float(end[self.axes[1]])

    def after(self, row: int, piece: Piece | None) -> None:
        """Take note of a row that was written.

        Args:
            row: its index. piece: what it is in the plane; None where it takes no step there.
        """
        if piece is not None:
            self._leading = self._last is None
            self._last = piece
            self._open = [row]
        else:
            self._open.append(row)

    def _close(self, end: Pair) -> None:
        u, v, _ = self.axes
        columns = self._rows.columns
        for k, row in enumerate(self._open):
            columns["end_mm"][row, u], columns["end_mm"][row, v] = end
            if k:
                columns["start_mm"][row, u], columns["start_mm"][row, v] = end
            measure(self._rows, row, self.axes)
        self._open = []


def measure(rows: Rows, row: int, axes: tuple[int, int, int]) -> None:
    """Write a row's length again, after its ends were moved.

    Args:
        rows: all rows. row: index. axes: of the plane, and across.
    """
    u, v, w = axes
    columns = rows.columns
    start, end, centre = columns["start_mm"][row], columns["end_mm"][row], columns["centre_mm"][row]
    motion = columns["motion"][row]
    far = math.dist(start, end)
    if motion in (Motion.ARC_CW, Motion.ARC_CCW):
        around = swept(start[u], start[v], end[u], end[v], centre[u], centre[v], motion == Motion.ARC_CW)
        radius = math.hypot(start[u] - centre[u], start[v] - centre[v])
        far = math.hypot(radius * around, end[w] - start[w])
    columns["length_mm"][row] = far
