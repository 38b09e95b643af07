"""Seats built up by weld or metal spray and left rough: an earlier repair, which stands proud of the old surface.

Wear leaves calm land above worn surface; a repair leaves calm surface below a rough patch. So where what stands proud
is rough and lies on one side, and the rest of the round is as even as the scan's noise from end to end, the lower level
is the seat's. A patch that was dressed smooth, or a sleeve that lost the rest of its round, leaves no such mark: then
both levels are told, and the sizes of the part and a file in the owner's hand decide.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from steadyrest.part.wear.seat_cells import Cells, lasting, location

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]

CLEAR = 3.0  # sigmas of a cell from which it stands proud
LEAST_MM = 0.06  # lower may be drift or a burr
MOST_ROUND = 0.5  # of the round that a patch may take; where more stands high, less is worn
EVEN = 1.2  # times what noise alone scatters: the rest of a sound seat
ROUGH = 1.03  # of the rest's scatter, about a hump that takes most of a calm strip's: a bead left as it was laid
FEWEST_TIMES = 2  # as many cells as the hump has numbers


@dataclass(frozen=True, slots=True)
class BuiltUp:
    """A repair. level_mm: outward of a shaft, of the old surface. proud_mm: 95th percentile above it.

    rest: (n,) cells of the old surface. along_mm: from where to where the patch reaches. rough: left as it was laid.
    """

    level_mm: float
    proud_mm: float
    rest: BoolArray
    along_mm: tuple[float, float]
    rough: bool


def built_up(cells: Cells) -> BuiltUp | None:
    """The rough patch that stands proud of an otherwise sound seat.

    Args:
        cells: of the seat, small ones.
    Returns: the repair; None where there is none, or where wear explains the seat as well.
    """
    patch = proud_patch(cells)
    return patch if patch is not None and patch.rough else None


def proud_patch(cells: Cells) -> BuiltUp | None:
    """What stands proud, rough or smooth, of a seat that is round and even elsewhere; None where nothing does.

    Args:
        cells: of the seat, small ones, about an axis that others told.
    """
    above = cells.level - float(np.median(cells.level))
    proud = lasting(above > max(CLEAR * cells.sigma_mm, LEAST_MM), cells, len(cells.level))
    if not proud.any():
        return None
    high = np.zeros(cells.columns, dtype=np.bool_)
    high[cells.column[proud]] = True
    beside = high | np.roll(high, 1) | np.roll(high, -1)
    rest = ~beside[cells.column]
    if high.sum() > MOST_ROUND * cells.columns or np.count_nonzero(rest) < MOST_ROUND / 2 * len(rest):
        return None
    left = _only(cells, rest)
    level = location(left)
    turned = np.stack((np.ones_like(left.angle), np.cos(left.angle), np.sin(left.angle)), axis=1)
    off = left.level - turned @ np.linalg.lstsq(turned, left.level, rcond=None)[0]
    scatter = float(np.sqrt(np.mean(np.square(off))))
    if scatter > EVEN * cells.sigma_mm:
        return None
    rough = _roughness(cells, proud) >= ROUGH * scatter
    where = (float(cells.along[proud].min()), float(cells.along[proud].max()))
    return BuiltUp(level, float(np.quantile((cells.level - level)[proud], 0.95)), rest, where, rough)


def _only(cells: Cells, some: BoolArray) -> Cells:
    return replace(
        cells, level=cells.level[some], angle=cells.angle[some], along=cells.along[some], row=cells.row[some],
        column=cells.column[some],
    )  # fmt: skip


def _roughness(cells: Cells, some: BoolArray) -> float:
    """Scatter of cells about the smooth hump that they form: what rises and falls gently does not count."""
    turn = np.angle(np.exp(1j * (cells.angle[some] - _middle(cells.angle[some]))))
    z = cells.along[some] - float(cells.along[some].mean())
    a = turn / max(float(np.abs(turn).max()), 1e-9)
    z = z / max(float(np.abs(z).max()), 1e-9)
    smooth = np.stack((np.ones_like(a), a, a * a, a**3, a**4, z, z * z, z * a), axis=1)
    if len(a) < FEWEST_TIMES * smooth.shape[1]:
        return 0.0
    off = cells.level[some] - smooth @ np.linalg.lstsq(smooth, cells.level[some], rcond=None)[0]
    return float(np.sqrt(np.sum(np.square(off)) / (len(a) - smooth.shape[1])))


def _middle(angle: FloatArray) -> float:
    return float(np.angle(np.exp(1j * angle).sum()))
