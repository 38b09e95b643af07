"""From how many directions a part must be reached, at least.

A hole is reached along its axis, from either side if it goes through; a pocket, a slot or a keyway from its open side;
a face from in front, or from any side square to it with the side of a cutter. A turned part is faced from both ends.
The stock's own six sides ask for nothing. Not seen here: what stands in the way of the tool.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from steadyrest.part.features.frame import cross, dot
from steadyrest.shop.part import Feature, Profile, Vec3

ALONG = 0.995
SQUARE = 0.05
MOST = 6


@dataclass(frozen=True, slots=True)
class Need:
    """How one feature can be reached: from these directions (out of the part, towards the tool), or any square to
    `beside`."""

    directions: tuple[Vec3, ...]
    beside: Vec3 | None = None

    def met_from(self, direction: Vec3) -> bool:
        square = self.beside is not None and abs(dot(direction, self.beside)) < SQUARE
        return square or any(dot(direction, d) > ALONG for d in self.directions)


def directions_min(features: Sequence[Feature], profile: Profile | None) -> int | None:
    """The least number of directions from which every feature can be reached, six at most.

    Args:
        features: of one part.
        profile: of a turned part, else None.
    Returns: the number; None when no feature asks for one.
    """
    outer = outermost(features) if profile is None else set[str]()
    needs = [need for f in features if f.id not in outer and (need := need_of(f, profile)) is not None]
    candidates = distinct([d for need in needs for d in need.directions])
    if not candidates:
        return None
    met = {frozenset(i for i, c in enumerate(candidates) if need.met_from(c)) for need in needs}
    # A need that another one's answer always answers too asks for nothing more.
    least = [need for need in met if not any(other < need for other in met)]
    return next((count for count in range(1, MOST) if are_met(least, count)), MOST)


def with_directions(features: Sequence[Feature], profile: Profile | None) -> tuple[Feature, ...]:
    """Each feature with the directions from which a tool reaches it.

    Args:
        features: of one part.
        profile: of a turned part, else None.
    Returns: the features in their order.
    """
    needs = [need_of(feature, profile) for feature in features]
    return tuple(
        feature if need is None else replace(feature, reached_from=need.directions)
        for feature, need in zip(features, needs, strict=True)
    )


def are_met(needs: Sequence[frozenset[int]], count: int) -> bool:
    """Whether so many candidates meet all needs, each a set of the candidates that meet it."""
    if not needs:
        return True
    hardest = min(needs, key=lambda need: (len(need), sorted(need)))
    return count > 0 and any(
        are_met([need for need in needs if choice not in need], count - 1) for choice in sorted(hardest)
    )


def need_of(feature: Feature, profile: Profile | None) -> Need | None:
    """How one feature of a part can be reached; None if it asks for nothing."""
    axis, back = feature.axis, turned_round(feature.axis)
    match feature.kind:
        case "bore":
            if feature.through:
                return Need((axis, back))
            return Need((mouth_of(feature, profile),))
        case "cone" if feature.inside and profile is None:
            return Need((axis, back))
        case "slot" if feature.through:
            return Need((axis, back))
        case "slot" | "pocket" | "keyway":
            return Need((axis,))
        case "flat" if profile is not None:
            side = cross(axis, profile.axis)
            both = feature.size("width_mm") is not None
            return Need((side, turned_round(side)) if both else (axis, side, turned_round(side)))
        case "face" if profile is not None:
            ends = feature.along_mm is not None and min(feature.along_mm[0], profile.length_mm - feature.along_mm[0])
            return Need((axis,)) if ends is not False and ends < 1e-3 * profile.length_mm else None
        case "face":
            return Need((axis,), beside=axis)
        case _:
            return None


def outermost(features: Sequence[Feature]) -> set[str]:
    """Faces with nothing in front of them: the stock's own sides."""
    faces = [f for f in features if f.kind == "face"]
    return {f.id for f in faces if all(dot(other.at_mm, f.axis) <= dot(f.at_mm, f.axis) + 1e-6 for other in features)}


def mouth_of(feature: Feature, profile: Profile | None) -> Vec3:
    """The direction out of a blind bore. A bore on a turned part's axis opens to the end that its depth counts from."""
    if profile is None or abs(dot(feature.axis, profile.axis)) < ALONG or feature.along_mm is None:
        return turned_round(feature.axis)
    low, high = feature.along_mm
    size = feature.size("depth_mm")
    depth = size.estimate if size else high - low
    from_first = abs(high - depth) < abs(profile.length_mm - low - depth)
    return turned_round(profile.axis) if from_first else profile.axis


def turned_round(direction: Vec3) -> Vec3:
    return (-direction[0], -direction[1], -direction[2])


def distinct(directions: Sequence[Vec3]) -> list[Vec3]:
    """Directions, each once."""
    found: list[Vec3] = []
    for direction in directions:
        if not any(dot(direction, other) > ALONG for other in found):
            found.append(direction)
    return found
