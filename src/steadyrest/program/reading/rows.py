"""The moves of a run as they are found: columns that grow, shared by the quick and the careful reader."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from steadyrest.program.run import Motion, Moves

_FIRST = 1 << 12
_TYPES: dict[str, type[np.generic]] = {
    "line": np.int64, "motion": np.int8, "plane": np.int8, "tool": np.int64,
    "cycle": np.bool_, "exact_stop": np.bool_, "skip": np.bool_,
}  # fmt: skip
_WIDE = ("start_mm", "end_mm", "centre_mm", "offset_mm", "rotary_deg")
NAMES: tuple[str, ...] = tuple(Moves.__slots__)
Column = npt.NDArray[Any]


@dataclass(slots=True)
class Common:
    """What many moves share: the columns that only the careful reader changes."""

    plane: int
    tool: int
    tool_length_mm: float
    surface_m_min: float
    rpm_cap: float
    offset_mm: Sequence[float]
    exact_stop: bool


class Rows:
    """Columns of the moves, with room to grow.

    Pages of a column that nobody writes are never taken from the machine: zeros cost nothing.
    """

    __slots__ = ("columns", "count", "room")

    def __init__(self) -> None:
        self.count = 0
        self.room = _FIRST
        self.columns: dict[str, Column] = {name: _column(name, self.room) for name in NAMES}

    def make_room(self, more: int) -> None:
        """Grow to hold `more` rows beyond those that stand; doubles, one column at a time.

        Args:
            more: rows.
        """
        if self.count + more <= self.room:
            return
        self.room = max(2 * self.room, self.count + more)
        for name, old in self.columns.items():
            new = _column(name, self.room)
            if old[: self.count].any():  # else it stays untouched, and costs nothing
                new[: self.count] = old[: self.count]
            self.columns[name] = new

    def fill(self, first: int, common: Common) -> None:
        """Write what the rows from `first` on share.

        Args:
            first: index. common: the values.
        """
        rows = slice(first, self.count)
        columns = self.columns
        for name in ("plane", "tool", "tool_length_mm", "surface_m_min", "rpm_cap"):
            if (value := getattr(common, name)) != 0:
                columns[name][rows] = value
        if any(common.offset_mm):
            columns["offset_mm"][rows] = common.offset_mm
        if common.exact_stop:  # a rapid stops in any case, by the machine's own rule
            columns["exact_stop"][rows] = columns["motion"][rows] != Motion.RAPID

    def moves(self) -> Moves:
        """What was found, read-only."""
        return Moves(**{name: column[: self.count] for name, column in self.columns.items()})


def _column(name: str, room: int) -> Column:
    shape = (room, 3) if name in _WIDE else (room,)
    return np.zeros(shape, _TYPES.get(name, np.float64))
