"""Where the letters of a part's datums stand, each a triangle on its line and a letter beside it (ISO 5459).

In a turned part's half section the end, and the axis at the other end's diameter; in the outline of another part's
largest face the sides that are datums.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from steadyrest.part.handover.levels import along_frame
from steadyrest.shop.part import Outline, Part, Profile, Vec2

SHARE = 0.03  # of the length or the diameter, whichever is more: how high a letter is
SQUARE = 0.999
AT_EDGE_MM = 0.01


@dataclass(frozen=True, slots=True)
class DatumMark:
    """triangle: on its line, its tip away from the part. at: the letter's lower left corner. high_mm: the letter."""

    letter: str
    triangle: tuple[Vec2, Vec2, Vec2]
    at: Vec2
    high_mm: float


def datum_marks(part: Part, profile: Profile) -> tuple[DatumMark, ...]:
    """The marks of a turned part's datums: x along the axis, y the radius.

    Args:
        part: with its datums. profile: at the sizes to draw.
    Returns: one a datum.
    """
    high = SHARE * max(profile.length_mm, profile.largest_mm)
    face = next((d for d in part.datums if d.kind == "face"), None)
    at_end = face is None or sum(a * b for a, b in zip(face.axis, profile.axis, strict=True)) > 0
    first, last = profile.outside[0], profile.outside[-1]
    ends = ((first.from_mm, first.diameter_from_mm / 2, -1.0), (last.to_mm, last.diameter_to_mm / 2, 1.0))
    found: list[DatumMark] = []
    for datum in part.datums:
        if datum.kind == "face":
            x, radius, way = ends[1] if at_end else ends[0]
            y = radius - 1.2 * high
            triangle = ((x, y - high / 2), (x, y + high / 2), (x + way * high, y))
            left = x + 1.3 * high if way > 0 else x - 2.3 * high
            found.append(DatumMark(datum.name, triangle, (left, y - high / 2), high))
        else:
            x, radius, way = ends[0] if at_end else ends[1]
            x += way * high
            triangle = ((x - high / 2, radius), (x + high / 2, radius), (x, radius + high))
            found.append(DatumMark(datum.name, triangle, (x - high / 2, radius + 1.3 * high), high))
    return tuple(found)


def outline_marks(
    part: Part, outlines: Sequence[Outline], across: tuple[int, int], high_mm: Sequence[float]
) -> tuple[DatumMark, ...]:
    """The marks of a part's datums at the sides of its largest face.

    Args:
        part: not turned, with its own directions. outlines: closed lines of that face, their zero at the part's lowest
        corner. across: which of the part's directions run to the right and up. high_mm: (3,) its highest corner.
    Returns: one a datum whose face ends the outline; none for the face itself, and none for a face that lies elsewhere.
    """
    points = np.array([edge.start for line in outlines for edge in line.edges if not line.inside])
    if part.frame is None or not len(points):
        return ()
    low, high = points.min(axis=0), points.max(axis=0)
    letter = SHARE * float((high - low).max())
    found: list[DatumMark] = []
    for datum in part.datums:
        out = along_frame(np.array(part.frame), datum.axis)
        k = int(np.argmax(np.abs(out)))
        if datum.kind != "face" or abs(out[k]) < SQUARE or k not in across:
            continue
        side, way = across.index(k), 1.0 if out[k] > 0 else -1.0
        edge, face = (high[side], high_mm[k]) if way > 0 else (low[side], 0.0)
        if abs(edge - face) > AT_EDGE_MM:
            continue
        other = float(low[1 - side] + (high - low)[1 - side] / 4)
        base, tip = float(edge), float(edge) + way * letter
        corners = [(base, other - letter / 2), (base, other + letter / 2), (tip, other)]
        left = tip + 0.3 * letter if way > 0 else tip - 1.3 * letter
        at = (left, other - letter / 2)
        if side == 1:
            corners, at = [(y, x) for x, y in corners], (other - letter / 2, left)
        found.append(DatumMark(datum.name, (corners[0], corners[1], corners[2]), at, letter))
    return tuple(found)
