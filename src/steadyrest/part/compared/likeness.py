"""How alike two parts are, by their sizes alone: in any pose, from a scan or a solid, with features lost or added.

A part becomes a sketch: for each of a few kinds of size (the box, the volume's edge, round outsides, round insides,
widths) a histogram over sizes on a logarithmic scale, each size smeared by what a scan is off. Two parts are as alike
as their histograms overlap, kind by kind. No order, no axes, no mesh: what one would compare with a rule in hand.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
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
EMPTY = 1e-6
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
class Thin:
    """A sketch without its empty bins: a part has some dozens of sizes, and a sketch a thousand and more bins."""

    bins: npt.NDArray[np.uint16]
    values: Sketch


def thinned(one: Sketch) -> Thin:
    """A sketch (D,) without its empty bins."""
    bins = np.flatnonzero(one > EMPTY).astype(np.uint16)
    return Thin(bins, one[bins])


@dataclass(frozen=True, slots=True)
class Sketches:
    """Many parts' sketches, laid out bin by bin, to be compared with one.

    begins: (D + 1,) where each bin's parts begin. parts, values: (m,) which parts have something there, and how much.
    totals: (len(KINDS), n) of each kind.
    """

    begins: npt.NDArray[np.int64]
    parts: npt.NDArray[np.int32]
    values: Sketch
    totals: Sketch

    @property
    def count(self) -> int:
        return self.totals.shape[1]


def laid_out(sketches: Iterable[Sketch | Thin]) -> Sketches:
    """Sketches beside one another.

    Args:
        sketches: (D,) each, or thinned; may be none.
    Returns: the same, laid out.
    """
    thin = [one if isinstance(one, Thin) else thinned(one) for one in sketches]
    bins = np.concatenate([one.bins for one in thin]) if thin else np.zeros(0, np.uint16)
    values = np.concatenate([one.values for one in thin]) if thin else np.zeros(0, np.float32)
    parts = np.repeat(np.arange(len(thin), dtype=np.int32), [len(one.bins) for one in thin])
    kind_of = (bins // BINS).astype(np.int64)
    totals = np.bincount(kind_of * len(thin) + parts, values, len(KINDS) * len(thin)).reshape(len(KINDS), len(thin))
    order = np.argsort(bins, kind="stable")
    begins = np.searchsorted(bins[order], np.arange(len(KINDS) * BINS + 1))
    return Sketches(begins, parts[order], values[order].astype(np.float32), totals.astype(np.float32))


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
        common = np.zeros(many.count, np.float32)
        for at in np.flatnonzero(this > LEAST):  # where this part has nothing, nothing can be in common
            begin, end = many.begins[k * BINS + at : k * BINS + at + 2]
            common[many.parts[begin:end]] += np.minimum(many.values[begin:end], this[at])
        there = whole > LEAST
        score += np.where(there, np.float32(share) * common / np.maximum(whole, LEAST), np.float32(0))
        weight += np.where(there, np.float32(share), np.float32(0))
    return np.minimum(score / np.maximum(weight, LEAST), np.float32(1))
