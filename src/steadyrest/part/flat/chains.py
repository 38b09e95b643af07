"""From lines and arcs to closed lines: ends that meet are joined, small gaps closed, what stays open is listed.

Glossary. A *node* is a place where ends meet. A *loose end* is a node with one end. A *junction* has three or more:
there the outermost way round is the outline, and what is inside of it and hangs on it twice is an inner line (a bend
line on the outline's own layer, or two parts that share a cut): it is listed as open, never made a hole.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from steadyrest.part.flat.curve import Curve, loop_area, mixed, turned_round
from steadyrest.shop.part import Vec2

Loop = tuple[Curve, ...]
DEEPEST = 12  # closed lines that hang on each other at one place each


@dataclass(frozen=True, slots=True)
class Gap:
    at: Vec2
    gap: float
    layer: str


@dataclass(frozen=True, slots=True)
class Open:
    """A chain that does not close. at: one of its loose ends. gap: between its two ends; None where it has more."""

    curves: Loop
    at: Vec2
    gap: float | None
    inner: bool = False

    @property
    def length(self) -> float:
        return math.fsum(c.length for c in self.curves)


@dataclass(frozen=True, slots=True)
class Chained:
    """loops: closed lines. open: what does not close. closed: gaps that were closed. junctions: of three or more."""

    loops: tuple[Loop, ...]
    open: tuple[Open, ...]
    closed: tuple[Gap, ...]
    junctions: tuple[Vec2, ...]


def chained(curves: Sequence[Curve], *, snap: float, tolerance: float) -> Chained:
    """Closed lines from curves in any order.

    Args:
        curves: each once.
        snap: ends nearer than this are one place (rounding in the file).
        tolerance: loose ends nearer than this are joined, and said.
    Returns: closed lines, open ones, gaps that were closed, junctions.
    """
    loops: list[Loop] = [(c,) for c in curves if c.closed]
    edges = [c for c in curves if not c.closed and c.length > snap]
    ends = nodes_of(edges, snap)
    edges, ends, closed = gaps_closed(edges, ends, tolerance)
    opened: list[Open] = []
    junctions: list[Vec2] = []
    for part in components(range(len(edges)), ends):
        hanging, rest = pruned(part, ends)
        opened.extend(open_chains(edges, hanging, ends, inner=False))
        for piece in components(rest, ends):
            found, inner, met = loops_of(piece, edges, ends)
            loops.extend(found)
            junctions.extend(met)
            opened.extend(open_chains(edges, inner, ends, inner=True))
    return Chained(tuple(loops), tuple(opened), tuple(closed), tuple(junctions))


def nodes_of(edges: Sequence[Curve], snap: float) -> list[tuple[int, int]]:
    """The nodes of each edge's start and end: places within a snap of each other are one."""
    cells: dict[tuple[int, int], list[tuple[Vec2, int]]] = {}
    count = 0

    def node(point: Vec2) -> int:
        nonlocal count
        cx, cy = math.floor(point[0] / snap), math.floor(point[1] / snap)
        for x in (cx - 1, cx, cx + 1):
            for y in (cy - 1, cy, cy + 1):
                for other, known in cells.get((x, y), ()):
                    if math.dist(point, other) <= snap:
                        return known
        cells.setdefault((cx, cy), []).append((point, count))
        count += 1
        return count - 1

    return [(node(edge.start), node(edge.end)) for edge in edges]


def ends_at(part: Iterable[int], ends: Sequence[tuple[int, int]]) -> dict[int, list[tuple[int, int]]]:
    """For each node the edges that meet there, as (edge, 0 where it starts there or 1 where it ends)."""
    at: dict[int, list[tuple[int, int]]] = {}
    for k in part:
        for side in (0, 1):
            at.setdefault(ends[k][side], []).append((k, side))
    return at


def gaps_closed(
    edges: list[Curve], ends: list[tuple[int, int]], tolerance: float
) -> tuple[list[Curve], list[tuple[int, int]], list[Gap]]:
    """Loose ends within a tolerance of each other joined, nearest first."""
    loose = [at[0] for at in ends_at(range(len(edges)), ends).values() if len(at) == 1]
    cells: dict[tuple[int, int], list[int]] = {}
    points = [edges[k].end if side else edges[k].start for k, side in loose]
    near: list[tuple[float, int, int]] = []
    for i, point in enumerate(points):
        cx, cy = math.floor(point[0] / tolerance), math.floor(point[1] / tolerance)
        for x in (cx - 1, cx, cx + 1):
            for y in (cy - 1, cy, cy + 1):
                near.extend((math.dist(point, points[j]), j, i) for j in cells.get((x, y), ())[:50])
        cells.setdefault((cx, cy), []).append(i)
    closed: list[Gap] = []
    taken: set[int] = set()
    edges, ends = list(edges), list(ends)
    for gap, i, j in sorted(near):
        own = loose[i][0] == loose[j][0]
        if gap > tolerance or i in taken or j in taken or (own and edges[loose[i][0]].length < 4 * tolerance):
            continue
        taken |= {i, j}
        closed.append(Gap(points[i], gap, edges[loose[i][0]].layer))
        join(edges, ends, loose[i], loose[j])
    return edges, ends, closed


def join(edges: list[Curve], ends: list[tuple[int, int]], one: tuple[int, int], other: tuple[int, int]) -> None:
    """Make two loose ends one node: a line's end is moved to the other, an arc stays as it is."""
    (a, a_side), (b, b_side) = one, other
    node = ends[a][a_side]
    ends[b] = (node, ends[b][1]) if b_side == 0 else (ends[b][0], node)
    p, q = (edges[k].end if side else edges[k].start for k, side in (one, other))
    if a == b:
        if edges[a].centre is not None:
            edges[a] = replace(edges[a], end=edges[a].start, turn_rad=math.copysign(2 * math.pi, edges[a].turn_rad))
        return
    if edges[a].centre is None and edges[b].centre is None:
        p = q = mixed(p, q, 0.5)
    for k, side, to in ((a, a_side, q), (b, b_side, p)):
        if edges[k].centre is None:
            edges[k] = replace(edges[k], end=to) if side else replace(edges[k], start=to)


def components(part: Iterable[int], ends: Sequence[tuple[int, int]]) -> list[list[int]]:
    """Edges that hang together, in order of their first."""
    part = list(part)
    at = ends_at(part, ends)
    seen: set[int] = set()
    found: list[list[int]] = []
    for k in part:
        if k in seen:
            continue
        seen.add(k)
        group, waiting = [k], [k]
        while waiting:
            for node in ends[waiting.pop()]:
                for other, _ in at[node]:
                    if other not in seen:
                        seen.add(other)
                        group.append(other)
                        waiting.append(other)
        found.append(sorted(group))
    return found


def pruned(part: Sequence[int], ends: Sequence[tuple[int, int]]) -> tuple[list[int], list[int]]:
    """What hangs on loose ends, and the rest."""
    at = {node: [k for k, _ in some] for node, some in ends_at(part, ends).items()}
    waiting = [node for node, some in at.items() if len(some) == 1]
    hanging: set[int] = set()
    while waiting:
        node = waiting.pop()
        if len(at[node]) != 1:
            continue
        k = at[node][0]
        hanging.add(k)
        for end in ends[k]:
            at[end].remove(k)
            if len(at[end]) == 1:
                waiting.append(end)
    return sorted(hanging), [k for k in part if k not in hanging]


def loops_of(
    part: Sequence[int], edges: Sequence[Curve], ends: Sequence[tuple[int, int]], depth: int = 0
) -> tuple[list[Loop], list[int], list[Vec2]]:
    """Closed lines of edges without loose ends; inner lines; junctions."""
    if depth > DEEPEST:
        return [], list(part), []
    at = ends_at(part, ends)
    met = [node for node, some in at.items() if len(some) > 2]
    if not met:
        return [one_loop(part, edges, at, ends)], [], []
    places = [edges[at[n][0][0]].end if at[n][0][1] else edges[at[n][0][0]].start for n in met]
    outer = outermost(part, edges, at, ends)
    bridges = {k for k, side in outer if (k, 1 - side) in set(outer)}
    walk = [(k, side) for k, side in outer if k not in bridges]
    loops = [tuple(loop) for loop in split_walk(walk, edges, ends)]
    used = {k for k, _ in walk}
    outer_nodes = {node for k in used for node in ends[k]}
    inner: list[int] = sorted(bridges)
    for piece in components([k for k in part if k not in used and k not in bridges], ends):
        touches = outer_nodes & {node for k in piece for node in ends[k]}
        hanging, rest = pruned(piece, ends)
        if len(touches) > 1 or hanging:
            inner.extend(piece)
            continue
        more, lines, others = loops_of(rest, edges, ends, depth + 1) if len(rest) < len(part) else ([], list(rest), [])
        loops.extend(more)
        inner.extend(lines)
        places.extend(others)
    return loops, inner, places


def one_loop(
    part: Sequence[int], edges: Sequence[Curve], at: dict[int, list[tuple[int, int]]], ends: Sequence[tuple[int, int]]
) -> Loop:
    """A single ring of edges, in order."""
    k, side = part[0], 0
    found: list[Curve] = []
    for _ in part:
        found.append(edges[k] if side == 0 else edges[k].turned_round())
        node = ends[k][1 - side]
        k, side = next(((o, s) for o, s in at[node] if o != k), (k, side))
    return tuple(found)


def outermost(
    part: Sequence[int], edges: Sequence[Curve], at: dict[int, list[tuple[int, int]]], ends: Sequence[tuple[int, int]]
) -> list[tuple[int, int]]:
    """The walk round the outside, as (edge, 0 along it or 1 against it): of all faces the one with the lowest area."""
    order = {node: sorted(some, key=lambda out: leaving(edges[out[0]], out[1])) for node, some in at.items()}
    index = {(k, side): i for some in order.values() for i, (k, side) in enumerate(some)}
    seen: set[tuple[int, int]] = set()
    best: list[tuple[int, int]] = []
    lowest = math.inf
    for first in ((k, side) for k in part for side in (0, 1)):
        if first in seen:
            continue
        walk: list[tuple[int, int]] = []
        here = first
        while here not in seen:
            seen.add(here)
            walk.append(here)
            k, side = here
            round_node = order[ends[k][1 - side]]
            here = round_node[index[k, 1 - side] - 1]
        area = loop_area([edges[k] if side == 0 else edges[k].turned_round() for k, side in walk])
        if area < lowest:
            lowest, best = area, walk
    return best


def leaving(edge: Curve, side: int) -> tuple[float, float]:
    """Which way an edge leaves a node: by its direction, then by how it bends."""
    curve = edge if side == 0 else edge.turned_round()
    x, y = curve.heading(0.0)
    bend = 0.0 if curve.centre is None else math.copysign(1 / curve.radius, curve.turn_rad)
    angle = round(math.atan2(y, x), 6)
    return (-math.pi if angle >= 3.141592 else angle), bend


def split_walk(
    walk: Sequence[tuple[int, int]], edges: Sequence[Curve], ends: Sequence[tuple[int, int]]
) -> list[list[Curve]]:
    """A walk that passes a node twice, as several closed lines."""
    loops: list[list[Curve]] = []
    held: list[tuple[int, Curve]] = []
    for k, side in walk:
        held.append((ends[k][side], edges[k] if side == 0 else edges[k].turned_round()))
        node = ends[k][1 - side]
        first = next((i for i in range(len(held) - 1, -1, -1) if held[i][0] == node), None)
        if first is not None:
            loops.append([curve for _, curve in held[first:]])
            del held[first:]
    return loops


def open_chains(
    edges: Sequence[Curve], part: Sequence[int], ends: Sequence[tuple[int, int]], *, inner: bool
) -> list[Open]:
    """What does not close, each chain once."""
    found: list[Open] = []
    for group in components(part, ends):
        loose = [some[0] for some in ends_at(group, ends).values() if len(some) == 1]
        points = [edges[k].end if side else edges[k].start for k, side in loose]
        at = min(points, default=edges[group[0]].start)
        gap = math.dist(*points) if len(points) == 2 else None
        found.append(Open(tuple(edges[k] for k in group), at, gap, inner))
    return found


def leftward(loop: Loop) -> Loop:
    """The closed line run to the left."""
    return loop if loop_area(loop) >= 0 else turned_round(loop)
