"""Worn bores and pins that were found in pieces: arcs about one line, none of them round all the way, together round.

Where wear ends in a step, each side of the step fits a cylinder of its own for a while. Rounds that a drawing means do
not stand about one line in arcs a few tenths apart, so together they are one worn round (worn_rounds.py judges it).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit.round import Turned
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.regions import sectors_of
from steadyrest.part.segment.prismatic_scan.worn_rounds import DEEPEST_MM, SECTORS, round_piece
from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]

ALONG = 0.99  # cosine between the lines of two arcs of one round
BESIDE = 0.03  # of the radius, beside the depth of wear: how far apart the lines of short arcs may run


def pieced(skin: Skin, found: Sequence[Found]) -> list[Found]:
    """The finds, arcs of one worn round put together.

    Args:
        skin: the mesh made ready. found: finds of a scan without an axis of its own.
    Returns: finds; rounds put together are last.
    """
    out = list(found)
    arcs = sorted((f for f in out if is_arc(skin, f)), key=lambda f: -len(f.members))
    while arcs:
        first, *rest = arcs
        group = [first, *(f for f in rest if about_one_line(skin, first, f))]
        arcs = [f for f in rest if all(f is not g for g in group)]
        if len(group) < 2:
            continue
        whole = round_piece(skin, np.unique(np.concatenate([f.members for f in group])))
        if whole is not None and whole.inside == first.inside:
            out = [f for f in out if all(f is not g for g in group)]
            out.append(whole)
    return out


def is_arc(skin: Skin, found: Found) -> bool:
    """Whether a find is a cylinder that does not go round all the way."""
    surface = found.surface
    if not isinstance(surface, Turned) or surface.half_angle_rad or found.coaxial:
        return False
    return sectors_of(surface, skin.points[found.members], SECTORS) < SECTORS - 1


def about_one_line(skin: Skin, a: Found, b: Found) -> bool:
    """Whether two arcs stand about one line, as far apart as wear is deep."""
    one, other = a.surface, b.surface
    assert isinstance(one, Turned)
    assert isinstance(other, Turned)
    if a.inside != b.inside or abs(float(one.axis @ other.axis)) < ALONG:
        return False
    allowed = DEEPEST_MM + BESIDE * one.radius_mm
    if abs(one.radius_mm - other.radius_mm) > allowed:
        return False
    at = middle_of(skin, b, other) - middle_of(skin, a, one)
    return float(np.linalg.norm(at - (at @ one.axis) * one.axis)) < allowed


def middle_of(skin: Skin, found: Found, surface: Turned) -> FloatArray:
    """Where a find's line runs beside the middle of its points."""
    middle = skin.points[found.members].mean(axis=0)
    return surface.point + float((middle - surface.point) @ surface.axis) * surface.axis
