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
from steadyrest.stock.cutting.plan import CutPlan
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
    """

    name: str
    length_mm: float
    trim_mm: float
    kerf_mm: float
    parts: tuple[tuple[str, float], ...]
    rest_mm: float
    kept: bool


def drawn_bars(wanted: CutWanted, plan: CutPlan) -> tuple[DrawnBar, ...]:
    """The bars of a cutting plan, as they are drawn.

    Args:
        wanted: for kerf and trim. plan: the answer.
    Returns: one a piece opened, in the plan's order.
    """
    return tuple(
        DrawnBar(
            name=bar.piece.id,
            length_mm=float(bar.piece.length_mm),
            trim_mm=float(wanted.trim_mm),
            kerf_mm=float(wanted.kerf_mm),
            parts=tuple((part.id, float(part.length_mm)) for part in bar.parts),
            rest_mm=float(bar.rest_mm),
            kept=bar.kept,
        )
        for bar in plan.bars
    )


def cut_svg(bars: Sequence[DrawnBar], *, unit: LengthUnit = "mm", width_mm: float = 180.0, dark: bool = False) -> str:
    """The cutting list as SVG text.

    Args:
        bars: opened pieces, in the order of sawing.
        unit: that lengths are shown in, mm or in.
        width_mm: of the drawing; at least 80. The longest piece fills it.
        dark: light ink for a dark page.
    Returns: SVG text; empty where nothing is cut.
    Raises: ValueError: the drawing is too narrow.
    """
    if width_mm < NARROWEST_MM:
        raise ValueError(f"cut_svg: width_mm {width_mm!r} must be at least {NARROWEST_MM}")
    if not bars:
        return ""
    colours = ink.DARK if dark else ink.LIGHT
    scale = (width_mm - LEFT - RIGHT) / max(bar.length_mm for bar in bars)
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
    rest = f"{'rest, kept' if bar.kept else 'rest'}: {units.show_length(bar.rest_mm, unit)}"
    high, low = top + HEAD, top + HEAD + BAR
    shapes = [
        ink.text((LEFT, top + 4.4), said, size=SIZE, fill=colours.ink, bold=True),
        ink.text((width_mm - RIGHT, top + 4.4), rest, size=SIZE, fill=colours.ink, anchor="end"),
    ]
    x = LEFT
    if bar.trim_mm:
        shapes += _hatched(x, x + bar.trim_mm * scale, high, low, colours.soft)
        x += bar.trim_mm * scale
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
        shapes += _hatched(x, end, high, low, colours.ink if bar.kept else colours.soft)
    return shapes


def _hatched(left: float, right: float, high: float, low: float, stroke: str) -> list[str]:
    """A length that is no part: dashed outline, slanting strokes inside."""
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
    return f"{bar.name}: {parts}; rest {units.show_length(bar.rest_mm, unit)}, {kept}."
