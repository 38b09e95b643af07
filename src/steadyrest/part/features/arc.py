"""Arcs of a turned part's line: balls, domes, full radii and radiused grooves.

A corner's fillet is none of them: it stands beside the line, at the corner that it rounds.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from steadyrest.part.features.frame import Frame
from steadyrest.part.patch import Patch

TURNS_OVER_RAD = math.radians(120.0)  # a rounded corner turns by a right angle, in a scan a little more
AT_POLE = 0.05  # of the radius: how near to the axis a ball must reach to close on it


@dataclass(frozen=True, slots=True)
class Arc:
    """An arc beside the axis. at_mm, off_mm: its middle along and from the axis. low_mm, high_mm: along the axis.

    sags: it is the half nearer to the axis. inner: it is a bore's line, not the outside's. closed: at (low, high), it
    ends on the axis itself.
    """

    at_mm: float
    off_mm: float
    radius_mm: float
    low_mm: float
    high_mm: float
    sags: bool
    inner: bool
    closed: tuple[bool, bool] = (False, False)

    def radius_at(self, along_mm: float) -> float:
        """Distance from the axis; beyond the arc's own ends that of its middle."""
        rise = math.sqrt(max(0.0, self.radius_mm**2 - (along_mm - self.at_mm) ** 2))
        return max(0.0, self.off_mm + (-rise if self.sags else rise))

    def reaches(self, along_mm: float) -> bool:
        return abs(along_mm - self.at_mm) < self.radius_mm

    def turn_rad(self, low_mm: float, high_mm: float) -> float:
        """How far it turns between two places along the axis."""
        low, high = (min(1.0, max(-1.0, (x - self.at_mm) / self.radius_mm)) for x in (low_mm, high_mm))
        return math.acos(low) - math.acos(high)

    @property
    def crest_mm(self) -> float:
        """Largest distance from the axis between its ends."""
        ends = max(self.radius_at(self.low_mm), self.radius_at(self.high_mm))
        level = self.low_mm < self.at_mm < self.high_mm and not self.sags
        return self.off_mm + self.radius_mm if level else ends


def line_arc(patch: Patch, frame: Frame, *, tail: float, rounding_mm: float) -> Arc | None:
    """The arc that a patch about the axis draws in the line, or None: a rounded corner, or another shape.

    Args:
        patch: a ball or a torus about the axis. frame: the axis.
        tail: share of its points that may lie beyond its ends. rounding_mm: how far short of its end it may stop.
    Returns: the arc.
    """
    if patch.kind not in ("sphere", "torus") or patch.points is None or len(patch.points) < 3:
        return None
    radius = patch.minor_mm if patch.kind == "torus" else patch.radius_mm
    off = patch.radius_mm if patch.kind == "torus" else 0.0
    at = frame.along_of(patch.point)
    along, from_axis = frame.along(patch.points) - at, frame.from_axis(patch.points)
    sags = False
    if patch.kind == "torus":
        domed = patch.minor_mm > patch.radius_mm + 1e-9
        if domed:  # the arc's middle may lie beyond the axis: then the surface is the inner part of the ring
            off = min((off, -off), key=lambda o: float(np.mean(np.abs(np.hypot(from_axis - o, along) - radius))))
        sags = not domed and float(np.median(from_axis - off)) < 0
        away = (off - from_axis) if sags else (from_axis - off)
        low, high = np.quantile(_unbroken(np.arctan2(away, along)), [tail, 1 - tail])
        if not domed and high - low <= TURNS_OVER_RAD:
            return None
        # A dome's crest may be a ring about the axis: its line is the outer side, the crest its end.
        along = np.where(away < 0, np.sign(along) * radius, along)
    low_mm, high_mm = (float(x) for x in np.quantile(along, [tail, 1 - tail]))
    near = along[from_axis < rounding_mm + AT_POLE * radius] if off <= AT_POLE * radius else along[:0]
    pole = math.sqrt(max(radius**2 - off**2, 0.0))  # where the arc comes to the axis
    closed = (bool((near < 0).any()), bool((near > 0).any()))
    return Arc(
        at, off, radius, at - pole if closed[0] else at + low_mm, at + pole if closed[1] else at + high_mm, sags,
        (not sags) == patch.inside, closed,
    )  # fmt: skip


def _unbroken(angle: np.ndarray) -> np.ndarray:
    """Angles about a quarter turn, where the outer half of a ring lies."""
    return (angle - math.pi / 2 + math.pi) % (2 * math.pi)
