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
TWO_COLUMNS = 150.0
GUTTER = 5.0
MARK_ROOM = 20.0
MOST_ENTRIES = 24
REPEATED = ("bore", "thread", "chamfer", "fillet", "pocket", "slot", "boss", "cone", "sphere")
STANDARD = (
    "bearing bore",
    "bearing outside",
    "stock size",
    "ring groove",
    "thread major",
    "hexagon stock",
    "tap drill",
)
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


def alike(part: Part, features: tuple[Feature, ...], unit: str) -> tuple[tuple[Feature, ...], ...]:
    """Holes, edges and pockets that read the same, together; every other feature alone."""
    groups: dict[tuple[str, str, str], list[Feature]] = {}
    for feature in features:
        alone = "" if feature.kind in REPEATED else feature.id
        groups.setdefault((alone, main_text(part, feature, unit), rest_text(part, feature, unit)), []).append(feature)
    return tuple(tuple(group) for group in groups.values())


def legend(part: Part, listed: tuple[Feature, ...], *, unit: str, width: float, top: float, colours: Palette) -> Block:
    """The list of sizes, in two columns where there is room; what a pattern repeats stands once.

    Args:
        part: for its unit.
        listed: those listed, in order, each with its numeral.
        unit: the reader's, for limits.
        width: mm of the drawing.
        top: where the list begins.
        colours: of the drawing.
    Returns: shapes and height.
    """
    features, more = worth_listing(alike(part, listed, unit))
    columns = 2 if width >= TWO_COLUMNS and len(features) > 3 else 1
    each = (width - (columns - 1) * GUTTER) / columns
    entries = [entry(part, group, unit=unit, left=0.0, width=each, top=0.0, colours=colours) for group in features]
    heights = [one.height for one in entries]
    first = len(heights) if columns == 1 else even_split(heights)
    shapes: list[str] = []
    y, lowest = top, top
    for k, group in enumerate(features):
        if k == first:
            y = top
        left = (each + GUTTER) if k >= first else 0.0
        if y > top:
            shapes.append(
                ink.line((left + INDENT, y - GAP / 2), (left + each - 2, y - GAP / 2), colours.soft, width=0.12)
            )
        shapes.extend(entry(part, group, unit=unit, left=left, width=each, top=y, colours=colours).shapes)
        y += heights[k]
        lowest = max(lowest, y)
    if more:
        lowest += 4.7
        said = f"and {more} more edges and small features, in the list of sizes"
        shapes.append(ink.text((2, lowest), said, size=SMALL, fill=colours.soft))
    return Block(tuple(shapes), lowest - top)


def worth_listing(groups: tuple[tuple[Feature, ...], ...]) -> tuple[tuple[tuple[Feature, ...], ...], int]:
    """The groups that the picture lists (edges and small ones give way), and how many features it leaves out."""
    by_weight = sorted(groups, key=lambda g: (g[0].kind in ("chamfer", "fillet"), -sum(f.area_mm2 for f in g)))
    kept = {group[0].id for group in by_weight[:MOST_ENTRIES]}
    return tuple(g for g in groups if g[0].id in kept), sum(len(g) for g in groups if g[0].id not in kept)


def even_split(heights: list[float]) -> int:
    """How many go into the first of two columns so that the taller one is as short as may be."""
    return min(range(1, len(heights) + 1), key=lambda k: max(sum(heights[:k]), sum(heights[k:])))


def entry(
    part: Part, group: tuple[Feature, ...], *, unit: str, left: float, width: float, top: float, colours: Palette
) -> Block:
    """One feature, or several alike: what it is and how sure, then its limits, then what else is known."""
    base, feature = top + 4.6, group[0]
    shapes = list(numeral((left + RADIUS + 0.6, base - 0.36 * SIZE), feature.id.lstrip("F") or feature.id, colours))
    first = feature.sizes[0] if feature.sizes else None
    y = base - LINE
    for said in wrapped(main_text(part, feature, unit), SIZE, width - MARK_ROOM - INDENT, bold=True):
        y += LINE
        shapes.append(ink.text((left + INDENT, y), said, size=SIZE, fill=colours.ink, bold=True))
    if first is not None:
        state = first.nominal.state if first.nominal is not None else "ask"
        shapes.extend(trust_mark(state, left + width - MARK_ROOM + 1, base, colours))
    limits = limits_text(first.nominal if first is not None else None, unit)
    if limits:
        y += LINE
        shapes.append(ink.text((left + INDENT, y), limits, size=SIZE, fill=colours.ink))
    others = ", ".join(f.id.lstrip("F") or f.id for f in group[1:])
    rest = " · ".join(
        t for t in (f"{len(group)} alike, also {others}" if others else "", rest_text(part, feature, unit)) if t
    )
    for said in wrapped(rest, SMALL, width - INDENT - 2):
        y += 4.7
        shapes.append(ink.text((left + INDENT, y), said, size=SMALL, fill=colours.soft))
    return Block(tuple(shapes), y - top + 1.4 + GAP)


def main_text(part: Part, feature: Feature, unit: str) -> str:
    """What a feature is, with its principal size."""
    first = feature.sizes[0] if feature.sizes else None
    angle = feature.size("angle_deg")
    if feature.kind == "chamfer" and first is not None and angle is not None and first is not angle:
        return f"chamfer {size_value(part, first, unit)} × {size_value(part, angle, unit)}"
    return f"{feature.kind} {size_text(part, first, unit)}".strip()


def size_text(part: Part, size: Size | None, unit: str) -> str:
    """A size with its name, at its nominal, else as estimated."""
    if size is None:
        return ""
    said, name = size_value(part, size, unit), NAMES.get(size.name, "")
    return f"{name} {said}".strip() if size.name in ("diameter_mm", "angle_deg") else f"{said} {name}".strip()


def size_value(part: Part, size: Size, unit: str) -> str:
    """A size's value as a person writes it."""
    if size.nominal is not None:
        return size.nominal.shown
    if size.name == "angle_deg":
        return f"{size.estimate:.1f}°"
    if part.unit.state == "ask":
        return f"{size.estimate:.4g} (unit?)"
    return units.show_length(round(size.estimate, 2), "in" if unit == "in" else "mm")


def limits_text(nominal: Nominal | None, unit: str) -> str:
    """Limits as absolute sizes."""
    if nominal is None or nominal.limits is None:
        return ""
    return units.show_limits(nominal.limits.low_mm, nominal.limits.high_mm, "in" if unit == "in" else "mm")


def rest_text(part: Part, feature: Feature, unit: str) -> str:
    """The other sizes, wear, the nearest rival, and what was not seen."""
    chamfer = feature.kind == "chamfer"
    said = [size_text(part, s, unit) for s in feature.sizes[1:] if not (chamfer and s.name == "angle_deg")]
    said.insert(0, purpose(feature))
    reader = "in" if unit == "in" else "mm"
    if (feature.wear_mm or 0.0) >= WORTH_SHOWING_MM:
        said.append(f"worn {units.show_length(round(feature.wear_mm or 0.0, 2), reader)} deep")
    first = feature.sizes[0].nominal if feature.sizes else None
    if first is not None and first.state != "sure" and first.rivals:
        said.append(f"or {first.rivals[0][0]}")
    if feature.seen < 0.75:
        said.append(f"{units.show_odds(feature.seen)} of it seen")
    return " · ".join(text for text in said if text)


def purpose(feature: Feature) -> str:
    """What limits and name follow, where it is a standard part: "bearing bore, k6"."""
    first = feature.sizes[0].nominal if feature.sizes else None
    if first is None or first.limits is None:
        return ""
    zone = next((str(value) for name, value in first.limits.why[0].given if name == "zone"), "")
    standard = first.source if first.source in STANDARD else ""
    return ", ".join(text for text in (standard, zone) if text)


def wrapped(said: str, size: float, room: float, *, bold: bool = False) -> list[str]:
    """Text in lines that fit, broken at spaces."""
    lines: list[str] = []
    for word in said.split(" "):
        if lines and ink.text_width(f"{lines[-1]} {word}", size, bold=bold) <= room:
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
