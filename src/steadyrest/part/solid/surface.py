"""An exact surface as plain values."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.part.patch import PatchKind
from steadyrest.shop.part import Vec3


@dataclass(frozen=True, slots=True)
class Surface:
    """An analytic surface in mm; `point` and `axis` as a patch has them. gap_mm: how far a freer one was from it."""

    kind: PatchKind
    point: Vec3
    axis: Vec3
    radius_mm: float = 0.0
    minor_mm: float = 0.0
    half_angle_rad: float = 0.0
    gap_mm: float = 0.0


FREE = Surface("free", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0))
