"""The cutting list drawn: each opened piece to one scale, its parts numbered in the order in which they are cut off.

A cut is a gap as wide as the kerf, or as a hair where that would not show. What is left is hatched, and so is the
trimmed end; the rest's length stands above it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from steadyrest import units
from steadyrest.papers.drawing import ink
from steadyrest.papers.drawing.ink import Palette
from steadyrest.stock.cutting.in_order import Sawing, SawnBar
from steadyrest.stock.cutting.wanted import CutWanted
from steadyrest.units.lengths import LengthUnit

BAR, ROW, HEAD, LEFT, RIGHT = 7.0, 17.0, 6.0, 2.0, 2.0
SIZE, SMALL = 3.6, 3.0
HAIR_MM, HATCH = 0.25, 2.4
NARROWEST_MM = 80.0


@dataclass(frozen=True, slots=True)
class DrawnBar:
    """A piece to be drawn. parts: name and length of each, as cut. trim_mm: cut off first, with its kerf; or 0.

    kept: what is left goes back to the rack.
    ends: the slope of each part's left and right end; deep_mm: of the bar; none and 0: all square.
    """

    name: str
    length_mm: float
    trim_mm: float
    kerf_mm: float
    parts: tuple[tuple[str, float], ...]
    rest_mm: float
    kept: bool
    ends: tuple[tuple[float, float], ...] = ()
    starts_mm: tuple[float, ...] = ()
    deep_mm: float = 0.0


def drawn_bars(wanted: CutWanted, sawing: Sawing) -> tuple[DrawnBar, ...]:
    """The bars of a cutting plan, as they are drawn.

    Args:
        wanted: for kerf and trim. sawing: the answer.
    Returns: one a piece opened, in the order of sawing.
    """
    return tuple(_drawn(wanted, one) for one in sawing.bars)


def _drawn(wanted: CutWanted, one: SawnBar) -> DrawnBar:
    bar, lying = one.bar, [step.lying for step in one.steps]
    mitred = any(each.left or each.right for each in lying)
    return DrawnBar(
        name=bar.piece.id,
        length_mm=float(bar.piece.length_mm),
        trim_mm=float(wanted.trim_mm),
        kerf_mm=float(wanted.kerf_mm),
        parts=tuple((part.id, float(part.length_mm)) for part in bar.parts),
        rest_mm=float(bar.rest_mm),
        kept=bar.kept,
        ends=tuple((each.left, each.right) for each in lying) if mitred else (),
        starts_mm=tuple(each.from_mm for each in lying) if mitred else (),
        deep_mm=wanted.section.deep_mm if mitred and wanted.section is not None else 0.0,
    )


def cut_svg(
    bars: Sequence[DrawnBar], *, unit: LengthUnit = "mm", width_mm: float = 180.0, dark: bool = False,
    longest_mm: float = 0.0,
) -> str:  # fmt: skip
    """The cutting list as SVG text.

    Args:
        bars: opened pieces, in the order of sawing.
        unit: that lengths are shown in, mm or in.
        width_mm: of the drawing; at least 80. The longest piece fills it.
        dark: light ink for a dark page.
        longest_mm: of all pieces, where several pictures are to one scale; 0: of these.
    Returns: SVG text; empty where nothing is cut.
    Raises: ValueError: the drawing is too narrow.
    """
    if width_mm < NARROWEST_MM:
        raise ValueError(f"cut_svg: width_mm {width_mm!r} must be at least {NARROWEST_MM}")
    if not bars:
        return ""
    colours = ink.DARK if dark else ink.LIGHT
    scale = (width_mm - LEFT - RIGHT) / max(longest_mm, *(bar.length_mm for bar in bars))
    shapes = list[str]()
    for row, bar in enumerate(bars):
        shapes += _bar(bar, ROW * row, scale, width_mm, unit, colours)
    return ink.svg(
        shapes,
        width_mm=width_mm,
        height_mm=ROW * len(bars),
        title="Cutting list",
        description=" ".join(_said(bar, unit) for bar in bars),
    )


def _bar(bar: DrawnBar, top: float, scale: float, width_mm: float, unit: LengthUnit, colours: Palette) -> list[str]:
    """One piece: its name above, its parts in order, its rest, and each part's length below."""
    said = f"{bar.name}: {units.show_length(bar.length_mm, unit)}"
    rest = f"{'rest, kept' if bar.kept else 'rest'}: {units.show_length(round(bar.rest_mm, 1), unit)}"
    high, low = top + HEAD, top + HEAD + BAR
    shapes = [
        ink.text((LEFT, top + 4.4), said, size=SIZE, fill=colours.ink, bold=True),
        ink.text((width_mm - RIGHT, top + 4.4), rest, size=SIZE, fill=colours.ink, anchor="end"),
    ]
    x = LEFT
    if bar.trim_mm:
        shapes += hatched(x, x + bar.trim_mm * scale, high, low, colours.soft)
        x += bar.trim_mm * scale
    if bar.ends:
        return shapes + _mitred(bar, top, scale, unit, colours)
    for order, (name, length_mm) in enumerate(bar.parts, start=1):
        wide, gap = length_mm * scale, max(bar.kerf_mm * scale, HAIR_MM)
        end = x + max(wide - max(0.0, gap - bar.kerf_mm * scale), HAIR_MM)
        shapes.append(
            ink.polygon(
                ((x, high), (end, high), (end, low), (x, low)), fill=colours.body, stroke=colours.ink, width=0.2
            )
        )
        for label in (f"{order} · {name}", str(order)):
            if ink.text_width(label, SIZE) < wide - 0.6:
                shapes.append(
                    ink.text(((x + end) / 2, high + BAR / 2 + 1.3), label, size=SIZE, fill=colours.ink, anchor="middle")
                )
                break
        length = units.show_length(length_mm, unit)
        if ink.text_width(length, SMALL) < wide - 0.6:
            shapes.append(ink.text(((x + end) / 2, low + 3.4), length, size=SMALL, fill=colours.soft, anchor="middle"))
        x += wide + bar.kerf_mm * scale
    end = LEFT + bar.length_mm * scale
    if end - x > HAIR_MM:
        shapes += hatched(x, end, high, low, colours.ink if bar.kept else colours.soft)
    return shapes


def _mitred(bar: DrawnBar, top: float, scale: float, unit: LengthUnit, colours: Palette) -> list[str]:
    """The parts of a bar with mitred ends: each as its outline, the slant to the scale of the length."""
    high, low = top + HEAD, top + HEAD + BAR
    shapes = list[str]()
    # A bar is drawn higher than it is to scale: the slant is drawn to its own width.
    half = bar.deep_mm / 2 * scale
    reach = 0.0
    for order, ((name, length_mm), (left, right), start_mm) in enumerate(
        zip(bar.parts, bar.ends, bar.starts_mm, strict=True), start=1
    ):
        middle_mm = length_mm - bar.deep_mm / 2 * (abs(left) + abs(right))
        a, b = LEFT + start_mm * scale, LEFT + (start_mm + middle_mm) * scale
        corners = ((a - half * left, high), (b - half * right, high), (b + half * right, low), (a + half * left, low))
        shapes.append(ink.polygon(corners, fill=colours.body, stroke=colours.ink, width=0.2))
        reach = max(reach, b + half * abs(right))
        wide = b - a
        for label in (f"{order} · {name}", str(order)):
            if ink.text_width(label, SIZE) < wide - 0.6:
                at = ((a + b) / 2, high + BAR / 2 + 1.3)
                shapes.append(ink.text(at, label, size=SIZE, fill=colours.ink, anchor="middle"))
                break
        length = units.show_length(length_mm, unit)
        if ink.text_width(length, SMALL) < wide - 0.6:
            shapes.append(ink.text(((a + b) / 2, low + 3.4), length, size=SMALL, fill=colours.soft, anchor="middle"))
    x, end = LEFT + (bar.length_mm - bar.rest_mm) * scale, LEFT + bar.length_mm * scale
    if end - x > HAIR_MM:
        shapes += hatched(x, end, high, low, colours.ink if bar.kept else colours.soft)
    return shapes


def hatched(left: float, right: float, high: float, low: float, stroke: str) -> list[str]:
    """A length that is no part: outline, slanting strokes inside.

    Args:
        left, right, high, low: its edges on paper. stroke: the colour.
    Returns: shapes.
    """
    corners = ((left, high), (right, high), (right, low), (left, low))
    shapes = [ink.line(a, b, stroke, width=0.2) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)]
    x = left - (low - high)
    while x < right:
        # The stroke from (x, low) to (x + height, high), cut where the length begins and ends.
        begin, end = max(x, left), min(x + (low - high), right)
        if end > begin:
            shapes.append(ink.line((begin, low - (begin - x)), (end, low - (end - x)), stroke, width=0.12))
        x += HATCH
    return shapes


def _said(bar: DrawnBar, unit: LengthUnit) -> str:
    """The same in words, for those who do not see it."""
    parts = ", ".join(f"{name} {units.show_length(length_mm, unit)}" for name, length_mm in bar.parts)
    kept = "kept" if bar.kept else "not kept"
    return f"{bar.name}: {parts}; rest {units.show_length(round(bar.rest_mm, 1), unit)}, {kept}."
