"""Which patches may stand evenly spaced, on a circle or in a row, or symmetric about one middle."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np
import numpy.typing as npt

from steadyrest.part.relations.candidates import LEAST_ARC_RAD, alike, allowed_rad, apart_rad
from steadyrest.part.relations.relation import Proposal, Row, placed, shifted
from steadyrest.part.relations.standing import Standing

FloatArray = npt.NDArray[np.float64]

EVEN_MM = 0.3  # farther off its place is not meant to be even
MOST = 60  # patches of one direction that are compared with each other


def circles(standings: Sequence[Standing]) -> Iterator[Proposal]:
    """Three and more equal parallel holes, evenly round their own middle.

    Args:
        standings: of one part.
    Returns: proposals "evenly spaced"; their rows leave a circle its centre, radius and turn.
    """
    for group in equal_holes(standings):
        some = [standings[k] for k in group]
        axis, u, v = some[0].direction, some[0].u, some[0].v
        base = some[0].middle
        at = np.array([on_plane(s, axis, base) for s in some])
        x, y = (at - base) @ u, (at - base) @ v
        centre = np.array([x.mean(), y.mean()])
        turn = np.arctan2(y - centre[1], x - centre[0])
        radius = float(np.hypot(x - centre[0], y - centre[1]).mean())
        order = np.argsort(turn)
        place = turn[order[0]] + 2 * np.pi * np.arange(len(group)) / len(group)
        place += float(np.mean(np.angle(np.exp(1j * (turn[order] - place)))))
        want = np.stack((centre[0] + radius * np.cos(place), centre[1] + radius * np.sin(place)), axis=1)
        got = np.stack((x[order], y[order]), axis=1)
        if np.linalg.norm(got - want, axis=1).max() > EVEN_MM:
            continue
        # What a circle may still do: move both ways, grow, turn. All else is fixed.
        free = np.zeros((2 * len(group), 4))
        free[0::2, 0], free[1::2, 1] = 1.0, 1.0
        free[0::2, 2], free[1::2, 2] = np.cos(place), np.sin(place)
        free[0::2, 3], free[1::2, 3] = -np.sin(place), np.cos(place)
        bound = np.linalg.svd(free)[0][:, 4:].T
        off = (want - got).reshape(-1)
        rows: list[Row] = []
        for weights in bound:
            row: list[tuple[int, float]] = []
            for i, k in enumerate(order):
                row += shifted(some[int(k)], weights[2 * i] * u + weights[2 * i + 1] * v)
            rows.append(Row(tuple(row), float(weights @ off)))
        yield Proposal("evenly spaced", tuple(group[int(k)] for k in order), tuple(rows))


def equal_holes(standings: Sequence[Standing]) -> list[list[int]]:
    """Three and more full hollow cylinders of one radius and direction."""
    groups: list[list[int]] = []
    for k, one in enumerate(standings):
        if one.size != 5 or not one.patch.inside or one.patch.arc_rad < LEAST_ARC_RAD:
            continue
        home = next((g for g in groups if same_kind(standings[g[0]], one)), None)
        if home is None:
            groups.append([k])
        else:
            home.append(k)
    return [group for group in groups if 3 <= len(group) <= MOST]


def same_kind(a: Standing, b: Standing) -> bool:
    return alike(a, b) and apart_rad(a, b) < allowed_rad(a, b)


def on_plane(standing: Standing, axis: FloatArray, base: FloatArray) -> FloatArray:
    """Where a cylinder's axis runs through the plane across `axis` at `base`."""
    lever = float((base - standing.middle) @ axis) / float(standing.direction @ axis)
    return standing.middle + lever * standing.direction


def rows_of_holes(standings: Sequence[Standing]) -> Iterator[Proposal]:
    """Three and more equal parallel holes on one line across their axes, the same step from each to the next.

    Args:
        standings: of one part.
    Returns: proposals "evenly spaced" for threes that follow one another.
    """
    for group in equal_holes(standings):
        some = [standings[k] for k in group]
        axis, base = some[0].direction, some[0].middle
        at = np.array([on_plane(s, axis, base) for s in some])
        for line in lines_of(at):
            for a, b, c in zip(line, line[1:], line[2:], strict=False):
                off = at[a] - 2 * at[b] + at[c]
                if np.linalg.norm(off) > EVEN_MM:
                    continue
                rows: list[Row] = []
                for across in (some[0].u, some[0].v):
                    weights = (*shifted(some[a], across), *shifted(some[b], -2 * across), *shifted(some[c], across))
                    rows.append(Row(weights, -float(off @ across)))
                yield Proposal("evenly spaced", (group[b], group[a], group[c]), tuple(rows))


def lines_of(at: FloatArray) -> list[list[int]]:
    """Points on common straight lines, three and more, in order along each; a line once."""
    found: dict[frozenset[int], list[int]] = {}
    for a, b in combinations(range(len(at)), 2):
        way = at[b] - at[a]
        length = float(np.linalg.norm(way))
        if length < EVEN_MM:
            continue
        way = way / length
        off = np.linalg.norm(np.cross(at - at[a], way), axis=1)
        on = np.flatnonzero(off < EVEN_MM)
        if len(on) >= 3:
            order = on[np.argsort((at[on] - at[a]) @ way)]
            found.setdefault(frozenset(order.tolist()), order.tolist())
    return list(found.values())


def symmetric_pairs(standings: Sequence[Standing]) -> Iterator[Proposal]:
    """Pairs of planes that face away from or towards each other and share their middle with the widest such pair.

    Args:
        standings: of one part.
    Returns: proposals "symmetric", the widest pair first among the members.
    """
    planes = [k for k, s in enumerate(standings) if s.size == 3]
    leaders: list[int] = []
    groups: list[list[int]] = []
    for k in sorted(planes, key=lambda k: -standings[k].patch.area_mm2):
        home = next((i for i, leader in enumerate(leaders) if apart_rad(standings[leader], standings[k]) < 0.02), None)
        if home is None:
            leaders.append(k)
            groups.append([k])
        else:
            groups[home].append(k)
    for leader, group in zip(leaders, groups, strict=True):
        way = standings[leader].direction
        pairs = pairs_in(standings, group[:MOST], way)
        if not pairs:
            continue
        widest, *rest = pairs
        for a, b in rest:
            off = middle_of(standings, widest, way) - middle_of(standings, (a, b), way)
            if abs(off) < EVEN_MM:
                weights = (
                    *(w for k in (a, b) for w in placed(standings[k], 0.5 * way)),
                    *(w for k in widest for w in placed(standings[k], -0.5 * way)),
                )
                yield Proposal("symmetric", (*widest, a, b), (Row(tuple(weights), off),))


def pairs_in(standings: Sequence[Standing], group: Sequence[int], way: FloatArray) -> list[tuple[int, int]]:
    """Opposite planes, each used once, the widest pair first; each plane with its nearest in size."""
    ahead = [k for k in group if standings[k].direction @ way > 0]
    back = [k for k in group if standings[k].direction @ way < 0]
    out: list[tuple[int, int]] = []
    for a in ahead:
        like = [b for b in back if 0.5 < standings[b].patch.area_mm2 / standings[a].patch.area_mm2 < 2]
        beside = [b for b in like if abs(offset_across(standings[a], standings[b], way)) < EVEN_MM * 10]
        if beside:
            b = min(beside, key=lambda b: abs(standings[b].patch.area_mm2 - standings[a].patch.area_mm2))
            back.remove(b)
            out.append((a, b))
    width = [abs(float((standings[a].middle - standings[b].middle) @ way)) for a, b in out]
    return [out[i] for i in np.argsort([-w for w in width], kind="stable")]


def offset_across(a: Standing, b: Standing, way: FloatArray) -> float:
    """How far the middles of two opposite planes stand beside each other."""
    gap = a.middle - b.middle
    return float(np.linalg.norm(gap - (gap @ way) * way))


def middle_of(standings: Sequence[Standing], pair: tuple[int, int], way: FloatArray) -> float:
    """Half way between two planes, along a direction."""
    return sum(float(standings[k].middle @ way) for k in pair) / 2
