"""Small parts for the tests of nominals, limits and pictures."""

from __future__ import annotations

from steadyrest.shop.figure import because
from steadyrest.shop.part import Feature, FeatureKind, Part, PartKind, Profile, Size, Stretch, UnitSaid

X = (1.0, 0.0, 0.0)
KNOWN = UnitSaid("mm", "sure", because("nominal.metric"))
UNKNOWN = UnitSaid("", "ask", because("nominal.metric"))


def size(name: str, estimate: float, u: float = 0.012, measured: float | None = None) -> Size:
    return Size(name, estimate, estimate if measured is None else measured, u)


def round_feature(
    name: str,
    diameter: float,
    low: float,
    high: float,
    *,
    kind: FeatureKind = "shaft",
    u: float = 0.012,
    wear: float = 0.0,
    worn: tuple[float, float] | None = None,
    measured: float | None = None,
) -> Feature:
    """A shaft or bore between two places along the axis."""
    return Feature(
        id=name,
        kind=kind,
        sizes=(size("diameter_mm", diameter, u, measured), size("length_mm", high - low, 0.03 if u else 0.0)),
        axis=X,
        at_mm=((low + high) / 2, 0.0, 0.0),
        along_mm=(low, high),
        wear_mm=wear,
        wear_along_mm=worn,
        area_mm2=3.14 * diameter * (high - low),
    )


def keyway(name: str, width: float, depth: float, low: float, high: float, on: str, u: float = 0.03) -> Feature:
    return Feature(
        id=name,
        kind="keyway",
        sizes=(size("width_mm", width, u), size("depth_mm", depth, u), size("length_mm", high - low, 0.05)),
        axis=(0.0, 0.0, 1.0),
        at_mm=((low + high) / 2, 0.0, 15.0),
        along_mm=(low, high),
        on=on,
        area_mm2=400.0,
    )


def groove(name: str, diameter: float, width: float, at: float, on: str) -> Feature:
    return Feature(
        id=name,
        kind="groove",
        sizes=(size("diameter_mm", diameter, 0.03), size("width_mm", width, 0.03)),
        axis=X,
        at_mm=(at, 0.0, 0.0),
        along_mm=(at - width / 2, at + width / 2),
        on=on,
        area_mm2=100.0,
    )


def part_of(*features: Feature, kind: PartKind = "scan", unit: UnitSaid = KNOWN, broken: bool = False) -> Part:
    """A turned part from its features, its profile from the shafts and bores."""
    shafts = sorted(
        (f for f in features if f.kind in ("shaft", "thread") and f.along_mm), key=lambda f: f.along_mm or (0, 0)
    )
    bores = sorted((f for f in features if f.kind == "bore" and f.along_mm), key=lambda f: f.along_mm or (0, 0))

    def stretches(found: list[Feature]) -> tuple[Stretch, ...]:
        return tuple(
            Stretch(*f.along_mm, f.sizes[0].estimate, f.sizes[0].estimate, f.id)
            for f in found
            if f.along_mm is not None
        )

    profile = Profile((0.0, 0.0, 0.0), X, stretches(shafts), stretches(bores)) if shafts else None
    length = profile.length_mm if profile else 10.0
    widest = profile.largest_mm if profile else 10.0
    return Part(
        name="lift shaft",
        kind=kind,
        unit=unit,
        size_mm=(length, widest, widest),
        volume_mm3=None,
        features=features,
        axisymmetric=True,
        profile=profile,
        broken=broken,
        noise_mm=0.03 if kind == "scan" else 0.0,
    )


def worn_shaft() -> Part:
    """A metric shaft: two bearing seats (one worn), a keyway, a ring groove."""
    return part_of(
        round_feature("F1", 25.012, 0, 15),
        round_feature("F2", 30.025, 15, 62),
        keyway("F3", 8.03, 4.02, 24, 56, "F2"),
        round_feature("F4", 35.02, 62, 79, wear=0.21, worn=(64.0, 75.0), measured=34.8),
        round_feature("F5", 44.985, 79, 85),
        round_feature("F6", 39.97, 85, 140),
        round_feature("F7", 34.985, 140, 157),
        round_feature("F8", 28.02, 157, 190),
        groove("F9", 26.62, 1.61, 185, "F8"),
    )
