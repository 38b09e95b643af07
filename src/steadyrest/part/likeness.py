"""How alike two parts are, by their sizes alone: in any pose, from a scan or a solid, with features lost or added.

A part becomes a sketch: for each of a few kinds of size (the box, the volume's edge, round outsides, round insides,
widths) a histogram over sizes on a logarithmic scale, each size smeared by what a scan is off. Two parts are as alike
as their histograms overlap, kind by kind. No order, no axes, no mesh: what one would compare with a rule in hand.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.shop.part import Feature, Part

Sketch = npt.NDArray[np.float32]

KINDS = ("box", "volume", "outside", "inside", "width")
WEIGHTS = (0.30, 0.15, 0.25, 0.20, 0.10)
SMALLEST_MM, LARGEST_MM, STEP = 0.5, 4000.0, 0.03  # three per cent a bin
BINS = math.ceil(math.log(LARGEST_MM / SMALLEST_MM) / STEP)
SMEAR, SMEAR_MM = 0.012, 0.08  # sd of a size, of itself and at least
LEAST = 1e-4  # of a size: less is nothing
ROUND = ("shaft", "bore", "cone", "sphere", "thread", "boss", "hexagon")


def sketch(part: Part) -> Sketch:
    """A part's sketch.

    Args:
        part: read, in mm.
    Returns: (len(KINDS) * BINS,) each kind's sizes as a histogram.
    """
    sizes: dict[str, list[float]] = {kind: [] for kind in KINDS}
    sizes["box"] = [mm for mm in part.size_mm if mm > 0]
    if part.volume_mm3:
        sizes["volume"] = [abs(part.volume_mm3) ** (1 / 3)]
    for feature in part.features:
        kind = _kind(feature)
        if kind:
            sizes[kind].append(_size(feature))
    return np.concatenate([histogram(sizes[kind]) for kind in KINDS])


def _kind(feature: Feature) -> str:
    """Which histogram a feature's first size belongs to; "" for none."""
    if not feature.sizes or feature.kind in ("free", "face", "fillet", "chamfer") or _size(feature) <= 0:
        return ""
    if feature.kind in ROUND:
        return "inside" if feature.inside or feature.kind == "bore" else "outside"
    return "width"


def _size(feature: Feature) -> float:
    first = feature.sizes[0]
    return abs(first.estimate)


def histogram(sizes_mm: Iterable[float]) -> Sketch:
    """Sizes on the logarithmic scale, each smeared; of many equal ones the later count less.

    Args:
        sizes_mm: above 0; those beyond the scale count at its ends.
    Returns: (BINS,) adding up to about the number of different sizes.
    """
    found = np.zeros(BINS)
    centres = math.log(SMALLEST_MM) + STEP * (np.arange(BINS) + 0.5)
    counts: dict[int, int] = {}
    for mm in sorted(sizes_mm):
        at = min(max(math.log(mm), centres[0]), centres[-1])
        alike = round(at / SMEAR / 2)
        counts[alike] = counts.get(alike, 0) + 1
        sd = max(SMEAR, SMEAR_MM / mm, STEP / 2)
        bell = np.exp(-0.5 * ((centres - at) / sd) ** 2)
        found += bell / bell.sum() / counts[alike]
    return found.astype(np.float32)


@dataclass(frozen=True, slots=True)
class Sketches:
    """Many parts' sketches, laid out to be compared with one: columns (D, n), totals (len(KINDS), n) of each kind."""

    columns: Sketch
    totals: Sketch

    @property
    def count(self) -> int:
        return self.columns.shape[1]


def laid_out(sketches: Sequence[Sketch]) -> Sketches:
    """Sketches beside one another.

    Args:
        sketches: (D,) each; may be none.
    Returns: the same, laid out.
    """
    size = len(KINDS) * BINS
    rows = np.stack(sketches) if sketches else np.zeros((0, size), np.float32)
    totals = rows.reshape(len(rows), len(KINDS), BINS).sum(axis=2)
    return Sketches(np.ascontiguousarray(rows.T), np.ascontiguousarray(totals.T))


def likeness(many: Sketches, one: Sketch) -> Sketch:
    """How alike each of many parts is to one.

    Args:
        many: n parts.
        one: (D,) of the one.
    Returns: (n,) 0 (nothing in common) to 1 (alike in every size).
    """
    score, weight = np.zeros(many.count, np.float32), np.zeros(many.count, np.float32)
    for k, share in enumerate(WEIGHTS):
        this = one[k * BINS : (k + 1) * BINS]
        whole = np.maximum(many.totals[k], this.sum())
        used = k * BINS + np.flatnonzero(this > LEAST)  # where this part has nothing, nothing can be in common
        common = np.minimum(many.columns[used], one[used, None]).sum(axis=0)
        there = whole > LEAST
        score += np.where(there, np.float32(share) * common / np.maximum(whole, LEAST), np.float32(0))
        weight += np.where(there, np.float32(share), np.float32(0))
    return np.minimum(score / np.maximum(weight, LEAST), np.float32(1))
