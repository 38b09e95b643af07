"""The list under a view: numeral, what it is, its size, limits, and how far to trust it (a word and a mark)."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest import units
from steadyrest.papers.drawing import ink
from steadyrest.papers.drawing.ink import Palette
from steadyrest.papers.drawing.numerals import RADIUS, numeral
from steadyrest.shop.part import Feature, Nominal, Part, Size, Trust

SIZE = 4.3
SMALL = 3.6
LINE = 5.4
GAP = 2.4
INDENT = 8.4
NARROW = 125.0
WORTH_SHOWING_MM = 0.015
NAMES = {
    "width_mm": "wide", "depth_mm": "deep", "length_mm": "long", "radius_mm": "radius", "diameter_mm": "Ø",
    "angle_deg": "at",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Block:
    """Shapes, and how high they are together."""

    shapes: tuple[str, ...]
    height: float


def legend(part: Part, features: tuple[Feature, ...], *, unit: str, width: float, top: float, colours: Palette) -> Block:
    """The list of sizes.

    Args:
        part: for its unit.
        features: those listed, in order, each with its numeral.
        unit: the reader's, for limits.
        width: mm of the drawing. top: where the list begins.
        colours: of the drawing.
    Returns: shapes and height.
    """
    shapes: list[str] = []
    y = top
    for k, feature in enumerate(features):
        entry = one(part, feature, unit=unit, width=width, top=y, colours=colours)
        shapes.extend(entry.shapes)
        y += entry.height
        if k + 1 < len(features):
            shapes.append(ink.line((INDENT, y - GAP / 2), (width - 2, y - GAP / 2), colours.soft, width=0.12))
    return Block(tuple(shapes), y - top)


def one(part: Part, feature: Feature, *, unit: str, width: float, top: float, colours: Palette) -> Block:
    """One feature: first line what it is and how sure, then limits, then what else is known."""
    narrow = width < NARROW
    base = top + 4.6
    shapes = list(numeral((RADIUS + 0.6, base - 0.36 * SIZE), feature.id.lstrip("F") or feature.id, colours))
    first = feature.sizes[0] if feature.sizes else None
    main = f"{feature.kind} {size_text(part, first, unit)}" if first is not None else feature.kind
    mark_room = 22.0
    limits = limits_text(first.nominal if first is not None else None, unit)
    beside = not narrow and limits != "" and ink.text_width(main, SIZE) < 0.42 * width - INDENT
    room = (0.42 * width if beside else width - mark_room) - INDENT
    lines = wrapped(main, SIZE, room)
    for k, said in enumerate(lines):
        shapes.append(ink.text((INDENT, base + k * LINE), said, size=SIZE, fill=colours.ink, bold=True))
    if first is not None:
        shapes.extend(trust_mark(first.nominal.state if first.nominal is not None else "ask", width - mark_room + 1, base, colours))
    y = base + (len(lines) - 1) * LINE
    if beside:
        shapes.append(ink.text((0.42 * width, base), limits, size=SIZE, fill=colours.ink))
    elif limits:
        y += LINE
        shapes.append(ink.text((INDENT, y), limits, size=SIZE, fill=colours.ink))
    for said in wrapped(rest_text(part, feature, unit), SMALL, width - INDENT - 2):
        y += 4.7
        shapes.append(ink.text((INDENT, y), said, size=SMALL, fill=colours.soft))
    return Block(tuple(shapes), y - top + 1.4 + GAP)


def size_text(part: Part, size: Size | None, unit: str) -> str:
    """A size with its name, at its nominal, else as estimated."""
    if size is None:
        return ""
    if size.nominal is not None:
        said = size.nominal.shown
    elif size.name == "angle_deg":
        said = f"{size.estimate:.1f}°"
    elif part.unit.state == "ask":
        said = f"{size.estimate:.4g} (unit?)"
    else:
        said = units.show_length(round(size.estimate, 2), "in" if unit == "in" else "mm")
    name = NAMES.get(size.name, "")
    return f"{name} {said}".strip() if size.name in ("diameter_mm", "angle_deg") else f"{said} {name}".strip()


def limits_text(nominal: Nominal | None, unit: str) -> str:
    """Limits as absolute sizes."""
    if nominal is None or nominal.limits is None:
        return ""
    return units.show_limits(nominal.limits.low_mm, nominal.limits.high_mm, "in" if unit == "in" else "mm")


def rest_text(part: Part, feature: Feature, unit: str) -> str:
    """The other sizes, wear, the nearest rival, and what was not seen."""
    said = [size_text(part, size, unit) for size in feature.sizes[1:]]
    reader = "in" if unit == "in" else "mm"
    if (feature.wear_mm or 0.0) >= WORTH_SHOWING_MM:
        said.append(f"worn {units.show_length(round(feature.wear_mm or 0.0, 2), reader)} deep")
    first = feature.sizes[0].nominal if feature.sizes else None
    if first is not None and first.state != "sure" and first.rivals:
        said.append(f"or {first.rivals[0][0]}")
    if feature.seen < 0.75:
        said.append(f"{units.show_odds(feature.seen)} of it seen")
    return " · ".join(text for text in said if text)


def wrapped(said: str, size: float, room: float) -> list[str]:
    """Text in lines that fit, broken at spaces."""
    lines: list[str] = []
    for word in said.split(" "):
        if lines and ink.text_width(f"{lines[-1]} {word}", size) <= room:
            lines[-1] = f"{lines[-1]} {word}"
        elif word:
            lines.append(word)
    return lines


def trust_mark(state: Trust, x: float, base: float, colours: Palette) -> tuple[str, ...]:
    """A full disc and "sure", half a disc and "likely", a ring and "ask"."""
    r, y = 1.7, base - 1.5
    ring = ink.circle((x + r, y), r, fill=colours.ink if state == "sure" else "none", stroke=colours.ink, width=0.4)
    half = f"M {ink.number(x + r)} {ink.number(y - r)} A {r} {r} 0 0 0 {ink.number(x + r)} {ink.number(y + r)} Z"
    shapes = [ring, *([ink.element("path", d=half, fill=colours.ink)] if state == "likely" else [])]
    shapes.append(ink.text((x + 2 * r + 1.6, base), state, size=SIZE, fill=colours.ink, bold=state == "ask"))
    return tuple(shapes)
