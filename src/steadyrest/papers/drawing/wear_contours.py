"""A worn seat laid flat, with numbered contours: where it is worn, how deep, and how far round."""

from __future__ import annotations

import itertools
import math
from typing import cast

import numpy as np
import numpy.typing as npt
from contourpy import FillType, LineType, contour_generator
from scipy import ndimage

from steadyrest import units
from steadyrest.papers.drawing import ink, legend
from steadyrest.papers.drawing.ink import Palette
from steadyrest.shop.part import Part, WearMap

FloatArray = npt.NDArray[np.float64]

MOST = 3
LOWEST_MM, HIGHEST_MM = 16.0, 46.0
LEFT_MM, FOOT_MM = 4.0, 6.0
SMOOTH_CELLS = 0.8
ROOM_FOR_NUMBER_MM = 2.6


def wear_contours(part: Part, *, unit: str, width: float, top: float, colours: Palette) -> legend.Block:
    """The worn seats of a part, each laid flat, one below the other.

    Args:
        part: with its wear maps.
        unit: the reader's, "mm" or "in".
        width: of the drawing. top: where the block begins.
        colours: of the drawing.
    Returns: shapes and height; nothing where no map is there.
    """
    shapes = list[str]()
    y = top
    deepest_first = sorted(part.wear_maps, key=lambda m: -(part.feature(m.feature).wear_mm or 0.0))
    for one in deepest_first[:MOST]:
        block = _laid_flat(part, one, unit=unit, width=width, top=y, colours=colours)
        shapes.extend(block.shapes)
        y += block.height
    return legend.Block(tuple(shapes), y - top)


def _laid_flat(part: Part, one: WearMap, *, unit: str, width: float, top: float, colours: Palette) -> legend.Block:
    feature = part.feature(one.feature)
    reader = "in" if unit == "in" else "mm"
    begin, end = (units.show_length(round(mm, 1), reader, fractions=False).split(" ")[0] for mm in one.along_mm)
    numeral = feature.id.lstrip("F") or feature.id
    head = f"{numeral} laid flat, once round; down the side from {begin} to {end} {reader} along the part"
    shapes = list[str]()
    y = top
    for row in legend.wrapped(head, legend.SMALL, width - 4):
        y += 4.7
        shapes.append(ink.text((2, y), row, size=legend.SMALL, fill=colours.ink, bold=True))
    y += 2.0
    across = width - 2 * LEFT_MM
    round_mm = math.pi * feature.sizes[0].estimate
    high = min(max((one.along_mm[1] - one.along_mm[0]) / round_mm * across, LOWEST_MM), HIGHEST_MM)
    shapes.extend(_contours(one, left=LEFT_MM, top=y, across=across, high=high, colours=colours))
    frame = [(LEFT_MM, y), (LEFT_MM + across, y), (LEFT_MM + across, y + high), (LEFT_MM, y + high)]
    shapes.append(ink.polygon(frame, fill="none", stroke=colours.ink, width=0.3))
    for k, said in enumerate(("½ turn", "¼ turn", "deepest", "¼ turn", "½ turn")):
        x = LEFT_MM + k * across / 4
        shapes.append(ink.line((x, y + high), (x, y + high + 1.4), colours.soft, width=0.2))
        anchor = "start" if k == 0 else "end" if k == 4 else "middle"
        shapes.append(ink.text((x, y + high + 4.9), said, size=legend.SMALL * 0.9, fill=colours.soft, anchor=anchor))
    return legend.Block(tuple(shapes), y + high + FOOT_MM - top + 1.5)


def _contours(one: WearMap, *, left: float, top: float, across: float, high: float, colours: Palette) -> list[str]:
    """Bands of equal depth, their edges, and a number in each that has room for one."""
    depth = _smooth(one)
    rows, columns = depth.shape
    # Cell middles, with the first column repeated after the last: it is once round.
    x = left + (np.arange(columns + 2) - 0.5) / columns * across
    y = top + np.clip((np.arange(rows) + 0.5) / rows * high, 0, high)
    y[0], y[-1] = top, top + high
    x[0], x[-1] = left, left + across
    around = np.ma.concatenate([depth[:, -1:], depth, depth[:, :1]], axis=1)
    edge = 0.5 * (around[:, :1] + around[:, 1:2])
    around[:, 0], around[:, -1] = edge[:, 0], edge[:, 0]
    drawn = contour_generator(x, y, around, fill_type=FillType.OuterOffset, line_type=LineType.Separate)
    levels = (-math.inf, *ink.WEAR_STEPS_MM, math.inf)
    shapes = list[str]()
    for step, (low, upper) in enumerate(itertools.pairwise(levels), start=1):
        bands = cast("tuple[list[FloatArray], list[FloatArray]]", drawn.filled(low, upper))
        fill = colours.body if step == 1 else colours.wear(step)
        for outline, ends in zip(*bands, strict=True):
            path = "".join(
                "M" + "L".join(f"{ink.number(px)} {ink.number(py)}" for px, py in outline[a:b]) + "Z"
                for a, b in itertools.pairwise(ends.tolist())
            )
            shapes.append(ink.element("path", d=path, fill=fill, fill_rule="evenodd"))
    for level in ink.WEAR_STEPS_MM:
        shapes.extend(
            ink.polyline([(float(px), float(py)) for px, py in line], colours.ink, width=0.18)
            for line in cast("list[FloatArray]", drawn.lines(level))
        )
    shapes.extend(_numbers(around, x, y, colours))
    return shapes


def _smooth(one: WearMap) -> np.ma.MaskedArray[tuple[int, int], np.dtype[np.float64]]:
    """The map evened over about a cell, so that a contour follows the wear and not the noise; gaps stay gaps."""
    raw = np.array([[math.nan if cell is None else cell for cell in row] for row in one.depth_mm])
    seen = np.isfinite(raw)
    weight, total = _blurred(seen.astype(np.float64)), _blurred(np.where(seen, raw, 0.0))
    evened = np.divide(total, weight, out=np.zeros_like(total), where=weight > 0.0)
    return np.ma.masked_array(evened, mask=~seen)


def _blurred(cells: FloatArray) -> FloatArray:
    """Evened along the axis and once round."""
    along = ndimage.gaussian_filter1d(cells, SMOOTH_CELLS, axis=0, mode="nearest")
    return cast(FloatArray, ndimage.gaussian_filter1d(along, SMOOTH_CELLS, axis=1, mode="wrap"))


def _numbers(
    around: np.ma.MaskedArray[tuple[int, int], np.dtype[np.float64]], x: FloatArray, y: FloatArray, colours: Palette
) -> list[str]:
    """The number of each step from the second on, where its largest patch is widest."""
    filled = np.ma.filled(around, -1.0)
    pitch = (float(np.median(np.diff(y))), float(np.median(np.diff(x))))
    step = 1 + np.searchsorted(np.array(ink.WEAR_STEPS_MM), filled, side="left")
    shapes = list[str]()
    for number in range(2, len(ink.WEAR_STEPS_MM) + 2):
        band = np.pad(step == number, 1)
        inward = cast(FloatArray, ndimage.distance_transform_edt(band, sampling=pitch))[1:-1, 1:-1]
        row, column = np.unravel_index(int(np.argmax(inward)), inward.shape)
        if inward[row, column] < ROOM_FOR_NUMBER_MM / 2:
            continue
        at = (float(x[column]), float(y[row]) + 1.2)
        shapes.append(
            ink.text(at, str(number), size=legend.SMALL, fill=colours.on_wear(number), anchor="middle", bold=True)
        )
    return shapes
