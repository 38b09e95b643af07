"""What is owed as five bars, by how late it is: the later, the darker, and each with its amount beside it."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from steadyrest.papers.drawing import ink
from steadyrest.units import show_money

ROW_MM = 9.0
TEXT_MM = 4.2
BAR_MM = 6.0
LEAST_MM = 0.8


def owed_heaps_svg(heaps: Mapping[str, Decimal], *, width_mm: float = 180.0, dark: bool = False) -> str:
    """The heaps as bars.

    Args:
        heaps: what is open in each, the least late first; none negative.
        width_mm: of the drawing; 95 is a phone's.
        dark: for a dark page.
    Returns: SVG text; empty where nothing is open.
    """
    most = max(heaps.values(), default=Decimal(0))
    if most <= 0:
        return ""
    colours = ink.DARK if dark else ink.LIGHT
    names = max(len(name) for name in heaps) * ink.CHARACTER * TEXT_MM + 2.0
    sums = max(len(show_money(one)) for one in heaps.values()) * ink.BOLD_CHARACTER * TEXT_MM + 2.0
    room = width_mm - names - sums
    body: list[str] = []
    for step, (name, much) in enumerate(heaps.items(), 1):
        top = (step - 1) * ROW_MM
        base = top + BAR_MM / 2 + 0.36 * TEXT_MM + 1.0
        length = max(float(much / most) * room, LEAST_MM) if much > 0 else 0.0
        body.append(ink.text((0.0, base), name, size=TEXT_MM, fill=colours.ink))
        if length:
            points = ((names, top + 1.0), (names + length, top + 1.0), (names + length, top + 1.0 + BAR_MM),
                      (names, top + 1.0 + BAR_MM))  # fmt: skip
            body.append(ink.polygon(points, fill=colours.wear(step), stroke=colours.ink, width=0.3))
        body.append(
            ink.text((names + length + 2.0, base), show_money(much), size=TEXT_MM, fill=colours.ink, bold=much > 0)
        )
    told = "; ".join(f"{name}: {show_money(much)}" for name, much in heaps.items())
    return ink.svg(
        body, width_mm=width_mm, height_mm=ROW_MM * len(heaps) + 1.0, title="What is owed, by how late it is",
        description=told,
    )  # fmt: skip
