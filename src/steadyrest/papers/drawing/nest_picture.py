"""The picture of a nest: the plate with its holes, the parts by numeral, what is left of it, all to scale."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from steadyrest import units
from steadyrest.papers.drawing import ink, numerals
from steadyrest.papers.drawing.ink import Palette, Point
from steadyrest.stock.nesting.opened import OpenedPlan
from steadyrest.stock.nesting.wanted import Left, NestPlan, NestWanted, Placed, Ring

MARGIN = 4.0
SMALL, LINE = 3.2, 5.0
HIGHEST_MM = 240.0
NARROWEST_MM = 80.0


@dataclass(frozen=True, slots=True)
class Scale:
    """Paper mm per mm, and where the plate's low left corner lies."""

    each: float
    left: float
    foot: float
    low: Point

    def at(self, point: Point) -> Point:
        return self.left + (point[0] - self.low[0]) * self.each, self.foot - (point[1] - self.low[1]) * self.each

    def ring(self, ring: Ring) -> list[Point]:
        return [self.at(point) for point in ring]


def nest_svg(
    wanted: NestWanted, plan: NestPlan, *, unit: str = "mm", width_mm: float = 180.0, dark: bool = False
) -> str:
    """The picture of a nest as SVG text.

    Args:
        wanted: the plate and the parts.
        plan: where the parts go.
        unit: "mm" or "in", the reader's.
        width_mm: of the drawing on paper; at least 80.
        dark: light ink for a dark page.
    Returns: SVG text: valid XML, with title and description for those who listen instead.
    Raises: ValueError: the drawing is too narrow for its text.
    """
    if width_mm < NARROWEST_MM:
        raise ValueError(f"nest_svg: width_mm {width_mm!r} must be at least {NARROWEST_MM}")
    colours = ink.DARK if dark else ink.LIGHT
    number = {part.id: k for k, part in enumerate(wanted.parts, 1)}
    shapes, foot = _plate(wanted, plan.placed, plan.left, number, colours, top=0.0, width_mm=width_mm)
    said = legend(wanted, plan, unit)
    lines, y = _lines(said, foot + MARGIN, colours, width_mm)
    title = f"Nest of {len(plan.placed)} parts on a plate"
    return ink.svg([*shapes, *lines], width_mm=width_mm, height_mm=y, title=title, description=". ".join(said))


def opened_svg(
    wanted: NestWanted, plan: OpenedPlan, *, unit: str = "mm", width_mm: float = 180.0, dark: bool = False
) -> str:
    """The sheets that are opened, in the order of cutting, as SVG text.

    Args:
        wanted: the parts and what is kept clear. plan: the sheets.
        unit: "mm" or "in", the reader's.
        width_mm: of the drawing on paper; at least 80.
        dark: light ink for a dark page.
    Returns: SVG text: valid XML, with title and description for those who listen instead.
    Raises: ValueError: the drawing is too narrow for its text.
    """
    if width_mm < NARROWEST_MM:
        raise ValueError(f"opened_svg: width_mm {width_mm!r} must be at least {NARROWEST_MM}")
    colours = ink.DARK if dark else ink.LIGHT
    reader = "in" if unit == "in" else "mm"
    number = {part.id: k for k, part in enumerate(wanted.parts, 1)}
    shapes, said, y = list[str](), list[str](), 0.0
    for k, one in enumerate(plan.sheets, 1):
        sheet = one.of.sheet
        here = replace(wanted, plate_mm=sheet.outline_mm, holes_mm=sheet.holes_mm, clamps_mm=sheet.clamps_mm)
        drawn, foot = _plate(here, one.placed, one.left, number, colours, top=y, width_mm=width_mm)
        which = f"{one.of.id}, number {one.number}" if one.of.count > 1 else one.of.id
        words = [f"{k}. sheet {which}: {len(one.placed)} parts, {100 * one.used:.0f} of 100 of it used"]
        if one.left.area_mm2 > 0:
            beyond = units.show_length(round(one.left.beyond_mm, 3), reader, fractions=False)
            fate = "goes back to the rack" if one.kept else "is scrap"
            words.append(f"dashed line at {one.left.axis} {beyond}: what is beyond it {fate}")
        lines, y = _lines(words, foot + MARGIN, colours, width_mm)
        shapes += [*drawn, *lines]
        said += words
    counted = [f"{k}: {part.id}" for k, part in enumerate(wanted.parts, 1)]
    lines, y = _lines(counted, y + MARGIN, colours, width_mm)
    shapes += lines
    title = f"Nest on {len(plan.sheets)} sheets, in the order of cutting"
    return ink.svg(shapes, width_mm=width_mm, height_mm=y, title=title, description=". ".join([*said, *counted]))


def _plate(
    wanted: NestWanted, placed: Sequence[Placed], left: Left | None, number: Mapping[str, int], colours: Palette, *,
    top: float, width_mm: float,
) -> tuple[list[str], float]:  # fmt: skip
    """A plate with what lies on it, below `top`; and where it ends."""
    xs, ys = [x for x, _ in wanted.plate_mm], [y for _, y in wanted.plate_mm]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    each = min((width_mm - 2 * MARGIN) / wide, HIGHEST_MM / high)
    scale = Scale(each, (width_mm - each * wide) / 2, top + MARGIN + each * high, (min(xs), min(ys)))
    shapes = [ink.polygon(scale.ring(wanted.plate_mm), fill=colours.paper, stroke=colours.ink, width=0.5)]
    shapes += [
        ink.polygon(scale.ring(ring), fill=colours.cut, stroke=colours.ink, width=0.3) for ring in wanted.holes_mm
    ]
    for ring in wanted.clamps_mm:
        shapes += clamp(scale.ring(ring), colours)
    for one in placed:
        shapes += part_on_plate(one, str(number[one.part.id]), scale, colours)
    if left is not None and left.area_mm2 > 0:
        shapes += cut_line(left, wanted.plate_mm, scale, colours)
    return shapes, scale.foot


def clamp(ring: list[Point], colours: Palette) -> list[str]:
    """A clamp: dashed, with a C in it, so that nobody takes it for a hole."""
    x, y = sum(p[0] for p in ring) / len(ring), sum(p[1] for p in ring) / len(ring)
    path = _closed(ring)
    box = ink.element("path", d=path, fill="none", stroke=colours.ink, stroke_width=0.35, stroke_dasharray="1.2 0.8")
    return [box, ink.text((x, y + 0.35 * SMALL), "C", size=SMALL, fill=colours.ink, anchor="middle")]


def _lines(said: Sequence[str], top: float, colours: Palette, width_mm: float) -> tuple[list[str], float]:
    """Lines of words below `top`, broken where the paper ends; and where they end."""
    shapes, y = list[str](), top + SMALL
    for line in said:
        for words in textwrap.wrap(line, max(20, int((width_mm - 2 * MARGIN) / (0.5 * SMALL)))):
            shapes.append(ink.text((MARGIN, y), words, size=SMALL, fill=colours.ink))
            y += LINE
    return shapes, y


def part_on_plate(one: Placed, numeral: str, scale: Scale, colours: Palette) -> list[str]:
    """One part where it lies; its numeral in it, turned with it so that a look tells how it is turned."""
    path = " ".join(_closed(scale.ring(one.ring_mm(ring))) for ring in (one.part.outline_mm, *one.part.holes_mm))
    shapes = [
        ink.element("path", d=path, fill=colours.body, fill_rule="evenodd", stroke=colours.ink, stroke_width=0.25,
                    stroke_linejoin="round")
    ]  # fmt: skip
    at, room = inner_point(one, scale)
    size = min(2 * numerals.RADIUS, 1.3 * room)
    if size >= 1.2:
        shapes.append(ink.text((at[0], at[1] + 0.35 * size), numeral, size=size, fill=colours.ink, anchor="middle"))
    return shapes


def inner_point(one: Placed, scale: Scale) -> tuple[Point, float]:
    """The place of a part farthest from its edges on a coarse net, and how far from them that is, both on paper."""
    rings = [scale.ring(one.ring_mm(ring)) for ring in (one.part.outline_mm, *one.part.holes_mm)]
    xs, ys = [x for x, _ in rings[0]], [y for _, y in rings[0]]
    net = 24
    tries = [
        (min(xs) + (i + 0.5) / net * (max(xs) - min(xs)), min(ys) + (j + 0.5) / net * (max(ys) - min(ys)))
        for i in range(net)
        for j in range(net)
    ]
    edges = [(a, b) for ring in rings for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)]
    best: tuple[float, Point] = (0.0, tries[0])
    for x, y in tries:
        crossed = sum(
            (a[1] > y) != (b[1] > y) and x < a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]) for a, b in edges
        )
        if crossed % 2:
            best = max(best, (min(_distance((x, y), a, b) for a, b in edges), (x, y)))
    return best[1], best[0]


def _distance(p: Point, a: Point, b: Point) -> float:
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], p[0] - a[0], p[1] - a[1]
    t = min(max((ux * vx + uy * vy) / max(ux * ux + uy * uy, 1e-12), 0.0), 1.0)
    return ((vx - t * ux) ** 2 + (vy - t * uy) ** 2) ** 0.5


def _closed(points: Sequence[Point]) -> str:
    return "M " + " L ".join(f"{ink.number(x)} {ink.number(y)}" for x, y in points) + " Z"


def cut_line(left: Left, plate: Ring, scale: Scale, colours: Palette) -> list[str]:
    """The straight cut beyond which the plate stays in one piece: long dashes across it."""
    other = [point[1 if left.axis == "x" else 0] for point in plate]
    ends = [(left.beyond_mm, at) if left.axis == "x" else (at, left.beyond_mm) for at in (min(other), max(other))]
    return [ink.line(scale.at(ends[0]), scale.at(ends[1]), colours.soft, width=0.35, dash="4 1.2 0.8 1.2")]


def legend(wanted: NestWanted, plan: NestPlan, unit: str) -> list[str]:
    """What the numerals are, how many of each, what is left."""
    lines: list[str] = []
    for k, part in enumerate(wanted.parts, 1):
        there = sum(one.part.id == part.id for one in plan.placed)
        turned = sum(one.part.id == part.id and one.mirrored for one in plan.placed)
        count = f"{there}" if there == part.count else f"{there} of {part.count}"
        lines.append(f"{k}: {part.id}, {count}" + (f", {turned} of them mirrored" if turned else ""))
    reader = "in" if unit == "in" else "mm"
    xs, ys = [x for x, _ in wanted.plate_mm], [y for _, y in wanted.plate_mm]
    size = " × ".join(
        units.show_length(round(v, 3), reader, fractions=False) for v in (max(xs) - min(xs), max(ys) - min(ys))
    )
    gap = units.show_length(wanted.gap_mm, reader, fractions=False)
    lines.append(f"plate {size} over all, gap {gap}")
    if plan.left is not None and plan.left.area_mm2 > 0:
        beyond = units.show_length(round(plan.left.beyond_mm, 3), reader, fractions=False)
        lines.append(f"dashed line at {plan.left.axis} {beyond}: beyond it the plate stays in one piece")
    return lines
