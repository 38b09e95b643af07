"""A feature's size and limits as a station needs them, and whether a machine's repeatability is good enough."""

from __future__ import annotations

import math
from dataclasses import replace

from steadyrest.measure.limits import own_limits
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Feature, Part, Profile, Stretch, Vec3
from steadyrest.tables.general_tolerances import general_tolerance_mm
from steadyrest.tables.practice import rule

COAXIAL_MM = 0.5
BESIDE_MM = 0.3
PARALLEL = 0.999


def called(feature: Feature) -> str:
    """What a machinist calls this kind of feature."""
    return "free-form surface" if feature.kind == "free" else feature.kind


def value_mm(feature: Feature, name: str) -> float | None:
    """A size of a feature: its nominal where there is one, else the best estimate.

    Args:
        feature: of the part.
        name: such as "width_mm".
    Returns: mm, or None where the feature has no such size.
    """
    size = feature.size(name)
    if size is None:
        return None
    return size.nominal.value if size.nominal else size.estimate


def limits_mm(feature: Feature) -> tuple[float, float] | None:
    """The principal size's own limits, if it has any beyond the general tolerance."""
    return own_limits(feature.sizes[0].nominal) if feature.sizes else None


def width_mm(feature: Feature | None) -> float:
    """Width of the principal size's limits; the general tolerance (ISO 2768-1 m) where there are none."""
    limits = limits_mm(feature) if feature else None
    if limits:
        return limits[1] - limits[0]
    size = feature.sizes[0] if feature and feature.sizes else None
    off = general_tolerance_mm(size.nominal.value if size.nominal else size.estimate) if size else None
    return 2.0 * off if off else rule("open_limits_mm")


def coaxial(feature: Feature, profile: Profile) -> bool:
    """Whether a feature stands about the part's own axis (or, for a face, square to it)."""
    along = abs(sum(a * b for a, b in zip(feature.axis, profile.axis, strict=True)))
    if along < PARALLEL:
        return False
    return feature.kind == "face" or off_axis_mm(feature, profile) <= COAXIAL_MM


def along_axis_mm(feature: Feature, profile: Profile) -> float:
    """How far along the axis a feature's point lies from the part's first end face."""
    way = (a - b for a, b in zip(feature.at_mm, profile.origin_mm, strict=True))
    return sum(a * b for a, b in zip(way, profile.axis, strict=True))


def off_axis_mm(feature: Feature, profile: Profile) -> float:
    """How far a feature's point lies from the part's axis."""
    way: Vec3 = tuple(a - b for a, b in zip(feature.at_mm, profile.origin_mm, strict=True))  # type: ignore[assignment]
    along = sum(a * b for a, b in zip(way, profile.axis, strict=True))
    return math.sqrt(max(sum(a * a for a in way) - along * along, 0.0))


def within_limits(part: Part) -> Part:
    """The part with each step and bore at a size that its limits allow: a scan's best estimate may lie beside them.

    Args:
        part: with a profile, or without.
    Returns: the part; straight stretches beside their limits stand at the middle of them.
    """
    profile = part.profile
    if profile is None:
        return part
    own = {f.id: limits_mm(f) for f in part.features if f.sizes and f.sizes[0].name == "diameter_mm"}
    outside, inside = (
        tuple(_allowed(one, own.get(one.feature or "")) for one in side) for side in (profile.outside, profile.inside)
    )
    if outside == profile.outside and inside == profile.inside:
        return part
    return replace(part, profile=replace(profile, outside=outside, inside=inside))


def _allowed(stretch: Stretch, limits: tuple[float, float] | None) -> Stretch:
    size = stretch.diameter_from_mm
    if limits is None or size != stretch.diameter_to_mm or limits[0] <= size <= limits[1]:
        return stretch
    middle = sum(limits) / 2.0
    if abs(middle - size) > BESIDE_MM:
        return stretch  # another size altogether: not for a station to settle
    return replace(stretch, diameter_from_mm=middle, diameter_to_mm=middle)


def bore_of(feature: Feature, part: Part) -> Feature | None:
    """The bore in whose wall a keyway or slot is sunk; None where it is sunk into the outside.

    Args:
        feature: of the part.
        part: with the feature that carries it.
    Returns: the bore, or None.
    """
    if feature.kind not in ("keyway", "slot") or feature.on is None:
        return None
    return next((f for f in part.features if f.id == feature.on and f.kind == "bore"), None)


def too_fine(feature: Feature, *, repeat_mm: float, machine: str) -> Reason | None:
    """Why a machine's repeatability does not promise a feature's limits; None if it does.

    Args:
        feature: with its limits.
        repeat_mm: band within which the machine repeats a size.
        machine: its name.
    Returns: the reason, or None.
    """
    limits = limits_mm(feature)
    need_mm = rule("refuse_ratio") * repeat_mm
    if limits is None or limits[1] - limits[0] >= need_mm:
        return None
    return because(
        "size.too_fine", machine=machine, feature=feature.id, width_mm=limits[1] - limits[0], repeat_mm=repeat_mm,
        need_mm=need_mm,
    )  # fmt: skip


def needs_hold_point(feature: Feature, repeat_mm: float) -> bool:
    """Whether the last pass must wait for a measurement."""
    limits = limits_mm(feature)
    return limits is not None and limits[1] - limits[0] < rule("hold_point_ratio") * repeat_mm
