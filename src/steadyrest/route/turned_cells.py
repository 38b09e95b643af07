"""A turned part as a body of cells, so that a mill can be asked for it where no lathe makes it.

Only what turns about the axis is in the cells; what lies off it (keyways, cross holes) is left out and said.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from steadyrest.part.triangles.solid_grid import pitch_of
from steadyrest.shop.part import Feature, Part, Profile, Stretch, Vec3
from steadyrest.shop.solid_grid import BoolArray, Frame, SolidGrid, grid_of
from steadyrest.stations.sizes import coaxial

ROUND = ("shaft", "bore", "face", "cone", "chamfer", "fillet", "groove", "sphere", "free")


def as_body(part: Part) -> tuple[Part, tuple[str, ...]]:
    """The same part as a milled one.

    Args:
        part: with a profile.
    Returns: (without profile, with cells and frame; ids of the features that its cells do not show).
    Raises: ValueError: it has no profile.
    """
    profile = part.profile
    if profile is None:
        raise ValueError(f"as_body: {part.name!r} has no profile")
    length_mm, across_mm = profile.length_mm, profile.largest_mm
    along, u, v = _axes(profile.axis)
    long = length_mm >= across_mm
    frame: Frame = (along, u, v) if long else (u, v, along)
    size: Vec3 = (length_mm, across_mm, across_mm) if long else (across_mm, across_mm, length_mm)
    shown = [feature for feature in part.features if _shown(feature, profile)]
    body = replace(
        part,
        profile=None,
        axisymmetric=False,
        size_mm=size,
        frame=frame,
        features=tuple(replace(f, kind="boss") if f.kind == "shaft" else f for f in shown),
        grid=cells_of_profile(profile, frame=frame, size_mm=size, long=long),
    )
    known = {feature.id for feature in shown}
    return body, tuple(feature.id for feature in part.features if feature.id not in known)


def cells_of_profile(profile: Profile, *, frame: Frame, size_mm: Vec3, long: bool) -> SolidGrid:
    """Which cells lie in a body of revolution.

    Args:
        profile: its stretches.
        frame: the cells' directions. size_mm: of the box along them.
        long: the axis is the first of them, else the last.
    Returns: the grid.
    """
    pitch = pitch_of(size_mm)
    count = [max(round(size / pitch), 1) for size in size_mm]
    middles = [(np.arange(n) + 0.5) * pitch - n * pitch / 2.0 for n in count]
    way = middles[0] if long else middles[2]
    across = (middles[1], middles[2]) if long else (middles[0], middles[1])
    z = way + (profile.outside[0].from_mm + profile.outside[-1].to_mm) / 2.0
    radius = np.hypot(across[0][:, None], across[1][None, :])
    outer, inner = _radius(profile.outside, z), _radius(profile.inside, z)
    rings: BoolArray = (radius[None] <= outer[:, None, None]) & (radius[None] >= inner[:, None, None])
    filled = rings if long else np.moveaxis(rings, 0, 2)
    middle = (profile.outside[0].from_mm + profile.outside[-1].to_mm) / 2.0
    centre = [o + a * middle for o, a in zip(profile.origin_mm, profile.axis, strict=True)]
    corner = [centre[k] - sum(frame[n][k] * count[n] * pitch / 2.0 for n in range(3)) for k in range(3)]
    return grid_of(
        np.ascontiguousarray(filled), pitch_mm=pitch, origin_mm=(corner[0], corner[1], corner[2]), frame=frame
    )


def _radius(stretches: tuple[Stretch, ...], z: np.ndarray) -> np.ndarray:
    """Radius at each place along the axis; 0 where no stretch is."""
    found = np.zeros_like(z)
    for s in stretches:
        share = np.clip((z - s.from_mm) / max(s.length_mm, 1e-9), 0.0, 1.0)
        here = (z >= s.from_mm) & (z <= s.to_mm)
        found[here] = ((s.diameter_from_mm + share * (s.diameter_to_mm - s.diameter_from_mm)) / 2.0)[here]
    return found


def _shown(feature: Feature, profile: Profile) -> bool:
    """Whether the cells show it: it turns about the axis, or a stretch is named after it."""
    named = {s.feature for s in (*profile.outside, *profile.inside)}
    return feature.id in named or (feature.kind in ROUND and feature.kind != "free" and coaxial(feature, profile))


def _axes(axis: Vec3) -> Frame:
    """The axis and two directions across it, right-handed."""
    other = min(((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
                key=lambda e: abs(sum(a * b for a, b in zip(axis, e, strict=True))))  # fmt: skip
    u = _cross(axis, other)
    size = math.sqrt(sum(x * x for x in u))
    u = (u[0] / size, u[1] / size, u[2] / size)
    return axis, u, _cross(axis, u)


def _cross(a: Vec3, b: Vec3) -> Vec3:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]
