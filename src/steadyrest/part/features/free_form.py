"""Near misses on freely shaped parts: a cylinder or a cone that only looks like one for a stretch is no feature.

On what was machined nearly all of a scan lies on simple surfaces that end at edges. On a casting, a forging or a
handle every soft curve is a cylinder for a while. There only what stands by itself is believed: a full round or a plane
that fits as closely as the scanner measures and ends at edges all round.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from steadyrest.part.patch import Joint, Patch, PatchGraph

MACHINED_SHARE = 0.8  # of the surface on simple shapes: machined parts show 0.9 and more, others 0.7 and less
FULL_ROUND_RAD = 5.5
CLOSE = 1.6  # residual of a fit over the scanner's noise
SEEN = 0.7
EDGED = 0.6  # share of its border that must be edges


def simple_share(graph: PatchGraph) -> float:
    """Share of a part's surface that lies on simple shapes.

    Args:
        graph: all patches.
    Returns: 0 to 1.
    """
    simple = sum(p.area_mm2 for p in graph.patches if p.kind != "free")
    return simple / graph.area_mm2 if graph.area_mm2 > 0 else 1.0


def is_free_form(graph: PatchGraph) -> bool:
    """Whether most of a scan is shaped freely enough that near misses must be expected.

    Args:
        graph: all patches.
    Returns: False for exact parts.
    """
    return graph.noise_mm > 0 and simple_share(graph) < MACHINED_SHARE


def without_near_misses(graph: PatchGraph) -> tuple[PatchGraph, frozenset[int]]:
    """The graph of a freely shaped part with its near misses said to be free.

    Args:
        graph: all patches and joints of a scan.
    Returns: the graph, and the ids of the patches that were refused; a machined part's graph as it is.
    """
    if not is_free_form(graph):
        return graph, frozenset()
    joints: dict[int, list[Joint]] = {p.id: [] for p in graph.patches}
    for joint in graph.joints:
        joints[joint.a].append(joint)
        joints[joint.b].append(joint)
    refused = frozenset(
        p.id for p in graph.patches if p.kind != "free" and not stands_by_itself(graph, p, joints[p.id])
    )

    def honest(patch: Patch) -> Patch:
        if patch.id not in refused:
            return patch
        return replace(patch, kind="free", radius_mm=0.0, minor_mm=0.0, half_angle_rad=0.0, inside=False)

    return replace(graph, patches=tuple(honest(p) for p in graph.patches)), refused


def stands_by_itself(graph: PatchGraph, patch: Patch, joints: Sequence[Joint]) -> bool:
    """Whether a patch of a freely shaped part is what it seems: a full round or a plane, close, and ended by edges."""
    if patch.kind not in ("plane", "cylinder") or patch.rms_mm > CLOSE * graph.noise_mm:
        return False
    if patch.kind == "cylinder" and (patch.arc_rad < FULL_ROUND_RAD or patch.seen < SEEN):
        return False
    border = sum(j.length_mm for j in joints)
    edges = sum(j.length_mm for j in joints if j.kind != "smooth")
    return border > 0 and edges >= EDGED * border
