"""Lengths that reach across set-ups: their two ends are cut in different clampings, so a shifted datum counts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from steadyrest.shop.part import Feature, Part, Profile, Size, Vec3
from steadyrest.tables.general_tolerances import general_tolerance_mm

SQUARE = 0.999
SAME_MM = 0.05
SUNK = ("slot", "pocket", "keyway", "bore")


@dataclass(frozen=True, slots=True)
class Length:
    """One length. first, second: ids of the steps that cut its ends, the earlier one first."""

    feature: str
    size: str
    low_mm: float
    high_mm: float
    first: str
    second: str

    @property
    def middle_mm(self) -> float:
        return (self.low_mm + self.high_mm) / 2.0


def lengths(part: Part, made_in: Mapping[str, str], order: Mapping[str, int]) -> tuple[Length, ...]:
    """Every length of a part whose ends are cut in different steps.

    Args:
        part: with features, and a profile where it is turned.
        made_in: id of a feature to the id of the step that makes it.
        order: id of a step to its place in the route.
    Returns: the lengths, those of the profile first.
    """
    found = list(_turned(part, part.profile, made_in)) if part.profile is not None else list(_boxed(part, made_in))
    found.extend(_sunk(part, made_in))
    return tuple(
        one
        if order.get(one.first, 0) <= order.get(one.second, 0)
        else Length(one.feature, one.size, one.low_mm, one.high_mm, one.second, one.first)
        for one in found
    )


def _turned(part: Part, profile: Profile, made_in: Mapping[str, str]) -> Iterator[Length]:
    """A shoulder is cut with the smaller of the two diameters beside it; an end with its face."""
    features = {feature.id: feature for feature in part.features}
    outside = profile.outside
    ends: list[str | None] = [_face_step(part, profile, made_in, high=False)]
    for a, b in pairwise(outside):
        smaller = a if a.diameter_to_mm <= b.diameter_from_mm else b
        ends.append(made_in.get(smaller.feature or ""))
    ends.append(_face_step(part, profile, made_in, high=True))
    for n, stretch in enumerate(outside):
        feature = features.get(stretch.feature or "")
        size = feature.size("length_mm") if feature else None
        low, high = ends[n], ends[n + 1]
        if feature is not None and size is not None and low and high and low != high:
            yield Length(feature.id, "length_mm", *_limits(size), low, high)
    faces = [feature for feature in part.features if feature.kind == "face"]
    if faces and ends[0] and ends[-1] and ends[0] != ends[-1] and len(outside) > 1:
        off = general_tolerance_mm(profile.length_mm) or 0.0
        yield Length(faces[-1].id, "length_mm", profile.length_mm - off, profile.length_mm + off, ends[0], ends[-1])


def _face_step(part: Part, profile: Profile, made_in: Mapping[str, str], *, high: bool) -> str | None:
    """The step that faces one end; where no feature names the face, the step of the end's diameter."""
    sign = 1.0 if high else -1.0
    for feature in part.features:
        if feature.kind == "face" and sign * _dot(feature.axis, profile.axis) > SQUARE and feature.id in made_in:
            return made_in[feature.id]
    end = profile.outside[-1 if high else 0]
    return made_in.get(end.feature or "")


def _boxed(part: Part, made_in: Mapping[str, str]) -> Iterator[Length]:
    """Two outermost faces that look away from each other, cut in different set-ups."""
    faces = [feature for feature in part.features if feature.kind == "face" and feature.id in made_in]
    seen: list[Vec3] = []
    for face in faces:
        normal = face.axis
        if any(abs(_dot(normal, other)) > SQUARE for other in seen):
            continue
        seen.append(normal)
        up = max((f for f in faces if _dot(f.axis, normal) > SQUARE), key=lambda f: _dot(f.at_mm, normal))
        down = min(
            (f for f in faces if _dot(f.axis, normal) < -SQUARE), key=lambda f: _dot(f.at_mm, normal), default=None
        )
        if down is None or made_in[up.id] == made_in[down.id]:
            continue
        extent = _dot(up.at_mm, normal) - _dot(down.at_mm, normal)
        low, high = _extent_limits(part, extent)
        yield Length(up.id, "length_mm", low, high, made_in[down.id], made_in[up.id])


def _extent_limits(part: Part, extent_mm: float) -> tuple[float, float]:
    """Limits of a size of the part that equals this extent and has limits; else the general tolerance."""
    for feature in part.features:
        for size in feature.sizes:
            nominal = size.nominal
            if nominal is not None and nominal.limits is not None and abs(nominal.value - extent_mm) <= SAME_MM:
                return nominal.limits.low_mm, nominal.limits.high_mm
    off = general_tolerance_mm(extent_mm) or 0.0
    return extent_mm - off, extent_mm + off


def _sunk(part: Part, made_in: Mapping[str, str]) -> Iterator[Length]:
    """A depth from a face that another step cuts."""
    for feature in part.features:
        size = feature.size("depth_mm") if feature.kind in SUNK and not feature.through else None
        mine = made_in.get(feature.id)
        if size is None or mine is None:
            continue
        face = _face_above(part, feature, made_in)
        if face is not None and made_in[face.id] != mine:
            yield Length(feature.id, "depth_mm", *_limits(size), made_in[face.id], mine)


def _face_above(part: Part, feature: Feature, made_in: Mapping[str, str]) -> Feature | None:
    """The outermost face that looks the way a feature is reached from."""
    way = feature.reached_from[0] if feature.reached_from else feature.axis
    above = [f for f in part.features if f.kind == "face" and f.id in made_in and _dot(f.axis, way) > SQUARE]
    return max(above, key=lambda f: _dot(f.at_mm, way), default=None)


def _limits(size: Size) -> tuple[float, float]:
    nominal = size.nominal
    if nominal is not None and nominal.limits is not None:
        return nominal.limits.low_mm, nominal.limits.high_mm
    value = nominal.value if nominal is not None else size.estimate
    off = general_tolerance_mm(value) or 0.0
    return value - off, value + off


def _dot(a: Vec3, b: Vec3) -> float:
    return sum(x * y for x, y in zip(a, b, strict=True))
