"""A carry blank drawn to scale: links by numeral in the order in which they come off, face and parting cut of each, the
grip hatched, and where the finishing force presses."""

from __future__ import annotations

from steadyrest import units
from steadyrest.papers.drawing import ink
from steadyrest.papers.drawing.cut_picture import hatched
from steadyrest.stock.carry import CarryOption, CarryWanted
from steadyrest.units.lengths import LengthUnit

EDGE, HEAD, LEAST_HIGH, MOST_HIGH = 4.0, 10.0, 8.0, 40.0
SIZE, SMALL, LINE = 3.6, 3.0, 4.6
NARROWEST_MM = 80.0
MARK = 2.0


def carry_svg(
    wanted: CarryWanted, chosen: CarryOption, *, unit: LengthUnit = "mm", width_mm: float = 180.0, dark: bool = False
) -> str:
    """A carry blank as SVG text.

    Args:
        wanted: the part and what holds it. chosen: how many links.
        unit: that lengths are shown in. width_mm: of the drawing; at least 80. dark: light ink for a dark page.
    Returns: SVG text with title and description.
    Raises: ValueError: the drawing is too narrow.
    """
    if width_mm < NARROWEST_MM:
        raise ValueError(f"carry_svg: width_mm {width_mm!r} must be at least {NARROWEST_MM}")
    colours = ink.DARK if dark else ink.LIGHT
    scale = (width_mm - 2 * EDGE) / wanted.blank_mm(chosen.links)
    across = wanted.section.d_mm or min(wanted.section.w_mm, wanted.section.h_mm)
    high = min(max(across * scale, LEAST_HIGH), MOST_HIGH)
    top, low = HEAD, HEAD + high
    x = EDGE
    shapes = hatched(x, x + wanted.grip_mm * scale, top, low, colours.ink)
    shapes.append(ink.text((x, top - 2.0), "grip", size=SMALL, fill=colours.soft))
    x += wanted.grip_mm * scale
    for link in range(chosen.links, 0, -1):
        for wide_mm, fill in (
            (wanted.part_off_mm, colours.cut), (wanted.length_mm, colours.body), (wanted.face_mm, colours.cut)
        ):  # fmt: skip
            end = x + wide_mm * scale
            if wide_mm > 0:
                corners = ((x, top), (end, top), (end, low), (x, low))
                shapes.append(ink.polygon(corners, fill=fill, stroke=colours.ink, width=0.2))
            if fill == colours.body and ink.text_width(str(link), SIZE) < end - x - 0.6:
                at = ((x + end) / 2, (top + low) / 2 + 1.3)
                shapes.append(ink.text(at, str(link), size=SIZE, fill=colours.ink, anchor="middle"))
            x = end
    tip = ((x, top), (x - MARK / 2, top - MARK), (x + MARK / 2, top - MARK))
    shapes.append(ink.polygon(tip, fill=colours.ink, stroke=colours.ink, width=0.2))
    said = words(wanted, chosen, unit)
    y = low + LINE + 1.0
    for line in said:
        shapes.append(ink.text((EDGE, y), line, size=SMALL, fill=colours.ink))
        y += LINE
    title = f"A carry blank of {chosen.links} links"
    return ink.svg(shapes, width_mm=width_mm, height_mm=y, title=title, description=". ".join(said))


def words(wanted: CarryWanted, chosen: CarryOption, unit: LengthUnit) -> list[str]:
    """What the picture shows, in words."""
    long, link, grip = (
        units.show_length(round(x, 3), unit) for x in (wanted.blank_mm(chosen.links), wanted.link_mm, wanted.grip_mm)
    )
    tip = units.show_length(round(chosen.tip.value, 4), unit, fractions=False)
    return [
        f"blank {long}: {chosen.links} links of {link}, grip {grip}; number 1 comes off first",
        f"arrow: the finishing force bends the tip {tip} there",
        "narrow and without a number: parted off and faced off",
    ]
