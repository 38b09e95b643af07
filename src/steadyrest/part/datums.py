"""What places are measured from: faces that a machinist can lay on parallels and against a stop; an axis and an end.

The file's own zero lies anywhere. A part that is not turned has its largest outside face (A), the largest one square to
it (B), and one square to both (C); a turned part its axis (A) and the end with the larger face (B).
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from steadyrest.part.features.find import Found
from steadyrest.part.features.frame import dot, minus, norm, plus
from steadyrest.part.patch import Patch, PatchGraph
from steadyrest.shop.figure import because
from steadyrest.shop.part import Datum, DatumPlace, Feature, Profile

FloatArray = npt.NDArray[np.float64]
SQUARE = 0.02  # cosine up to which two directions count as square to each other
LEAST_SHARE = 0.02  # of the whole surface, for a face to lie on: three points far apart hold it, a rim does not
OUTSIDE_SHARE = 1e-4  # of the box's diagonal
NAMES = (("A", "datums.a"), ("B", "datums.b"), ("C", "datums.c"))
NOT_PLACED = ("face", "fillet", "chamfer", "free")


def datums_of(graph: PatchGraph, found: Found) -> tuple[Datum, ...]:
    """The datums of a part.

    Args:
        graph: its patches.
        found: its features, and which patches they explain.
    Returns: A, B, C, as many as it has; none for several solids in one file, or without an outside flat.
    """
    if (graph.solids or 1) > 1:
        return ()
    if found.profile is not None:
        return turned_datums(found.profile, found.features)
    whose = dict(found.whose)
    chosen: list[Datum] = []
    points = [p.points for p in graph.patches if p.points is not None and len(p.points)]
    if not points:
        return ()
    everywhere = np.concatenate(points)
    slack_mm = OUTSIDE_SHARE * norm(minus(graph.box_mm[1], graph.box_mm[0])) + (4 * graph.noise_mm)
    planes = sorted((p for p in graph.patches if p.kind == "plane"), key=lambda p: (-round(p.area_mm2, 3), p.id))
    for plane in planes:
        if len(chosen) == len(NAMES) or plane.area_mm2 < LEAST_SHARE * graph.area_mm2:
            break
        square = all(abs(dot(plane.axis, datum.axis)) < SQUARE for datum in chosen)
        if square and is_outermost(plane, everywhere, slack_mm):
            name, why = NAMES[len(chosen)]
            chosen.append(Datum(name, "face", whose.get(plane.id), plane.point, plane.axis, (because(why),)))
    return tuple(chosen)


def is_outermost(plane: Patch, everywhere: FloatArray, slack_mm: float) -> bool:
    """Whether nothing of the part stands out over a face."""
    beyond = (everywhere - np.array(plane.point)) @ np.array(plane.axis)
    # One point in a thousand may: a scan's strays.
    return float(np.quantile(beyond, 0.999)) <= slack_mm


def turned_datums(profile: Profile, features: tuple[Feature, ...]) -> tuple[Datum, ...]:
    """The axis, and the end face with more to it."""
    first, last = profile.outside[0], profile.outside[-1]
    ends = [first.from_mm, last.to_mm]
    wide = [first.diameter_from_mm, last.diameter_to_mm]
    which = int(wide[1] > wide[0] * (1 + 1e-6))
    at = plus(profile.origin_mm, profile.axis, ends[which])
    out = profile.axis if which else (-profile.axis[0], -profile.axis[1], -profile.axis[2])
    face = next(
        (f.id for f in features if f.kind == "face" and f.along_mm and abs(f.along_mm[0] - ends[which]) < 1e-3), None
    )
    return (
        Datum("A", "axis", None, profile.origin_mm, profile.axis, (because("datums.axis"),)),
        Datum("B", "face", face, at, out, (because("datums.end", diameter_mm=wide[which]),)),
    )


def places(datums: tuple[Datum, ...], feature: Feature) -> tuple[DatumPlace, ...]:
    """Where a feature's middle is, from each datum that tells: how far in from a face, how far off an axis.

    Args:
        datums: of the part.
        feature: of the same.
    Returns: one for each datum; a face square to the feature's own axis tells its depth, not its place, and is left
        out. None for faces, fillets, chamfers and free surfaces.
    """
    if feature.kind in NOT_PLACED:
        return ()
    turned = any(datum.kind == "axis" for datum in datums)
    found: list[DatumPlace] = []
    for datum in datums:
        offset = minus(datum.at_mm, feature.at_mm)
        if datum.kind == "axis":
            off_mm = norm(plus(offset, datum.axis, -dot(offset, datum.axis)))
            found.append(DatumPlace(datum.name, 0.0 if off_mm < 1e-9 else off_mm))
        elif turned or abs(dot(datum.axis, feature.axis)) < SQUARE:
            found.append(DatumPlace(datum.name, dot(offset, datum.axis)))
    return tuple(found)
