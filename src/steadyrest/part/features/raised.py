"""What stands up from a floor and is not round: a *rib*, thin and long; an *island*, a plateau with a floor all round.

Both are bosses to the list of kinds; their reason says which.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from steadyrest.part.features.block import Block, Found
from steadyrest.part.features.draft import Draft, exact, feature_of
from steadyrest.part.features.frame import dot, minus
from steadyrest.part.features.pockets import in_plane
from steadyrest.part.features.rims import ALONG, height_over, spans_of
from steadyrest.part.features.turned import plane_u_mm
from steadyrest.part.patch import Patch
from steadyrest.shop.figure import because

SQUARE = 0.03
THIN = 0.5  # a rib's thickness, of its height or of its length
STANDS = 0.8  # share of a plateau's rim whose walls stand on a floor; the same for its walls' outer edges
AHEAD = 0.1  # of a top's reach, that may lie in front of a wall of it
LARGER = 1.6  # of its head's length times its height: a wall larger than that is a side of the whole block
RIB_SIDES = 0.55  # a rib may run into the walls at both of its ends


def raised(block: Block, taken: set[int]) -> Found:
    """Ribs and islands: a top from which walls go down, on all sides or on two, to a floor that looks the same way.

    Args:
        block: all that is known. taken: ids of patches that are something else.
    Yields: drafts, each with its patches.
    """
    for top in block.planes(taken):
        heads = [
            (j, p)
            for j, p in block.joints_at(top)
            if j.kind == "convex" and p.kind in ("plane", "cylinder") and upright(p, top) and p.id not in taken
        ]
        inner = {p.id for _, p in heads if not lies_behind(top, p)}  # walls of a hollow cut into the top
        heads = [(j, p) for j, p in heads if p.id not in inner]
        walls = [p for _, p in heads]
        open_to = {p.id for _, p in block.joints_at(top) if p.inside} | inner
        rim = sum(j.length_mm for j, p in block.joints_at(top) if p.id not in open_to)
        standing = {p.id: floors for j, p in heads if (floors := floors_under(block, p, top, j.length_mm))}
        held = sum(j.length_mm for j, p in heads if p.id in standing)
        if len(standing) < 2 or rim <= 0:
            continue
        floors = [f for some in standing.values() for f in some]
        height = min(-height_over(top, floor) for floor in floors)
        long, wide = in_plane(top)
        pair = facing_away([p for p in walls if p.id in standing])
        thin = pair is not None and wide < THIN * min(long, max(height, wide))
        if held < (RIB_SIDES if thin else STANDS) * rim or height <= 0:
            continue
        apart = spans_of([p for p in walls if p.id in standing], facing=False)
        if block.graph.noise_mm > 0 and len(apart) == 2:
            wide, long = apart  # a scan's top ends in a rounded edge
        if pair is not None and thin:
            wide = abs(dot(minus(pair[0].point, pair[1].point), pair[0].axis))
        u_mm = 2 * plane_u_mm(block.graph, top)
        own = [top, *(p for p in walls if p.id in standing)]
        feature = feature_of(
            "boss",
            own,
            [
                exact("width_mm", wide, 2 * u_mm),
                exact("length_mm", long, 2 * u_mm),
                exact("depth_mm", height, 2 * u_mm),
            ],
            axis=top.axis,
            at_mm=top.point,
            why=(because("features.rib" if thin else "features.island"),),
        )
        yield Draft(feature, f"raised {top.id}"), {p.id for p in own}


def upright(wall: Patch, top: Patch) -> bool:
    """Whether a wall stands square to a top."""
    along = abs(dot(wall.axis, top.axis))
    return along < SQUARE if wall.kind == "plane" else not wall.inside and along > ALONG


def lies_behind(top: Patch, wall: Patch) -> bool:
    """Whether all of a top lies behind a wall; a round wall is no hollow anyway."""
    if wall.kind != "plane" or top.points is None:
        return True
    ahead = (top.points - np.array(wall.point)) @ np.array(wall.axis)
    return float(np.quantile(ahead, 0.98)) < AHEAD * float(np.ptp(ahead))


def floors_under(block: Block, wall: Patch, top: Patch, head_mm: float) -> list[Patch]:
    """Floors at a wall's foot that look the way the top does and lie lower; none where the wall is larger than it.

    A block's own side is no wall of what stands on the block, though a step may be cut into it elsewhere.
    """
    feet = [
        (j, p)
        for j, p in block.joints_at(wall)
        if j.kind == "concave" and p.kind == "plane" and dot(p.axis, top.axis) > ALONG and height_over(top, p) < 0
    ]
    deep = max((-height_over(top, p) for _, p in feet), default=0.0)
    as_long = sum(j.length_mm for j, _ in feet) > 0.5 * head_mm
    return [p for _, p in feet] if as_long and wall.area_mm2 < LARGER * head_mm * deep else []


def facing_away(walls: Sequence[Patch]) -> tuple[Patch, Patch] | None:
    """The two largest plane walls that look away from each other."""
    planes = sorted((w for w in walls if w.kind == "plane"), key=lambda w: -w.area_mm2)
    for i, a in enumerate(planes):
        for b in planes[i + 1 :]:
            if dot(a.axis, b.axis) < -ALONG and dot(minus(a.point, b.point), a.axis) > 0:
                return a, b
    return None
