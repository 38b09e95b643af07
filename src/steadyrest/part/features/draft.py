"""Features before they have their names: sizes from patches, and the order that gives the names."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from steadyrest.part.features.frame import Frame, dot
from steadyrest.part.features.turned import MOSTLY_INVENTED, best_radius_mm
from steadyrest.part.patch import Patch
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Feature, FeatureKind, Size, Vec3


@dataclass(frozen=True, slots=True)
class Draft:
    """A feature without its id. tag: what others call it meanwhile. on: the tag of the one that carries it.
    explains: ids of its patches that no other feature has.

    order: along the axis (or 0), then larger first, then kind: the same part gives the same names every time.
    """

    feature: Feature
    tag: str
    on: str | None = None
    explains: frozenset[int] = frozenset()

    @property
    def order(self) -> tuple[float, float, str, Vec3]:
        feature = self.feature
        start = round(feature.along_mm[0], 3) if feature.along_mm else 0.0
        size = feature.sizes[0].estimate if feature.sizes else 0.0
        x, y, z = feature.at_mm
        return start, -round(size, 3), feature.kind, (round(x, 3), round(y, 3), round(z, 3))


def named(drafts: Iterable[Draft]) -> tuple[tuple[Feature, ...], dict[str, str]]:
    """Features F1, F2, ... and the id of each tag."""
    ordered = sorted(drafts, key=lambda d: d.order)
    ids: dict[str, str] = {}
    for i, draft in enumerate(ordered, 1):
        ids.setdefault(draft.tag, f"F{i}")  # two slots may share a wall, by which both are called
    features = tuple(
        replace(draft.feature, id=f"F{i}", on=ids.get(draft.on) if draft.on else None)
        for i, draft in enumerate(ordered, 1)
    )
    return features, ids


def feature_of(
    kind: FeatureKind,
    patches: Sequence[Patch],
    sizes: Sequence[Size],
    *,
    axis: Vec3,
    at_mm: Vec3,
    frame: Frame | None = None,
    along_mm: tuple[float, float] | None = None,
    through: bool | None = None,
    inside: bool = False,
    why: tuple[Reason, ...] = (),
) -> Feature:
    """A feature with what its patches say of wear and of how much was seen.

    A feature that the scanner mostly invented keeps its place and gives no size.
    """
    area = sum(patch.area_mm2 for patch in patches)
    invented = sum(p.invented * p.area_mm2 for p in patches) / area if area else 0.0
    worn = max((p for p in patches if p.wear_mm is not None), key=lambda p: p.wear_mm or 0.0, default=None)
    proud_mm = max((p.proud_mm for p in patches), default=0.0)
    if proud_mm > 0:
        why = (because("features.built_up", proud_mm=proud_mm), *why)
    if invented > MOSTLY_INVENTED:
        sizes, why = (), (because("features.invented"), *why)
    return Feature(
        id="",
        kind=kind,
        sizes=tuple(sizes),
        axis=tidy(axis),
        at_mm=tidy(at_mm),
        along_mm=along_mm,
        through=through,
        wear_mm=worn.wear_mm if worn else None,
        wear_along_mm=wear_along(worn, frame) if worn and frame else None,
        worn_share=worn.worn_share if worn else 0.0,
        seen=sum(p.seen * p.area_mm2 for p in patches) / area if area else 1.0,
        inside=inside,
        area_mm2=area,
        why=why,
    )


def wear_along(patch: Patch, frame: Frame) -> tuple[float, float] | None:
    """The worn stretch along the part's axis."""
    if patch.wear_along_mm is None:
        return None
    sense = dot(patch.axis, frame.axis)
    ends = [frame.along_of(patch.point) + end * sense for end in patch.wear_along_mm]
    return min(ends), max(ends)


def diameter(patch: Patch) -> Size:
    """A cylinder's diameter: before wear, the plain fit, and how well it is known."""
    u_mm = patch.u_unworn_mm if patch.u_unworn_mm > 0 else patch.u_radius_mm
    below = (2 * patch.below_mm, 2 * patch.u_below_mm) if patch.below_mm > 0 else None
    return Size("diameter_mm", 2 * best_radius_mm(patch), 2 * patch.radius_mm, 2 * u_mm, below=below)


def exact(name: str, value: float, u: float = 0.0) -> Size:
    """A size that wear has no say in."""
    return Size(name, value, value, u)


def tidy(v: Vec3) -> Vec3:
    """Without the minus signs and last digits that arithmetic leaves on zero."""
    return tuple(0.0 if abs(c) < 1e-12 else c for c in v)  # pyright: ignore[reportReturnType]
