"""Arcs of a turned part's line: a profile holds a ball, a dome or a half-round groove as short tapers on its arc."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import groupby

import numpy as np

from steadyrest.part.handover.outline import Point, Segment, ends_of
from steadyrest.shop.part import Stretch

OFF_SHARE = 0.02  # of the radius, that a corner of the short tapers may lie off: moved to nominal lengths
SAME_MM = 1e-6
OFF_AXIS_SHARE = 1e-6
LEAST = 3


def arched(segments: Sequence[Segment], stretches: Sequence[Stretch]) -> tuple[Segment, ...]:
    """A line with one arc for each row of short tapers that one feature left.

    Args:
        segments: the line, from end to end.
        stretches: that it was made of.
    Returns: the line; a row that a fillet cut into, or that lies on no circle, stays as it is.
    """
    done = list(segments)
    for _, some in groupby(stretches, key=lambda s: s.feature):
        run = list(some)
        if len(run) < LEAST or run[0].feature is None:
            continue
        points = [ends_of(run[0])[0], *(ends_of(s)[1] for s in run)]
        first = next((i for i in range(len(done) - len(run) + 1) if follows(done[i : i + len(run)], points)), None)
        arc = arc_through(points)
        if first is not None and arc is not None:
            done[first : first + len(run)] = [arc]
    return tuple(done)


def follows(segments: Sequence[Segment], points: Sequence[Point]) -> bool:
    """Whether straight segments go from point to point."""
    ends = [segments[0].start, *(s.end for s in segments)]
    return all(s.centre is None for s in segments) and all(
        math.dist(a, b) < SAME_MM for a, b in zip(ends, points, strict=True)
    )


def arc_through(points: Sequence[Point]) -> Segment | None:
    """The arc from the first of some points to the last that the others lie on best; None where they do not.

    Its centre lies on the line square to the chord through its middle: least squares along that line.
    """
    (ax, ay), (bx, by) = points[0], points[-1]
    chord = math.dist(points[0], points[-1])
    if chord < SAME_MM:
        return None
    ux, uy = (bx - ax) / chord, (by - ay) / chord
    at = np.array(points[1:-1]) - np.array([(ax + bx) / 2, (ay + by) / 2])
    along, off = at @ np.array([ux, uy]), at @ np.array([-uy, ux])
    # |p - c|^2 = (chord / 2)^2 + h^2 with the centre h off the chord: along^2 + off^2 - 2 h off = (chord / 2)^2.
    power = along**2 + off**2 - (chord / 2) ** 2
    if float(off @ off) < SAME_MM**2:
        return None
    h = float(off @ power) / (2 * float(off @ off))
    radius = math.hypot(chord / 2, h)
    if float(np.abs(np.hypot(along, off - h) - radius).max()) > OFF_SHARE * radius:
        return None
    centre = ((ax + bx) / 2 - h * uy, (ay + by) / 2 + h * ux)
    if abs(centre[1]) < OFF_AXIS_SHARE * radius:
        centre = (centre[0], 0.0)  # a ball
    elif centre[1] < 0:  # round the axis it crosses itself, and what reads the file may not take it
        return None
    return Segment(points[0], points[-1], centre, left=float(off.mean()) < 0)
