"""The picture of the sheets of a flat part: each with its parts in the order of cutting, and what is left of it."""

from __future__ import annotations

from collections.abc import Sequence

from steadyrest import units
from steadyrest.papers.drawing import ink
from steadyrest.papers.drawing.ink import Palette
from steadyrest.papers.drawing.nest_picture import HIGHEST_MM, LINE, MARGIN, NARROWEST_MM, SMALL, Scale, part_on_plate
from steadyrest.shop.part import Part
from steadyrest.shop.work import Laid, SheetCut
from steadyrest.stock.nesting.wanted import NestPart, Placed
from steadyrest.stock.sheet_outlines import Body, bodies

MOST_DRAWN = 6
TIPS_DASH = "1.2 0.8"
REST_DASH = "4 1.2 0.8 1.2"


def sheets_svg(
    part: Part, sheets: Sequence[SheetCut], *, unit: str = "mm", width_mm: float = 180.0, dark: bool = False
) -> str:
    """The sheets of a lot, one below the other, as SVG text.

    Args:
        part: flat, or one that is a plate.
        sheets: what lies on each.
        unit: "mm" or "in", the reader's.
        width_mm: of the drawing on paper; at least 80.
        dark: light ink for a dark page.
    Returns: SVG text with title and description; empty where nothing is cut from a sheet.
    Raises: ValueError: the drawing is too narrow for its text.
    """
    if width_mm < NARROWEST_MM:
        raise ValueError(f"sheets_svg: width_mm {width_mm!r} must be at least {NARROWEST_MM}")
    flat = part.flat or (part.plate_side.flat if part.plate_side else None)
    if flat is None or not sheets:
        return ""
    colours = ink.DARK if dark else ink.LIGHT
    of_body = {body.number: body for body in bodies(flat)}
    shapes: list[str] = []
    said: list[str] = []
    y = 0.0
    for sheet in sheets[:MOST_DRAWN]:
        drawn, y = _sheet(sheet, of_body, colours, top=y, width_mm=width_mm)
        shapes += drawn
        for line in _wrapped(legend(sheet, unit, several=len(of_body) > 1), width_mm):
            shapes.append(ink.text((MARGIN, y + SMALL), line, size=SMALL, fill=colours.ink))
            said.append(line)
            y += LINE
        y += MARGIN
    if len(sheets) > MOST_DRAWN:
        more = f"and {len(sheets) - MOST_DRAWN} sheets more, not drawn here"
        shapes.append(ink.text((MARGIN, y + SMALL), more, size=SMALL, fill=colours.ink))
        said.append(more)
        y += LINE
    title = f"{sum(sheet.count for sheet in sheets)} sheets with their parts in the order of cutting"
    return ink.svg(shapes, width_mm=width_mm, height_mm=y, title=title, description=". ".join(said))


def _sheet(
    sheet: SheetCut, of_body: dict[int, Body], colours: Palette, *, top: float, width_mm: float
) -> tuple[list[str], float]:
    """One sheet below `top`, and where it ends."""
    xs, ys = [x for x, _ in sheet.outline_mm], [y for _, y in sheet.outline_mm]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    each = min((width_mm - 2 * MARGIN) / wide, HIGHEST_MM / 2 / high)
    scale = Scale(each, (width_mm - each * wide) / 2, top + MARGIN + each * high, (min(xs), min(ys)))
    shapes = [ink.polygon(scale.ring(sheet.outline_mm), fill=colours.paper, stroke=colours.ink, width=0.5)]
    shapes += [
        ink.polygon(scale.ring(hole), fill=colours.cut, stroke=colours.ink, width=0.3) for hole in sheet.holes_mm
    ]
    for number, laid in enumerate(sheet.laid, 1):
        one = placed(laid, of_body[laid.body])
        shapes += part_on_plate(one, str(number), scale, colours)
        if laid.tips or laid.tabs:
            ring = scale.ring(one.ring_mm(one.part.outline_mm))
            path = " ".join(f"{ink.number(x)},{ink.number(y)}" for x, y in ring)
            shapes.append(
                ink.element("polygon", points=path, fill="none", stroke=colours.ink, stroke_width=0.7,
                            stroke_dasharray=TIPS_DASH)
            )  # fmt: skip
    if sheet.rest_mm:
        path = " ".join(f"{ink.number(x)},{ink.number(y)}" for x, y in scale.ring(sheet.rest_mm))
        shapes.append(
            ink.element("polygon", points=path, fill="none", stroke=colours.soft, stroke_width=0.35,
                        stroke_dasharray=REST_DASH)
        )  # fmt: skip
    return shapes, scale.foot + MARGIN


def placed(laid: Laid, body: Body) -> Placed:
    """A part of a sheet with its outline, as it lies."""
    part = NestPart(str(body.number), 1, body.ring, body.holes)
    return Placed(part, laid.x_mm, laid.y_mm, laid.turn_deg, mirrored=False)


def legend(sheet: SheetCut, unit: str, *, several: bool) -> list[str]:
    """What the sheet is, what the numerals mean, what is left of it."""
    reader = "in" if unit == "in" else "mm"

    def length(mm: float) -> str:
        return units.show_length(round(mm, 1), reader, fractions=False)

    times = f"{sheet.count} sheets alike, " if sheet.count > 1 else ""
    heat = f", heat {sheet.heat_number}" if sheet.heat_number else ""
    thick = units.show_length(round(sheet.thickness_mm, 3), reader, fractions=False)
    lines = [f"{times}{sheet.name}, {thick} thick{heat}: {len(sheet.laid)} parts, numbered as they are cut"]
    if several:
        kinds = sorted({laid.body for laid in sheet.laid})
        numbers = {kind: [k for k, laid in enumerate(sheet.laid, 1) if laid.body == kind] for kind in kinds}
        lines.append("; ".join(f"part {kind + 1} of the drawing: {_listed(some)}" for kind, some in numbers.items()))
    if any(laid.tips or laid.tabs for laid in sheet.laid):
        lines.append("dashed outline: held by bridges, or may tip between the slats; cut last")
    if sheet.rest_mm:
        xs, ys = [x for x, _ in sheet.rest_mm], [y for _, y in sheet.rest_mm]
        over = f"{length(max(xs) - min(xs))} × {length(max(ys) - min(ys))}"
        lines.append(f"long dashes: left over in one piece, {over} over all; back to the rack{heat}")
    lines.append(f"from part to part {length(sheet.gap_mm)}, from the edge {length(sheet.margin_mm)}")
    return lines


def _listed(numbers: Sequence[int]) -> str:
    """1, 2, 3, 7 as 1 to 3, 7."""
    runs: list[list[int]] = []
    for n in numbers:
        if runs and n == runs[-1][-1] + 1:
            runs[-1].append(n)
        else:
            runs.append([n])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs)


def _wrapped(lines: Sequence[str], width_mm: float) -> list[str]:
    """Lines that fit the drawing, broken at words."""
    most = max(int((width_mm - 2 * MARGIN) / (SMALL * ink.CHARACTER * 0.86)), 20)
    found: list[str] = []
    for line in lines:
        row = ""
        for word in line.split(" "):
            if row and len(row) + 1 + len(word) > most:
                found.append(row)
                row = word
            else:
                row = f"{row} {word}".strip()
        found.append(row)
    return found
