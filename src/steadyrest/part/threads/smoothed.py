"""A patch graph with its threads smoothed over: what a thread's flanks broke up is one cylinder again."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np

from steadyrest.part.patch import Joint, Patch, PatchGraph
from steadyrest.part.threads.found import ThreadFound
from steadyrest.part.threads.shells import seen_from


def smoothed(graph: PatchGraph, found: tuple[ThreadFound, ...]) -> PatchGraph:
    """The graph with each thread's patches joined to one cylinder of its crests' diameter.

    Args:
        graph: as found. found: its threads, each with the patches that lie on it.
    Returns: the graph; untouched where there is no thread.
    """
    for thread in found:
        if thread.patches:
            graph = smoothed_over(graph, thread)
    return graph


def smoothed_over(graph: PatchGraph, thread: ThreadFound) -> PatchGraph:
    """The graph with one thread smoothed over."""
    gone = set(thread.patches)
    on_it = [patch for patch in graph.patches if patch.id in gone]
    if not on_it:
        return graph
    kept = min(gone)
    cylinder = cylinder_of(thread, on_it, kept)
    patches = tuple(patch for patch in graph.patches if patch.id not in gone or patch.id == kept)
    patches = tuple(cylinder if patch.id == kept else patch for patch in patches)
    return replace(graph, patches=patches, joints=joined(graph.joints, gone, kept))


def cylinder_of(thread: ThreadFound, on_it: list[Patch], name: int) -> Patch:
    """A cylinder over the crests of a thread, as far as its patches reach along it."""
    radius = (thread.minor_mm if thread.inside else thread.major_mm) / 2
    point, axis = np.array(thread.point), np.array(thread.axis)
    points = np.concatenate([patch.points for patch in on_it if patch.points is not None])
    seen = seen_from(points, point, axis)
    away = points - point - np.outer(seen.z_mm, axis)
    level = point + np.outer(seen.z_mm, axis) + away * (radius / np.maximum(seen.rho_mm, 1e-9))[:, None]
    level.setflags(write=False)
    facets = [patch.facets for patch in on_it if patch.facets is not None]
    low, high = float(seen.z_mm.min()), float(seen.z_mm.max())
    middle = point + (low + high) / 2 * axis
    x, y, z = (float(v) for v in middle)
    area = sum(patch.area_mm2 for patch in on_it)
    return Patch(
        id=name,
        kind="cylinder",
        point=(x, y, z),
        axis=thread.axis,
        radius_mm=radius,
        inside=thread.inside,
        along_mm=((low - high) / 2, (high - low) / 2),
        arc_rad=2 * pi,
        area_mm2=min(area, 2 * pi * radius * (high - low)),
        u_radius_mm=thread.u_major_mm / 2,
        unworn_mm=radius,
        u_unworn_mm=thread.u_major_mm / 2,
        seen=sum(patch.seen * patch.area_mm2 for patch in on_it) / max(area, 1e-9),
        facets=np.concatenate(facets) if facets else None,
        points=level,
    )


def joined(joints: tuple[Joint, ...], gone: set[int], kept: int) -> tuple[Joint, ...]:
    """Joints of the patches that are gone as joints of the one kept; those among themselves fall away."""
    out: dict[tuple[int, int], Joint] = {}
    for joint in joints:
        a, b = (kept if k in gone else k for k in (joint.a, joint.b))
        if a == b:
            continue
        before = out.get((a, b)) or out.get((b, a))
        if before is None or before.length_mm < joint.length_mm:
            longer = replace(joint, a=a, b=b)
            out.pop((b, a), None)
            out[a, b] = longer
    return tuple(out.values())
