"""Where the letters of a turned part's datums stand in its half section: the end, and the axis at the other end's
diameter, each a triangle on its line and a letter beside it (ISO 5459)."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.shop.part import Part, Profile, Vec2

SHARE = 0.03  # of the length or the diameter, whichever is more: how high a letter is


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
