"""What places are measured from, on the picture: a filled triangle on the face, a letter in a square; and the places.

The mark is that of ISO 5459. An axis has it in line with the arrows of a diameter, never on the centre line.
"""

from __future__ import annotations

from steadyrest import units
from steadyrest.papers.drawing import ink, legend
from steadyrest.papers.drawing.besides import Frame
from steadyrest.papers.drawing.ink import Palette, Point
from steadyrest.part.datums import places
from steadyrest.shop.part import Datum, Feature, Part, Profile

HEIGHT, HALF = 2.0, 1.2  # of the triangle
SQUARE = 4.0
LETTER = 3.2
REACH = HEIGHT + SQUARE  # how far a mark stands out
ARROW = 1.8
MOST = 24  # places listed


def mark(at: Point, out: Point, letter: str, colours: Palette) -> tuple[str, ...]:
    """One mark.

    Args:
        at: where the triangle stands on its line. out: the way it points, away from the part: along the page.
        letter: of the datum. colours: of the drawing.
    Returns: shapes.
    """
    (x, y), (ox, oy) = at, out
    tip = (x + HEIGHT * ox, y + HEIGHT * oy)
    middle = (tip[0] + SQUARE / 2 * ox, tip[1] + SQUARE / 2 * oy)
    return (
        ink.polygon([(x - HALF * oy, y - HALF * ox), (x + HALF * oy, y + HALF * ox), tip], fill=colours.ink),
        ink.element(
            "rect", x=middle[0] - SQUARE / 2, y=middle[1] - SQUARE / 2, width=SQUARE, height=SQUARE,
            fill=colours.paper, stroke=colours.ink, stroke_width=0.3,
        ),
        ink.text(
            (middle[0], middle[1] + 0.36 * LETTER), letter, size=LETTER, fill=colours.ink, anchor="middle", bold=True
        ),
    )  # fmt: skip


def on_turned(part: Part, profile: Profile, frame: Frame, colours: Palette) -> tuple[str, ...]:
    """The marks of a turned part: an end, and the axis at the diameter of the other end.

    Args:
        part: with its datums. profile: drawn. frame: where on the paper. colours: of the drawing.
    Returns: shapes; none where it has no datums.
    """
    start, end = profile.outside[0], profile.outside[-1]
    face = next((d for d in part.datums if d.kind == "face"), None)
    axis = next((d for d in part.datums if d.kind == "axis"), None)
    at_end = face is None or sum(a * b for a, b in zip(face.axis, profile.axis, strict=True)) > 0
    shapes: list[str] = []
    if face is not None:
        x, d = (frame.x(end.to_mm), end.diameter_to_mm) if at_end else (frame.x(start.from_mm), start.diameter_from_mm)
        below = frame.axis + 0.55 * (frame.axis - frame.y(d))
        shapes.extend(mark((x, below), (1.0 if at_end else -1.0, 0.0), face.name, colours))
    if axis is not None:
        x, d = (frame.x(start.from_mm), start.diameter_from_mm) if at_end else (frame.x(end.to_mm), end.diameter_to_mm)
        shapes.extend(across(x, 1.0 if not at_end else -1.0, frame.axis, frame.axis - frame.y(d), axis, colours))
    return tuple(shapes)


def across(x: float, way: float, middle: float, half: float, axis: Datum, colours: Palette) -> tuple[str, ...]:
    """A diameter's arrows beside an end, with the mark of the axis in line with them."""
    beside = x + 3.4 * way
    shapes = [ink.line((x, y), (beside + way, y), colours.soft, width=0.18) for y in (middle - half, middle + half)]
    shapes.append(ink.line((beside, middle - half), (beside, middle + half), colours.ink, width=0.22))
    for y, s in ((middle - half, 1.0), (middle + half, -1.0)):
        shapes.append(
            ink.polygon([(beside, y), (beside - 0.6, y + s * ARROW), (beside + 0.6, y + s * ARROW)], fill=colours.ink)
        )
    return (*shapes, *mark((beside, middle + half), (0.0, 1.0), axis.name, colours))


def place_list(
    part: Part, listed: tuple[Feature, ...], *, unit: str, width: float, top: float, colours: Palette
) -> legend.Block:
    """What each letter is, and how far features lie from them.

    Args:
        part: with its datums. listed: whose numerals stand in the picture. unit: the reader's.
        width: of the drawing, mm. top: where the list begins. colours: of the drawing.
    Returns: shapes and height; nothing where the part has no datums, or its unit is not known.
    """
    if not part.datums or part.unit.state == "ask":
        return legend.Block((), 0.0)
    said = [f"Places from {', '.join(named(datum) for datum in part.datums)}, to the middle:"]
    rows: dict[str, list[str]] = {}
    for feature in listed:
        if words := place_text(part, feature, unit):
            rows.setdefault(words, []).append(feature.id.lstrip("F") or feature.id)
    said += [f"{', '.join(numerals)}: {words}" for words, numerals in list(rows.items())[:MOST]]
    if len(said) == 1:
        return legend.Block((), 0.0)
    if len(rows) > MOST:
        said.append(f"and {len(rows) - MOST} more, in the list of sizes")
    shapes: list[str] = []
    y = top
    for i, line in enumerate(said):
        for row in legend.wrapped(line, legend.SMALL, width - 4, bold=i == 0):
            y += 4.7
            shapes.append(ink.text((2, y), row, size=legend.SMALL, fill=colours.ink, bold=i == 0))
    return legend.Block(tuple(shapes), y - top + 2)


def named(datum: Datum) -> str:
    """A letter with what it is."""
    if datum.kind == "axis":
        return f"{datum.name} the axis"
    if datum.feature:
        return f"{datum.name} face {datum.feature.lstrip('F')}"
    return f"{datum.name} {'an end' if datum.why[0].key == 'datums.end' else 'a'} face"


def place_text(part: Part, feature: Feature, unit: str) -> str:
    """How far a feature's middle lies from each datum; empty for what turns about the axis."""
    found = places(part.datums, feature)
    if any(d.kind == "axis" for d in part.datums) and not any(p.datum == "A" and p.mm for p in found):
        return ""
    reader = "in" if unit == "in" else "mm"
    return " · ".join(f"{units.show_length(round(p.mm, 2), reader, fractions=False)} from {p.datum}" for p in found)
