"""The patch graph: what a scan and a solid model both become.

Glossary. A *patch* is a piece of surface that one analytic shape describes; its *inside* flag says that material lies
outside of it (a bore), not within (a shaft). *Arc* is how far round it reaches. A *joint* is where two patches meet:
convex (an outer edge), concave (an inner corner) or smooth (tangent). A patch of kind "free" is honest ignorance.
What this cannot know: the surface that was worn away, except through `unworn_mm` where neighbours told the axis.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from steadyrest.shop.part import Vec3

PatchKind = Literal["plane", "cylinder", "cone", "sphere", "torus", "free"]
JointKind = Literal["convex", "concave", "smooth"]


@dataclass(frozen=True, slots=True)
class Patch:
    """One piece of surface.

    point: on the plane; on a cylinder's axis, at the middle of the patch; a cone's apex; a sphere's or torus's centre.
    axis: unit normal pointing out of the material (plane), unit axis (cylinder, cone from apex into the cone, torus).
    radius_mm: cylinder, sphere, torus (of the ring); 0 else. Plain geometric fit.
    minor_mm: radius of a torus's tube. half_angle_rad: of a cone.
    inside: material lies outside of the surface (bore, hollow cone).
    along_mm: from and to along `axis`, measured from `point`.
    arc_rad: how far round its axis the patch reaches, 0 to 2 pi.
    u_radius_mm, u_axis_rad: one sigma, with noise, arc and correlation; 0 for a solid.
    unworn_mm, u_unworn_mm: best radius before wear where it could be told, else equal to the plain fit.
    wear_mm: 95th percentile of radial wear; None where it cannot be judged. wear_along_mm: worn stretch along `axis`;
        worn_share: of the surface.
    proud_mm: how far an earlier repair stands above the level; 0 for none. below_mm, u_below_mm: the radius if what
        was taken for unworn is a smooth repair; 0 where nothing says so.
    lobes: how often a turned surface rises and falls round its axis, fluted or knurled; 1 where it is too fine to be
        counted, 0 for a plain one. crest_mm: radius over what rises, where the lobes were counted; else 0.
    seen: share of the full surface of this stretch that the scanner really saw.
    invented: share of the patch judged too smooth to have been seen.
    facets: (k,) indices of the mesh's triangles, read-only; empty for a solid.
    rms_mm: residual of the fit.
    points: (m, 3) points of the surface that show how far it reaches, its rim included, read-only; a scan's are taken
        from its facets where the segmenter left None (part/read.py).
    """

    id: int
    kind: PatchKind
    point: Vec3
    axis: Vec3
    radius_mm: float = 0.0
    minor_mm: float = 0.0
    half_angle_rad: float = 0.0
    inside: bool = False
    along_mm: tuple[float, float] = (0.0, 0.0)
    arc_rad: float = 0.0
    area_mm2: float = 0.0
    u_radius_mm: float = 0.0
    u_axis_rad: float = 0.0
    unworn_mm: float = 0.0
    u_unworn_mm: float = 0.0
    wear_mm: float | None = None
    wear_along_mm: tuple[float, float] | None = None
    worn_share: float = 0.0
    proud_mm: float = 0.0
    below_mm: float = 0.0
    u_below_mm: float = 0.0
    lobes: int = 0
    crest_mm: float = 0.0
    seen: float = 1.0
    invented: float = 0.0
    rms_mm: float = 0.0
    facets: npt.NDArray[np.int64] | None = None
    points: npt.NDArray[np.float64] | None = None


@dataclass(frozen=True, slots=True)
class Joint:
    """Where two patches meet. angle_rad: between their outward normals, on average along the joint."""

    a: int
    b: int
    kind: JointKind
    angle_rad: float
    length_mm: float


@dataclass(frozen=True, slots=True)
class Step:
    """A shoulder of a scan's turned surface, placed by itself. point: on the axis, where the shoulder stands.

    radii_mm: the two levels between which it steps. inside: of a bore. u_mm: one sigma of its place along the axis.
    """

    point: Vec3
    radii_mm: tuple[float, float]
    inside: bool
    u_mm: float


@dataclass(frozen=True, slots=True)
class PatchGraph:
    """All patches of one body, and how they meet.

    scan: True if it comes from a mesh (then noise_mm and correlation_mm are its noise), False for an exact solid.
    box_mm: (low, high) corners in the file's frame. volume_mm3: None for an open surface.
    axis: (point, unit direction) that most of the turned surface shares, or None if the part has no such axis.
    turned_share: share of the whole area that is a surface of revolution about `axis`.
    broken: the surface is open where a fracture or a missing stretch would leave it open.
    steps: shoulders of a scan, placed more finely than the patches beside them end.
    """

    patches: tuple[Patch, ...]
    joints: tuple[Joint, ...]
    scan: bool
    box_mm: tuple[Vec3, Vec3]
    area_mm2: float
    volume_mm3: float | None
    solids: int | None
    noise_mm: float = 0.0
    correlation_mm: float = 0.0
    axis: tuple[Vec3, Vec3] | None = None
    turned_share: float = 0.0
    broken: bool = False
    steps: tuple[Step, ...] = ()
