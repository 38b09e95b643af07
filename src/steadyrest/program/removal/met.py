"""What a run did to its blank, as values."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.program.removal.bar import Bar
from steadyrest.program.removal.field import Field
from steadyrest.program.removal.lines import Lines

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]


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
    left: Field | Bar | Lines
    zero_mm: tuple[float, float, float]
    resolution_mm: float

    @property
    def rapids_into_stock(self) -> IntArray:
        """The moves that are rapids through stock, in order."""
        return np.flatnonzero(self.rapid_mm > 0.0)
