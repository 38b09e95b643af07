"""A STEP file as a patch graph: faces of one surface joined, exact sizes, the unit that the file names."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.part.features.axis import common_axis, turned_share
from steadyrest.part.features.frame import angle_between_lines, line_distance, square_to
from steadyrest.part.files.step import StepText, checked_text
from steadyrest.part.patch import Joint, JointKind, Patch, PatchGraph
from steadyrest.part.solid.kernel.faces import Face
from steadyrest.part.solid.kernel.meetings import Edge
from steadyrest.part.solid.kernel.reading import Body, read_body
from steadyrest.part.solid.kernel.sound_shape import NoSuchSolid, NotSound
from steadyrest.part.triangles.bodies import no_such_body
from steadyrest.shop import part
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Doubt, UnitSaid, Vec3
from steadyrest.trouble import BadInput

SAME_RAD = 1e-5
SAME_SHARE = 1e-6  # of the body's diagonal; exporters print lengths to six digits and more
ROUND_GAP_RAD = math.radians(6)  # rims are sampled every five degrees
MANY_BOUNDS = 40  # rims of one face; up to there the kernel's own mending takes no longer than the rest
TINY_MM, VAST_MM = 8.0, 4000.0


@dataclass(frozen=True, slots=True)
class Solid:
    """What a STEP file gave: its patches, its unit, and what reading mended, lost and doubts.

    bodies: each of several solids. mass: volume, centre and inertia of all together. facets: where asked for.
    """

    graph: PatchGraph
    unit: UnitSaid
    repaired: tuple[Reason, ...]
    lost: tuple[Reason, ...]
    doubts: tuple[Doubt, ...]
    mass: part.MassProperties
    bodies: tuple[part.Body, ...] = ()
    facets: tuple[npt.NDArray[np.float64], npt.NDArray[np.int64]] | None = None


def solid_graph(
    data: bytes,
    name: str,
    *,
    body: int | None = None,
    facets: bool = False,
    progress: Callable[[str, float], None],
    stop: Callable[[], bool],
) -> Solid:
    """The patches of a STEP file's solids, in mm.

    Args:
        data: the whole file.
        name: its name, for messages.
        body: which of several solids, from 1; None for all together.
        facets: lay it out in coarse triangles too.
        progress: told what is being done and how far it is, 0 to 1.
        stop: asked now and then; True ends the work.
    Returns: patch graph, unit, and what reading mended, lost and doubts.
    Raises: BadInput: no solid, not sound, or not all of the text's faces came back. InterruptedError: stop said so.
    """
    text = checked_text(data, name)
    try:
        found = read_body(
            data, body=body, facets=facets, many_bounds=text.most_bounds > MANY_BOUNDS, progress=progress, stop=stop
        )
    except NoSuchSolid as fault:
        raise no_such_body(name, body or 0, fault.there) from None
    except NotSound:
        what = "its surfaces do not close to a sound solid."
        raise BadInput(where=name, what=what, do="Heal or export it again where it was drawn.") from None
    if found is None:
        what = "it holds no solid: a file of references, curves, an analysis mesh or open surfaces."
        raise BadInput(where=name, what=what, do="Export the part itself as a solid.")
    accept(found, text, name)
    progress("patches", 0.85)
    graph = graph_of(found)
    repaired = (because("read.solid_mended"),) if found.mended else ()
    bodies = tuple(part.Body(k, size, volume) for k, (size, volume) in enumerate(found.bodies, start=1))
    doubts = doubts_of(found, text)
    return Solid(graph, unit_said(text.units), repaired, lost_of(graph), doubts, found.mass, bodies, found.facets)


def accept(body: Body, text: StepText, name: str) -> None:
    """Refuse what the kernel read wrongly without saying so."""
    low, high = body.box_mm
    box_mm3 = math.prod(b - a for a, b in zip(low, high, strict=True))
    if not (math.isfinite(body.volume_mm3) and 0 < body.volume_mm3 <= box_mm3 * (1 + 1e-6)):
        what = "the volume inside its surfaces makes no sense."
        raise BadInput(where=name, what=what, do="Heal or export it again where it was drawn.")
    if text.faces > body.distinct_faces:
        what = f"only {body.distinct_faces} of its {text.faces} faces could be read."
        raise BadInput(where=name, what=what, do="Heal or export it again where it was drawn.")


def unit_said(units: Sequence[str]) -> UnitSaid:
    """The file's unit by its name; the sizes are in mm either way."""
    if not units or not units[0]:
        return UnitSaid("mm", "likely", because("read.unit_unnamed"))
    if len(units) > 1:
        return UnitSaid(units[0], "likely", because("read.unit_several", units=", ".join(units)))
    return UnitSaid(units[0], "sure", because("read.unit_in_file", unit=units[0]))


def lost_of(graph: PatchGraph) -> tuple[Reason, ...]:
    free = [patch for patch in graph.patches if patch.kind == "free"]
    return (because("read.free_surfaces", count=float(len(free))),) if free else ()


def doubts_of(body: Body, text: StepText) -> tuple[Doubt, ...]:
    """What a person should settle before trusting the sizes."""
    doubts: list[Doubt] = []
    size_mm = max(b - a for a, b in zip(*body.box_mm, strict=True))
    if not TINY_MM <= size_mm <= VAST_MM:
        doubts.append(Doubt(because("read.odd_size", size_mm=size_mm), because("read.ask_one_size")))
    if body.solids > 1:
        doubts.append(
            Doubt(
                because("read.several_solids", count=float(body.solids)),
                because("read.ask_which_body", count=float(body.solids)),
            )
        )
    if text.signed:
        doubts.append(Doubt(because("read.signature_unchecked"), because("read.ask_signature")))
    return tuple(doubts)


def graph_of(body: Body) -> PatchGraph:
    """Patches and joints of a body, faces of one surface joined."""
    size_mm = math.dist(*body.box_mm)
    group = same_surface(body.faces, body.edges, distance_mm=SAME_SHARE * size_mm)
    members: dict[int, list[int]] = {}
    for face, first in enumerate(group):
        members.setdefault(first, []).append(face)
    number = {first: i for i, first in enumerate(members)}
    patches = tuple(patch_of(number[first], [body.faces[i] for i in faces]) for first, faces in members.items())
    tolerance = {"angle_rad": 1e-4, "distance_mm": 1e-4 * size_mm}
    axis = common_axis(patches, **tolerance)
    return PatchGraph(
        patches=patches,
        joints=joints_of(body.edges, [number[first] for first in group]),
        scan=False,
        box_mm=body.box_mm,
        area_mm2=body.area_mm2,
        volume_mm3=body.volume_mm3,
        solids=body.solids,
        axis=axis,
        turned_share=0.0 if axis is None else turned_share(patches, axis, **tolerance),
    )


def same_surface(faces: Sequence[Face], edges: Sequence[Edge], *, distance_mm: float) -> list[int]:
    """For each face, the first face of those that share an edge with it and lie on one surface."""
    first = list(range(len(faces)))

    def root(i: int) -> int:
        while first[i] != i:
            first[i] = first[first[i]]
            i = first[i]
        return i

    for edge in edges:
        a, b = root(edge.a), root(edge.b)
        if a != b and one_surface(faces[edge.a], faces[edge.b], distance_mm=distance_mm):
            first[max(a, b)] = min(a, b)
    return [root(i) for i in range(len(faces))]


def one_surface(a: Face, b: Face, *, distance_mm: float) -> bool:
    """Whether two faces lie on the same analytic surface, the material on the same side."""
    s, t = a.surface, b.surface
    if s.kind != t.kind or s.kind == "free":
        return False
    if s.kind == "plane":
        off = abs(float(np.dot(np.subtract(b.centre, a.centre), a.normal)))
        return float(np.dot(a.normal, b.normal)) > 1 - SAME_RAD**2 and off <= distance_mm
    if a.turned_out != b.turned_out or abs(s.radius_mm - t.radius_mm) > distance_mm:
        return False
    if abs(s.minor_mm - t.minor_mm) > distance_mm or abs(s.half_angle_rad - t.half_angle_rad) > SAME_RAD:
        return False
    if s.kind in ("sphere", "cone", "torus") and math.dist(s.point, t.point) > 10 * distance_mm:
        return False
    if s.kind == "sphere":
        return True
    aligned = angle_between_lines(s.axis, t.axis) <= 10 * SAME_RAD
    return aligned and line_distance(t.point, s.point, s.axis) <= 10 * distance_mm


def patch_of(number: int, faces: Sequence[Face]) -> Patch:
    """One patch from the faces of one surface."""
    largest = max(faces, key=lambda face: face.area_mm2)
    surface = largest.surface
    points = np.vstack([face.points for face in faces])
    points.setflags(write=False)
    area_mm2 = sum(face.area_mm2 for face in faces)
    centre = tuple(sum(f.area_mm2 * f.centre[i] for f in faces) / area_mm2 for i in range(3)) if area_mm2 else points[0]
    middle: Vec3 = (float(centre[0]), float(centre[1]), float(centre[2]))
    flat = surface.kind in ("plane", "free")
    axis = largest.normal if flat else surface.axis
    point = middle if flat else surface.point
    along = (points - np.array(point)) @ np.array(axis)
    low, high = float(along.min()), float(along.max())
    if surface.kind == "cylinder":
        shift = (low + high) / 2
        point = (point[0] + shift * axis[0], point[1] + shift * axis[1], point[2] + shift * axis[2])
        low, high = low - shift, high - shift
    return Patch(
        id=number,
        kind=surface.kind,
        point=point,
        axis=axis,
        radius_mm=surface.radius_mm,
        minor_mm=surface.minor_mm,
        half_angle_rad=surface.half_angle_rad,
        inside=not flat and not largest.turned_out,
        along_mm=(0.0, 0.0) if flat else (low, high),
        arc_rad=0.0 if flat else arc_of(points, point, axis),
        area_mm2=area_mm2,
        unworn_mm=surface.radius_mm,
        rms_mm=max(face.surface.gap_mm for face in faces),
        points=points,
    )


def arc_of(points: npt.NDArray[np.float64], point: Vec3, axis: Vec3) -> float:
    """How far round an axis points reach, 0 to 2 pi: the whole turn less the widest gap."""
    across, up = square_to(axis)
    offset = points - np.array(point)
    x, y = offset @ across, offset @ up
    off_axis = np.hypot(x, y) > 1e-9
    angles = np.sort(np.arctan2(y[off_axis], x[off_axis]))
    if len(angles) < 2:
        return 0.0
    gap = float(max(np.diff(angles).max(), angles[0] + 2 * math.pi - angles[-1]))
    return 2 * math.pi if gap <= ROUND_GAP_RAD else 2 * math.pi - gap


def joints_of(edges: Sequence[Edge], patch: Sequence[int]) -> tuple[Joint, ...]:
    """Edges between the same two patches, bent the same way, as one joint each."""
    found: dict[tuple[int, int, JointKind], list[Edge]] = {}
    for edge in edges:
        a, b = sorted((patch[edge.a], patch[edge.b]))
        if a != b:
            found.setdefault((a, b, edge.kind), []).append(edge)
    return tuple(
        Joint(
            a=a,
            b=b,
            kind=kind,
            angle_rad=sum(e.angle_rad * e.length_mm for e in same) / max(sum(e.length_mm for e in same), 1e-12),
            length_mm=sum(e.length_mm for e in same),
        )
        for (a, b, kind), same in found.items()
    )
