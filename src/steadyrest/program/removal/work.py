"""The stock and the tools as the loops take them: one function for each kind of stock."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt

from steadyrest.program.removal import dexels, heights, profile
from steadyrest.program.removal.bar import Bar
from steadyrest.program.removal.field import Field
from steadyrest.program.removal.lines import Lines
from steadyrest.program.removal.setting import Setting
from steadyrest.program.removal.tool_shape import ToolShape
from steadyrest.program.run import Moves

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

MARGIN_MM = 0.05  # ten chords' error, and above any rounding of a posted coordinate
UNLISTED_MM = 25.0  # radius that a tool of unknown size is taken to clear, so that no alarm rests on a guess

Work = Callable[[IntArray, FloatArray], None]


class Written:
    """The arrays that the loops write, before they are closed."""

    def __init__(self, n: int) -> None:
        self.removed, self.depth, self.width = np.zeros(n), np.zeros(n), np.zeros(n)
        self.hit, self.holder, self.fallen = np.zeros(n), np.zeros(n), np.zeros(n)
        self.over = np.zeros(n, dtype=np.int64)


def _profiles(shapes: list[ToolShape], cell_mm: float) -> FloatArray:
    """The tools as the mill's loops take them."""
    tools = np.zeros((max(len(shapes), 1), heights.TOOL_COLUMNS))
    for tool, shape in zip(tools, shapes, strict=False):
        tool[heights.FORM] = shape.form
        tool[heights.RADIUS] = shape.radius_mm if shape.known else UNLISTED_MM
        tool[heights.TEST_RADIUS] = max(shape.radius_mm - MARGIN_MM, 0.0) if shape.known else 0.8 * cell_mm
        tool[heights.FLAT] = shape.flat_mm if shape.known else UNLISTED_MM
        tool[heights.CORNER] = shape.corner_mm
        tool[heights.SLOPE] = shape.slope
        tool[heights.CUTS] = shape.cuts
        tool[heights.LENGTH] = shape.length_mm
        tool[heights.HOLDER] = shape.holder_mm / 2.0
    return tools


def milling(
    moves: Moves,
    field: Field,
    shapes: list[ToolShape],
    row: IntArray,
    mark_of: IntArray,
    to: Written,
) -> Work:
    """A mill's work on stock seen along the spindle.

    Args:
        moves: of the run. field: the stock, which is cut. shapes: tools by place; row: (n,) each move's place.
        mark_of: (n,) bit of the move's stretch. to: what is written.
    Returns: what cuts a lot of pieces.
    """
    tools = _profiles(shapes, max(field.cell_mm))
    ny, nx = field.heights_mm.shape
    tiles = field.tiles()
    marks = np.zeros((ny, nx), dtype=np.int64)
    bounds, stale = np.zeros(tiles), np.ones(tiles, dtype=np.bool_)
    tile_marks = np.zeros(tiles, dtype=np.int64)
    did, scratch, spans = np.zeros(heights.DID_COLUMNS), np.zeros(heights.DID_COLUMNS), np.zeros((heights.TILE, 2))
    frame = np.array([*field.corner_mm, *field.cell_mm, field.bottom_mm, field.heights_mm.max(initial=field.bottom_mm)])

    def work(whose: IntArray, pieces: FloatArray) -> None:
        heights.lower(
            field.heights_mm, marks, bounds, stale, tile_marks, frame, whose, pieces, moves.motion, moves.skip, row,
            mark_of, tools, MARGIN_MM, to.removed, to.depth, to.width, to.hit, to.holder, to.over, did, scratch, spans,
        )  # fmt: skip

    return work


def milling_round(
    moves: Moves,
    lines: Lines,
    shapes: list[ToolShape],
    row: IntArray,
    mark_of: IntArray,
    setting: IntArray,
    settings: Sequence[Setting],
    to: Written,
) -> Work:
    """A mill's work on stock that is cut from several sides.

    Args:
        moves: of the run. lines: the stock, which is cut. shapes: tools by place; row: (n,) each move's place.
        mark_of: (n,) bit of the move's stretch. setting: (n,) each move's place in `settings`.
        settings: how the work lies.
        to: what is written.
    Returns: what cuts a lot of pieces.
    """
    tools = _profiles(shapes, max(lines.cell_mm))
    marks = np.zeros(lines.counts.shape, dtype=np.int64)
    frame = np.array([*lines.corner_mm, *lines.cell_mm])
    did, ends, box, rest = np.zeros(5), np.zeros((2, 3)), np.zeros((2, 2)), np.zeros((2, dexels.PARTS + 1))
    turns = np.array([one.turn for one in settings], dtype=np.float64).reshape(-1, 3, 3)
    zeros = np.array([one.zero_mm for one in settings], dtype=np.float64).reshape(-1, 3)

    def work(whose: IntArray, pieces: FloatArray) -> None:
        dexels.hollow(
            lines.lows_mm, lines.highs_mm, lines.counts, marks, frame, whose, pieces, moves.offset_mm, turns, zeros,
            setting, moves.motion, moves.skip, row, mark_of, tools, MARGIN_MM,
            to.removed, to.depth, to.hit, to.holder, to.over, did, ends, box, rest,
        )  # fmt: skip
        # Several sides have no one breadth across the path: the mean of what was cut, over its depth and length.
        n = np.unique(whose)
        across = to.depth[n] * moves.length_mm[n]
        mean = np.divide(to.removed[n], across, out=np.zeros(len(n)), where=across > 0.0)
        to.width[n] = np.minimum(mean, 2.0 * tools[row[n], heights.RADIUS])

    return work


def turning(moves: Moves, bar: Bar, shapes: list[ToolShape], row: IntArray, mark_of: IntArray, to: Written) -> Work:
    """A lathe's work.

    Args:
        moves: of the run. bar: the stock, which is cut. shapes: tools by place; row: (n,) each move's place.
        mark_of: (n,) bit of the move's stretch. to: what is written.
    Returns: what cuts a lot of pieces.
    """
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
    did, unused = np.zeros(3), np.zeros(3)

    def work(whose: IntArray, pieces: FloatArray) -> None:
        profile.turn_down(
            bar.outer_mm, bar.inner_mm, sure_outer, sure_inner, marks, bar.origin_mm, bar.cell_mm, whose, pieces,
            moves.motion, moves.skip, row, mark_of, tools, MARGIN_MM, widest,
            to.removed, to.depth, to.hit, to.over, to.fallen, did, unused,
        )  # fmt: skip

    return work
