"""Where the faces of a part that is not turned stand along its own three directions, measured and nominal.

A size that is named puts two levels its nominal value apart; what nobody named stays where it was read.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.part.handover.nominal_profile import is_named, named_mm
from steadyrest.shop.part import Part, Surface, Vec3

FloatArray = npt.NDArray[np.float64]
EXACT_RAD, LOOSE_RAD = 1e-4, 0.02  # how far off a direction a face may lean: of a solid, of a scan
LENGTHS = ("width_mm", "length_mm", "depth_mm")
HARD = 1e4  # how much more a named size counts than where a face was read
KEPT_MM = 1e-4


@dataclass(frozen=True, slots=True)
class Level:
    """One place along a direction where faces stand. at_mm: as read; nominal_mm: where it is drawn.

    sense: +1 where its faces look along the direction, -1 against it, 0 both ways or none. features: whose they are.
    """

    at_mm: float
    nominal_mm: float
    sense: int
    features: frozenset[str]


@dataclass(frozen=True, slots=True)
class Levels:
    """The levels along each of three directions, in order. slack_mm: how near to one another two count as one."""

    axes: tuple[tuple[Level, ...], tuple[Level, ...], tuple[Level, ...]]
    slack_mm: float

    def beyond(self, axis: int, at_mm: float, sense: int, *, within_mm: float) -> float | None:
        """The nearest level with a face on it, on one side of a place; None where none is so near."""
        ahead = [one for one in self.axes[axis] if one.features and 0 < sense * (one.at_mm - at_mm) <= within_mm]
        return min(ahead, key=lambda one: abs(one.at_mm - at_mm)).nominal_mm if ahead else None

    def stands_at(self, axis: int, at_mm: float, *, within_mm: float) -> bool:
        """Whether a level is so near to a place."""
        return any(abs(level.at_mm - at_mm) <= within_mm for level in self.axes[axis])

    def nominal(self, axis: int, at_mm: float, *, within_mm: float | None = None) -> float:
        """Where a place along a direction is drawn: with the level that it stands at, or as far from the nearest."""
        levels = self.axes[axis]
        if not levels:
            return at_mm
        near = min(levels, key=lambda level: abs(level.at_mm - at_mm))
        off = at_mm - near.at_mm
        return near.nominal_mm + (0.0 if abs(off) <= (self.slack_mm if within_mm is None else within_mm) else off)


def levels_of(part: Part, frame: FloatArray, ends: tuple[FloatArray, FloatArray], *, split: bool) -> Levels:
    """The levels of a part.

    Args:
        part: with its surfaces.
        frame: (3, 3) its own directions as rows.
        ends: lowest and highest corner of its cells, along those directions.
        split: a slanted face makes levels where it ends.
    Returns: levels, the outermost where the part itself ends.
    """
    size_mm = float(np.max(ends[1] - ends[0]))
    scan = part.kind == "scan"
    slack_mm = max(0.05, 2 * part.noise_mm) if scan else 1e-5 * size_mm
    pitch_mm = part.grid.pitch_mm if part.grid is not None else 0.0
    chamfers = frozenset(f.id for f in part.features if f.kind == "chamfer")
    axes = tuple(
        with_names(
            part,
            merged(
                places(part.surfaces, chamfers, frame, axis, scan=scan, split=split),
                slack_mm,
                (ends[0][axis], ends[1][axis]),
                pitch_mm,
            ),
            scan=scan,
        )
        for axis in range(3)
    )
    return Levels((axes[0], axes[1], axes[2]), slack_mm)


def places(
    surfaces: Sequence[Surface], chamfers: frozenset[str], frame: FloatArray, axis: int, *, scan: bool, split: bool
) -> list[tuple[float, float, int, str | None]]:
    """(where, area, sense, feature) of the faces square to a direction, and of rounds and slants that end there."""
    way = frame[axis]
    least = math.cos(LOOSE_RAD if scan else EXACT_RAD)
    found: list[tuple[float, float, int, str | None]] = []
    for surface in surfaces if split else ():
        slanted = surface.kind == "plane" and surface.feature not in chamfers and slants_once(surface, frame, least)
        if slanted and abs(float(way @ np.array(surface.axis))) > LOOSE_RAD:
            points = np.array(surface.reach_mm) @ way
            found += [(float(end), 1e-6 * surface.area_mm2, 0, None) for end in (points.min(), points.max())]
    for surface in surfaces:
        along = float(way @ np.array(surface.axis))
        if surface.kind == "plane" and abs(along) >= least:
            found.append((float(way @ np.array(surface.point_mm)), surface.area_mm2, sign(along), surface.feature))
        elif surface.kind == "cylinder" and abs(along) < 1e-3 and is_round_end(surface, frame):
            middle, points = float(way @ np.array(surface.point_mm)), np.array(surface.reach_mm) @ way
            for sense, end in ((-1, float(points.min())), (1, float(points.max()))):
                top = middle + sense * surface.radius_mm
                if abs(end - top) < 0.02 * surface.radius_mm:
                    found.append((top, 1e-3 * surface.area_mm2, -sense if surface.inside else sense, surface.feature))
    return found


def slants_once(surface: Surface, frame: FloatArray, least: float) -> bool:
    """Whether a plane runs along one direction and slants between the two others."""
    normal = np.abs(frame @ np.array(surface.axis))
    return bool(normal.max() < least and normal.min() < LOOSE_RAD)


def is_round_end(surface: Surface, frame: FloatArray) -> bool:
    """Whether a cylinder lies along a direction of the part and reaches half way round at most."""
    along = float(np.abs(frame @ np.array(surface.axis)).max())
    return along > math.cos(LOOSE_RAD) and surface.arc_rad < math.radians(200)


def merged(
    found: Sequence[tuple[float, float, int, str | None]],
    slack_mm: float,
    ends: tuple[float, float],
    pitch_mm: float,
) -> list[Level]:
    """Places as near to one another as the slack are one level; the part's ends are levels too."""
    every = sorted(found)
    for end in ends:
        if all(abs(at - end) > pitch_mm + slack_mm for at, *_ in every):
            every.append((float(end), 0.0, 0, None))
    levels: list[Level] = []
    group: list[tuple[float, float, int, str | None]] = []
    for place in sorted(every):
        if group and place[0] - group[-1][0] > slack_mm:
            levels.append(one_level(group))
            group = []
        group.append(place)
    return [*levels, one_level(group)] if group else levels


def one_level(group: Sequence[tuple[float, float, int, str | None]]) -> Level:
    """One level of several places, each by its area."""
    total = sum(area for _, area, _, _ in group)
    at = sum(a * area for a, area, _, _ in group) / total if total > 0 else group[0][0]
    if max(a for a, *_ in group) - min(a for a, *_ in group) < 1e-9:
        at = group[0][0]
    senses = {sense for *_, sense, _ in group} - {0}
    sense = senses.pop() if len(senses) == 1 else 0
    return Level(at, at, sense, frozenset(f for *_, f in group if f is not None))


def with_names(part: Part, levels: list[Level], *, scan: bool) -> tuple[Level, ...]:
    """Levels moved so that the sizes that are named stand between them; sizes that contradict each other do not."""
    off_mm = max(0.1, 4 * part.noise_mm) if scan else 1e-4
    wanted: list[tuple[int, int, float]] = []
    for feature in part.features:
        for size in feature.sizes:
            if size.name not in LENGTHS or not is_named(size):
                continue
            pairs = [
                (abs(b.at_mm - a.at_mm - size.estimate), i, k)
                for i, a in enumerate(levels)
                for k, b in enumerate(levels[i + 1 :], i + 1)
                if feature.id in a.features or feature.id in b.features
            ]
            if pairs and min(pairs)[0] <= off_mm:
                _, i, k = min(pairs)
                wanted.append((i, k, named_mm(size, size.estimate)))
    at = np.array([level.at_mm for level in levels])
    while wanted:
        drawn = solved(at, wanted)
        off = [abs(drawn[k] - drawn[i] - value) for i, k, value in wanted]
        if max(off) < KEPT_MM:
            break
        wanted.pop(int(np.argmax(off)))
    drawn = solved(at, wanted)
    return tuple(
        Level(level.at_mm, float(nominal), level.sense, level.features)
        for level, nominal in zip(levels, drawn, strict=True)
    )


def solved(at: FloatArray, wanted: Sequence[tuple[int, int, float]]) -> FloatArray:
    """Places as near as can be to where they were read, with some of them so far apart."""
    if not wanted or len(at) == 0:
        return at
    rows = np.zeros((len(wanted), len(at)))
    for row, (i, k, _) in zip(rows, wanted, strict=True):
        row[k], row[i] = HARD, -HARD
    left = np.vstack([np.eye(len(at)), rows])
    right = np.concatenate([at, HARD * np.array([value for *_, value in wanted])])
    return np.asarray(np.linalg.lstsq(left, right, rcond=None)[0], dtype=np.float64)


def sign(value: float) -> int:
    return 1 if value > 0 else -1


def along_frame(frame: FloatArray, point: Vec3) -> FloatArray:
    """A point of the file's frame along a part's own directions."""
    return frame @ np.array(point)
