"""The picture of a plate that is cut up: parts numbered as they come free, leads in the waste, holes to drill."""

from __future__ import annotations

from collections.abc import Sequence

from steadyrest import units
from steadyrest.papers.drawing import ink
from steadyrest.papers.drawing.ink import Palette, Point
from steadyrest.papers.drawing.nest_picture import MARGIN, NARROWEST_MM, Scale, part_on_plate
from steadyrest.stock.nested import Drill, Nested, NestedSheet, Spot
from steadyrest.stock.nesting.wanted import NestPart, Placed

HIGHEST_MM = 200.0
TIPS_DASH, REST_DASH = "1.2 0.8", "4 1.2 0.8 1.2"
DOT_MM, LEAST_DRILL_MM = 0.55, 0.9


def nested_sheet_svg(
    nest: Nested, sheet: NestedSheet, *, width_mm: float = 180.0, dark: bool = False
) -> str:  # fmt: skip
    """One plate of a nest as SVG text.

    Args:
        nest: whose bodies lie on it. sheet: which plate.
        width_mm: of the drawing on paper; at least 80. dark: light ink for a dark page.
    Returns: SVG text: valid XML, with title and description for those who listen instead.
    Raises: ValueError: the drawing is too narrow for its text.
    """
    if width_mm < NARROWEST_MM:
        raise ValueError(f"nested_sheet_svg: width_mm {width_mm!r} must be at least {NARROWEST_MM}")
    colours, cut = ink.DARK if dark else ink.LIGHT, sheet.cut
    xs, ys = [x for x, _ in cut.outline_mm], [y for _, y in cut.outline_mm]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    each = min((width_mm - 2 * MARGIN) / wide, HIGHEST_MM / high)
    scale = Scale(each, (width_mm - each * wide) / 2, MARGIN + each * high, (min(xs), min(ys)))
    shapes = [ink.polygon(scale.ring(cut.outline_mm), fill=colours.paper, stroke=colours.ink, width=0.5)]
    shapes += [ink.polygon(scale.ring(hole), fill=colours.cut, stroke=colours.ink, width=0.3) for hole in cut.holes_mm]
    for number, laid in enumerate(cut.laid, 1):
        body = nest.bodies[laid.body]
        part = NestPart(str(body.number), 1, body.ring, body.holes)
        one = Placed(part, laid.x_mm, laid.y_mm, laid.turn_deg, mirrored=False)
        shapes += part_on_plate(one, str(number), scale, colours)
        if laid.tips or laid.tabs:
            shapes.append(_dashed(scale.ring(one.ring_mm(body.ring)), colours.ink, TIPS_DASH, 0.7))
    for spot in sheet.order:
        shapes += _lead(spot, scale, colours)
    for drill in sheet.drills:
        shapes += _to_drill(drill, scale, colours)
    if cut.rest_mm:
        shapes.append(_dashed(scale.ring(cut.rest_mm), colours.soft, REST_DASH, 0.45))
    title = f"Plate {sheet.label} with {len(cut.laid)} parts, numbered as they come free"
    said = legend(nest, sheet, "mm")
    return ink.svg(
        shapes, width_mm=width_mm, height_mm=scale.foot + MARGIN, title=title, description=". ".join(said)
    )  # fmt: skip


def _dashed(ring: Sequence[Point], stroke: str, dash: str, width: float) -> str:
    path = " ".join(f"{ink.number(x)},{ink.number(y)}" for x, y in ring)
    return ink.element("polygon", points=path, fill="none", stroke=stroke, stroke_width=width, stroke_dasharray=dash)


def _lead(spot: Spot, scale: Scale, colours: Palette) -> list[str]:
    """The pierce as a dot, and the way from it to the outline."""
    start, end = scale.at((spot.x_mm, spot.y_mm)), scale.at((spot.to_x_mm, spot.to_y_mm))
    dot = ink.element("circle", cx=start[0], cy=start[1], r=DOT_MM, fill=colours.ink)
    return [ink.line(start, end, colours.ink, width=0.3), dot]


def _to_drill(drill: Drill, scale: Scale, colours: Palette) -> list[str]:
    """A hole that is drilled: a cross that stands out of its circle."""
    x, y = scale.at((drill.x_mm, drill.y_mm))
    r = max(drill.wide_mm / 2 * scale.each, LEAST_DRILL_MM)
    ring = ink.element("circle", cx=x, cy=y, r=r, fill=colours.paper, stroke=colours.ink, stroke_width=0.3)
    arm = 1.6 * r
    return [
        ring, ink.line((x - arm, y), (x + arm, y), colours.ink, width=0.3),
        ink.line((x, y - arm), (x, y + arm), colours.ink, width=0.3),
    ]  # fmt: skip


def legend(nest: Nested, sheet: NestedSheet, unit: str) -> list[str]:
    """What the numerals are, and the marks that are on this plate.

    Args:
        nest: its lines. sheet: the plate. unit: "mm" or "in", the reader's.
    Returns: a line each.
    """
    reader = "in" if unit == "in" else "mm"

    def length(mm: float) -> str:
        return units.show_length(round(mm, 1), reader, fractions=False)

    numbers: dict[int, list[int]] = {}
    for k, laid in enumerate(sheet.cut.laid, 1):
        numbers.setdefault(laid.body, []).append(k)
    lines = [f"{nest.lines[body].name}: {listed(some)}" for body, some in sorted(numbers.items())]
    if sheet.order:
        lines.append("dot: here it pierces; the stroke from it leads to the outline")
    if sheet.drills:
        wide = ", ".join(length(mm) for mm in sorted({round(one.wide_mm, 2) for one in sheet.drills}))
        lines.append(f"cross: not cut, drilled afterwards ({len(sheet.drills)} of {wide})")
    if any(laid.tips or laid.tabs for laid in sheet.cut.laid):
        lines.append("dashed part: held by bridges, or may tip between the slats; cut last")
    if sheet.cut.rest_mm:
        xs, ys = [x for x, _ in sheet.cut.rest_mm], [y for _, y in sheet.cut.rest_mm]
        over = f"{length(max(xs) - min(xs))} × {length(max(ys) - min(ys))}"
        lines.append(f"long dashes: left over in one piece, {over} over all")
    return lines


def listed(numbers: Sequence[int]) -> str:
    """1, 2, 3, 7 as 1 to 3, 7."""
    runs: list[list[int]] = []
    for n in numbers:
        if runs and n == runs[-1][-1] + 1:
            runs[-1].append(n)
        else:
            runs.append([n])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs)
