"""The view of a flat part: outlines with cut-outs to scale, bend lines and engraving, features by numeral."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from steadyrest import units
from steadyrest.papers.drawing import ink, legend, numerals
from steadyrest.papers.drawing.drawn import Drawn
from steadyrest.papers.drawing.ink import Palette, Point
from steadyrest.papers.drawing.numerals import Mark
from steadyrest.shop.part import Edge, Feature, Flat, Outline, Part, Vec2
from steadyrest.wording.say import Reader, figure

MARGIN = 8.0
HIGHEST_SHARE = 0.75
DASHES = {"bend": "4 1.2 0.8 1.2", "engrave": "1.2 1"}
MOST_LEADERS = 40  # more would hide the part; those that read alike stand under one numeral
ROOM = 2 * numerals.RADIUS + 1.2  # a hole this wide holds its own numeral


@dataclass(frozen=True, slots=True)
class Sheet:
    """Where the drawing's plane lies on paper: its left and top edge, and paper mm per mm."""

    left: float
    top: float
    scale: float
    low_x: float
    high_y: float

    def at(self, point: Vec2) -> Point:
        return self.left + (point[0] - self.low_x) * self.scale, self.top + (self.high_y - point[1]) * self.scale


def flat_view(part: Part, flat: Flat, *, listed: Sequence[Feature], width: float, unit: str, colours: Palette) -> Drawn:
    """The view with numerals, its size, area and cut length.

    Args:
        part: a flat part as read.
        flat: its outlines.
        listed: features that the list below names.
        width: of the drawing, mm.
        unit: the reader's.
        colours: of the drawing.
    Returns: shapes, height, and numerals without a place.
    """
    low_x, low_y, high_x, high_y = box_of(flat)
    wide, high = max(high_x - low_x, 1e-9), max(high_y - low_y, 1e-9)
    scale = min((width - 2 * MARGIN) / wide, HIGHEST_SHARE * width / high)
    left = (width - wide * scale) / 2
    trial = Sheet(left, 0.0, scale, low_x, high_y)
    inner, top, low = marks(part, listed, trial, high * scale, unit)
    over = numerals.row(top, level=-numerals.CLEAR, up=True, left=2, right=width - 2, colours=colours)
    sheet = Sheet(left, over.height + numerals.CLEAR + 2, scale, low_x, high_y)
    inner, top, low = marks(part, listed, sheet, high * scale, unit)
    foot = sheet.top + high * scale
    over = numerals.row(top, level=sheet.top - numerals.CLEAR, up=True, left=2, right=width - 2, colours=colours)
    under = numerals.row(low, level=foot + numerals.CLEAR, up=False, left=2, right=width - 2, colours=colours)
    shapes = [*body(flat, sheet, colours), *markings(flat, sheet, colours), *over.shapes, *under.shapes]
    for at, numeral in inner:
        shapes.extend(numerals.numeral(at, numeral, colours))
    y = foot + (numerals.CLEAR + under.height if low else 0.0) + 6
    shapes.append(ink.text((MARGIN, y), over_all(part, unit), size=legend.SIZE, fill=colours.ink))
    for said in (measures(part, flat, unit), marked(flat)):
        if said:
            y += legend.LINE
            shapes.append(ink.text((MARGIN, y), said, size=legend.SMALL, fill=colours.soft))
    return Drawn(tuple(shapes), y + 3, over.left_out + under.left_out)


def box_of(flat: Flat) -> tuple[float, float, float, float]:
    """The box of all that is drawn."""
    edges = [e for some in (*flat.outlines, *flat.markings) for e in some.edges]
    points = [p for edge in edges for p in reach(edge)]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def reach(edge: Edge) -> Iterable[Vec2]:
    """Ends of an edge, and of an arc the farthest places."""
    yield edge.start
    yield edge.end
    if edge.centre is None:
        return
    cx, cy = edge.centre
    radius = math.dist(edge.start, edge.centre)
    low, high = sorted((begins := math.atan2(edge.start[1] - cy, edge.start[0] - cx), begins + edge.turn_rad))
    for quarter in range(math.ceil(low / (math.pi / 2)), math.floor(high / (math.pi / 2)) + 1):
        yield cx + radius * math.cos(quarter * math.pi / 2), cy + radius * math.sin(quarter * math.pi / 2)


def body(flat: Flat, sheet: Sheet, colours: Palette) -> list[str]:
    """The material, its cut-outs left blank: one path for each part."""
    shapes: list[str] = []
    for number in sorted({outline.body for outline in flat.outlines}):
        path = " ".join(closed(outline, sheet) for outline in flat.outlines if outline.body == number)
        shapes.append(
            ink.element(
                "path", d=path, fill=colours.body, fill_rule="evenodd", stroke=colours.ink, stroke_width=0.4,
                stroke_linejoin="round",
            )
        )  # fmt: skip
    return shapes


def closed(outline: Outline, sheet: Sheet) -> str:
    """One outline as a path."""
    return f"M {place(sheet.at(outline.edges[0].start))} {' '.join(step(e, sheet) for e in outline.edges)} Z"


def step(edge: Edge, sheet: Sheet) -> str:
    """One edge as a step of a path, from where it begins."""
    if edge.centre is None:
        return f"L {place(sheet.at(edge.end))}"
    radius = ink.number(math.dist(edge.start, edge.centre) * sheet.scale)
    # Paper's y runs down, so that a turn to the left is drawn the other way round.
    sweep = 0 if edge.turn_rad > 0 else 1
    if abs(edge.turn_rad) < 2 * math.pi - 1e-6:
        large = int(abs(edge.turn_rad) > math.pi)
        return f"A {radius} {radius} 0 {large} {sweep} {place(sheet.at(edge.end))}"
    across = 2 * edge.centre[0] - edge.start[0], 2 * edge.centre[1] - edge.start[1]
    halves = (f"A {radius} {radius} 0 0 {sweep} {place(sheet.at(p))}" for p in (across, edge.end))
    return " ".join(halves)


def place(at: Point) -> str:
    return f"{ink.number(at[0])} {ink.number(at[1])}"


def markings(flat: Flat, sheet: Sheet, colours: Palette) -> list[str]:
    """Bend lines long-dashed, engraving short-dashed."""
    return [
        ink.element(
            "path", d=" ".join(f"M {place(sheet.at(e.start))} {step(e, sheet)}" for e in marking.edges), fill="none",
            stroke=colours.soft, stroke_width=0.3, stroke_dasharray=DASHES[marking.role],
        )
        for marking in flat.markings
    ]  # fmt: skip


def marks(
    part: Part, listed: Sequence[Feature], sheet: Sheet, high: float, unit: str
) -> tuple[list[tuple[Point, str]], list[Mark], list[Mark]]:
    """Numerals that stand in their own hole, and those that point down from above and up from below."""
    inner: list[tuple[Point, str]] = []
    top: list[Mark] = []
    low: list[Mark] = []
    groups = legend.alike(part, tuple(listed), unit)
    leaders = [group[0] for group in groups] + [f for group in groups for f in group[1:]]
    for feature in leaders:
        numeral = feature.id.lstrip("F") or feature.id
        x, y = sheet.at((feature.at_mm[0], feature.at_mm[1]))
        size = min((s.estimate for s in feature.sizes if s.name in ("diameter_mm", "width_mm")), default=0.0)
        if feature.inside and feature.kind != "fillet" and feature.kind != "free" and size * sheet.scale >= ROOM:
            inner.append(((x, y), numeral))
        elif len(top) + len(low) < MOST_LEADERS or feature in [group[0] for group in groups]:
            half = max(0.4, 0.3 * size * sheet.scale) if feature.inside and feature.kind != "free" else 0.8
            above = y < sheet.top + high / 2
            (top if above else low).append(Mark(numeral, x - half, x + half, y))
    return inner, top, low


def over_all(part: Part, unit: str) -> str:
    """The size of the drawing's box."""
    x, y, _ = part.size_mm
    if part.unit.state == "ask":
        return f"{x:.5g} × {y:.5g} (unit?), thickness not told"
    reader = "in" if unit == "in" else "mm"
    said = " × ".join(units.show_length(round(v, 3), reader, fractions=False) for v in (x, y))
    return f"{said} over all, thickness not told"


def measures(part: Part, flat: Flat, unit: str) -> str:
    """Area and cut length."""
    reader = Reader("in" if unit == "in" else "mm")
    count = f"{part.solids} parts, " if (part.solids or 1) > 1 else ""
    return f"{count}area {figure(flat.area, reader)}, cut length {figure(flat.cut_length, reader)}"


def marked(flat: Flat) -> str:
    """What the dashed lines are."""
    said = {"bend": "long dashes: bend lines", "engrave": "short dashes: engraving"}
    return ", ".join(said[role] for role in ("bend", "engrave") if any(m.role == role for m in flat.markings))
