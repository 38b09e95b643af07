"""What was read set against what is true: which sizes were found, how far off, how they were named."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, pi

import numpy as np
import numpy.typing as npt

from steadyrest.demo.scan import pose_of
from steadyrest.demo.scanning.true_part import CrossHole, TrueGroove, TruePart, TrueSize, truth
from steadyrest.shop.part import Feature, Nominal, Part
from tests.scoring.drawn import Drawn

FOUND_MM, FOUND_WORN_MM, FOUND_LENGTH_MM = 0.05, 0.08, 0.15
SAME_MM = 2e-3
SEEN_ENOUGH = 0.3  # of its surface: what the scanner did not see, nobody can find


@dataclass(frozen=True, slots=True)
class Placed:
    """A feature that was read, in the true part's frame. at_mm, low_mm, high_mm: along its axis. off_mm: beside it."""

    feature: Feature
    at_mm: float
    low_mm: float
    high_mm: float
    off_mm: float


@dataclass(frozen=True, slots=True)
class Row:
    """One true size and what was read of it. name: diameter, width, length. off_mm: read minus made; None unfound."""

    seed: int
    kind: str
    name: str
    drawn_mm: float
    made_mm: float
    worn_mm: float
    odd: bool
    seen: float
    off_mm: float | None
    u_mm: float
    nominal: Nominal | None

    @property
    def found(self) -> bool:
        if self.off_mm is None:
            return False
        limit = FOUND_LENGTH_MM if self.name == "length" else FOUND_WORN_MM if self.worn_mm else FOUND_MM
        return abs(self.off_mm) <= limit

    @property
    def right(self) -> bool:
        """Named as drawn, or an odd size kept as measured and near."""
        if self.nominal is None:
            return False
        if abs(self.nominal.value - self.drawn_mm) < SAME_MM:
            return True
        return self.odd and self.nominal.source == "as measured" and abs(self.nominal.value - self.drawn_mm) < 0.1


@dataclass(frozen=True, slots=True)
class Matched:
    """rows: every true size. false: shafts and bores that were read and are none, as (seed, text)."""

    rows: tuple[Row, ...]
    false: tuple[tuple[int, str], ...]


def matched(seed: int, case: Drawn, part: Part, points: npt.NDArray[np.float64]) -> Matched:
    """True sizes with what was read of them.

    Args:
        seed: of the case, to look at it again. case: what was drawn. part: what was read. points: (n, 3) of the scan.
    Returns: a row for each true diameter, width and length; what was read and is not there.
    """
    pose = pose_of(case.part, case.settings, seed)
    own = pose.back(points / (1 + case.settings.scale_error))
    placed = [where(f, pose.back(np.array([f.at_mm]))[0]) for f in part.features if f.kind != "face"]
    rows: list[Row] = []
    used: set[str] = set()
    sizes = truth(case.part)
    for size in sizes:
        for kind, name, key, drawn_mm, made_mm in asked(size):
            left = [p for p in placed if size.kind != "hole" or p.feature.id not in used]
            best = nearest(case.part, size, left, kind, key, made_mm)
            if best is not None and size.kind == "hole":
                used.add(best.feature.id)  # six holes of one circle need six that were read
            found = best.feature.size(key) if best else None
            if found is not None and name == "length":
                drawn_mm = made_mm = nearest_length(case.part, size, found.estimate)
            odd = any(abs(drawn_mm - o) < 1e-6 for o in case.odd) or made_odd(size, name)
            rows.append(
                Row(
                    seed, size.kind, name, drawn_mm, made_mm, 0.0 if name == "length" else size.worn_mm, odd,
                    seen_share(size, own, case.settings.voxel_mm, case.part),
                    found.estimate - made_mm if found else None, found.uncertainty if found else 0.0,
                    found.nominal if found else None,
                )
            )  # fmt: skip
    return Matched(tuple(rows), tuple((seed, text) for text in invented(sizes, placed)))


def where(feature: Feature, at: npt.NDArray[np.float64]) -> Placed:
    half = abs(feature.along_mm[1] - feature.along_mm[0]) / 2 if feature.along_mm else 0.0
    return Placed(feature, float(at[2]), float(at[2]) - half, float(at[2]) + half, hypot(at[0], at[1]))


def made_odd(size: TrueSize, name: str) -> bool:
    """A cone's larger end and lengths of what a break took have no drawn size to be named by."""
    return size.kind == "cone" or name == "length"


def nearest_length(part: TruePart, size: TrueSize, read_mm: float) -> float:
    """A stretch's length with or without its chamfers and up to a groove's wall, whichever was meant."""
    low, high = size.along_mm
    at = 0.0
    lows, highs = [low], [high]
    for s in part.stretches:
        if abs(at - low) < 1e-9:
            lows.append(low + s.chamfer_mm[0])
            highs.append(high - s.chamfer_mm[1])
        at += s.length_mm
    walls = [c.at_mm + side * c.width_mm / 2 for c in part.cuts if isinstance(c, TrueGroove) for side in (-1, 1)]
    walls = [w for w in walls if low < w < high]
    return min((b - a for a in (*lows, *walls) for b in (*highs, *walls) if b > a), key=lambda x: abs(x - read_mm))


def asked(size: TrueSize) -> Sequence[tuple[str, str, str, float, float]]:
    """What of a true size is looked for: (feature kind, what it is, key, drawn, made)."""
    match size.kind:
        case "shaft" | "bore":
            long = size.along_mm[1] - size.along_mm[0]
            length = [("shaft", "length", "length_mm", long, long)] if size.kind == "shaft" else []
            return [(size.kind, "diameter", "diameter_mm", size.size_mm, size.made_mm), *length]
        case "hole":
            return [("bore", "diameter", "diameter_mm", size.size_mm, size.made_mm)]
        case "keyway":
            return [("keyway", "width", "width_mm", size.size_mm, size.made_mm)]
        case "groove":
            return [
                ("groove", "width", "width_mm", size.size_mm, size.made_mm),
                ("groove", "floor", "diameter_mm", size.depth_mm, size.depth_mm),
            ]
        case _:
            return []


def nearest(
    part: TruePart, size: TrueSize, placed: Sequence[Placed], kind: str, key: str, made_mm: float
) -> Placed | None:
    """The feature of this kind that lies there and comes nearest in size."""
    low, high = size.along_mm
    best: tuple[float, Placed] | None = None
    for one in placed:
        found = one.feature.size(key)
        diameter = one.feature.size("diameter_mm")
        if one.feature.kind != kind or found is None:
            continue
        if key == "length_mm" and (diameter is None or abs(diameter.estimate - size.made_mm) > 1.0):
            continue
        overlap = min(one.high_mm, high) - max(one.low_mm, low)
        near = overlap > 0.2 * min(high - low, max(one.high_mm - one.low_mm, 0.1)) or low - 1 < one.at_mm < high + 1
        on_axis = one.off_mm < 2.0
        if size.kind in ("bore", "shaft", "groove") and not (near and on_axis):
            continue
        if size.kind == "hole" and not (low - 0.6 * made_mm - 40 < one.at_mm < high + 0.6 * made_mm + 40):
            continue
        if size.kind == "keyway" and not near:
            continue
        meant = nearest_length(part, size, found.estimate) if key == "length_mm" else made_mm
        off = abs(found.estimate - meant)
        if off < (3.0 if key == "length_mm" else 1.5) and (best is None or off < best[0]):
            best = (off, one)
    return best[1] if best else None


def invented(sizes: Sequence[TrueSize], placed: Sequence[Placed]) -> list[str]:
    """Cylinders that were read and match no true one within a third of a millimetre."""
    texts: list[str] = []
    for one in placed:
        diameter = one.feature.size("diameter_mm")
        if one.feature.kind not in ("shaft", "bore") or diameter is None:
            continue
        inside = one.feature.kind == "bore"
        names = ("bore", "hole") if inside else ("shaft", "groove")
        there = any(
            s.kind in names and abs((s.depth_mm if s.kind == "groove" else s.made_mm) - diameter.estimate) < 0.35
            and (s.kind == "hole" or (one.low_mm < s.along_mm[1] + 0.5 and one.high_mm > s.along_mm[0] - 0.5))
            for s in sizes
        )  # fmt: skip
        if not there:
            texts.append(
                f"{one.feature.kind} {diameter.estimate:.3f} at {one.low_mm:.1f}..{one.high_mm:.1f} "
                f"off {one.off_mm:.1f} seen {one.feature.seen:.2f}"
            )
    return texts


def seen_share(size: TrueSize, own: npt.NDArray[np.float64], voxel_mm: float, part: TruePart) -> float:
    """Share of a round stretch that the scan has points on, in cells of three voxels; 1 for what is not round."""
    if size.kind not in ("shaft", "bore", "groove"):
        return hole_seen(size, own, part) if size.kind == "hole" else 1.0
    low, high = size.along_mm
    radius = (size.depth_mm if size.kind == "groove" else size.made_mm) / 2
    rho = np.hypot(own[:, 0], own[:, 1])
    on = (own[:, 2] > low) & (own[:, 2] < high) & (np.abs(rho - radius) < 0.2 + 1.2 * size.worn_mm)
    rows, columns = max(1, int((high - low) / (3 * voxel_mm))), max(8, int(2 * pi * radius / (3 * voxel_mm)))
    row = np.minimum(((own[on, 2] - low) / (high - low) * rows).astype(int), rows - 1)
    column = ((np.arctan2(own[on, 1], own[on, 0]) / (2 * pi) + 0.5) * columns).astype(int) % columns
    return len(np.unique(row * columns + column)) / (rows * columns)


def hole_seen(size: TrueSize, own: npt.NDArray[np.float64], part: TruePart) -> float:
    """For a hole, whether the scan reached its wall: points on it against twice a girth's worth."""
    count = 0
    for cut in part.cuts:
        if isinstance(cut, CrossHole) and cut.diameter_mm == size.size_mm and cut.at_mm == size.along_mm[0]:
            c, s = np.cos(cut.angle_rad), np.sin(cut.angle_rad)
            up, across = own[:, 0] * c + own[:, 1] * s, own[:, 1] * c - own[:, 0] * s
            off = np.abs(np.hypot(across, own[:, 2] - cut.at_mm) - cut.diameter_mm / 2)
            count = int(((off < 0.15) & (up > -cut.reach_mm)).sum())
            return min(1.0, count / (8 * cut.diameter_mm))
    return 1.0
