"""The run's time by tool: a row for each, its bars where it cuts, and where the machine would stand and wait."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from steadyrest import units
from steadyrest.papers.drawing import ink, numerals
from steadyrest.program.night.stretches import Stretch

ROW, BAR, LEFT, RIGHT = 8.0, 3.4, 12.0, 30.0
NARROWEST_MM = 80.0
SIZE, SMALL = 4.2, 3.6
CLOSE_MM = 0.25
MOST_TOOLS, MOST_STOPS = 16, 8
# Steps of the scale: what a clock shows.
STEPS_S = (10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 14_400, 21_600, 43_200, 86_400)


def strip_svg(
    stretches: Sequence[Stretch],
    *,
    total_s: float,
    stops_s: Sequence[float] = (),
    width_mm: float = 180.0,
    dark: bool = False,
) -> str:
    """The time strip as SVG text.

    Args:
        stretches: of the run, in order.
        total_s: how long the run takes.
        stops_s: when it would stand and wait, in the order of the path's picture.
        width_mm: of the drawing; at least 80.
        dark: light ink for a dark page.
    Returns: SVG text; empty where nothing is cut.
    Raises: ValueError: the drawing is too narrow.
    """
    if width_mm < NARROWEST_MM:
        raise ValueError(f"strip_svg: width_mm {width_mm!r} must be at least {NARROWEST_MM}")
    if not stretches or not total_s > 0:
        return ""
    colours = ink.DARK if dark else ink.LIGHT
    wide = width_mm - LEFT - RIGHT
    tools = list(dict.fromkeys(one.tool for one in stretches))
    top = 11.0 if stops_s else 3.0
    shapes: list[str] = []
    shown = tools[:MOST_TOOLS]
    foot = top + ROW * len(shown)
    for at_s in ticks(total_s, wide):
        x = LEFT + wide * at_s / total_s
        shapes.append(ink.line((x, top), (x, foot), colours.soft, width=0.12))
        shapes.append(ink.text((x, foot + 4.6), said_tick(at_s), size=SMALL, fill=colours.soft, anchor="middle"))
    for k, tool in enumerate(shown):
        middle = top + ROW * (k + 0.5)
        shapes += numerals.numeral((5.0, middle), str(tool), colours)
        mine = [one for one in stretches if one.tool == tool]
        for begins_s, ends_s in together(mine, CLOSE_MM * total_s / wide):
            x0, x1 = (LEFT + wide * at_s / total_s for at_s in (begins_s, ends_s))
            shapes.append(
                ink.element(
                    "rect", x=x0, y=middle - BAR / 2, width=max(0.3, x1 - x0), height=BAR, fill=colours.ink,
                )
            )  # fmt: skip
        cut_s = sum(one.cut_s for one in mine)
        at = (width_mm - 1.0, middle + 1.5)
        shapes.append(ink.text(at, units.show_time(cut_s), size=SIZE, fill=colours.ink, anchor="end"))
    filled = replace(colours, ink=colours.paper, paper=colours.ink)
    xs = [LEFT + wide * at_s / total_s for at_s in stops_s[:MOST_STOPS]]
    apart = 2 * numerals.RADIUS + 0.6
    for k, (x, shifted) in enumerate(zip(xs, numerals.spread(xs, apart, 3.5, width_mm - 3.5), strict=True), start=1):
        shapes.append(ink.polyline([(x, foot), (x, top), (shifted, 7.0)], colours.ink, width=0.4))
        shapes += numerals.numeral((shifted, 3.6), str(k), filled)
    left_out = f"; {len(tools) - len(shown)} more tools" if len(tools) > len(shown) else ""
    said = f"cutting by tool; the run takes {units.show_time(total_s)}{left_out}"
    shapes.append(ink.text((LEFT, foot + 10.2), said, size=SMALL, fill=colours.soft))
    words = " ".join(
        f"T{tool} cuts {units.show_time(sum(o.cut_s for o in stretches if o.tool == tool))}." for tool in tools
    )
    return ink.svg(shapes, width_mm=width_mm, height_mm=foot + 13.0, title="The run's time by tool", description=words)


def together(stretches: Sequence[Stretch], close_s: float) -> list[tuple[float, float]]:
    """Stretches as bars; those too close to tell apart on paper are one."""
    bars: list[tuple[float, float]] = []
    for one in stretches:
        if bars and one.begins_s - bars[-1][1] < close_s:
            bars[-1] = (bars[-1][0], one.ends_s)
        else:
            bars.append((one.begins_s, one.ends_s))
    return bars


def ticks(total_s: float, wide_mm: float) -> list[float]:
    """Where the scale is marked: steps that a clock has, with room for their words."""
    most = max(2, int(wide_mm / 20))
    step = next((s for s in STEPS_S if total_s / s <= most), STEPS_S[-1] * math.ceil(total_s / STEPS_S[-1] / most))
    return [step * k for k in range(int(total_s // step) + 1)]


def said_tick(at_s: float) -> str:
    """A mark of the scale in few signs: 0, 40 s, 20 min, 3 h."""
    if at_s == 0:
        return "0"
    if at_s < 60 or at_s % 60:
        return f"{at_s:.0f} s" if at_s < 60 else f"{at_s // 60:.0f}:{at_s % 60:02.0f}"
    if at_s < 3600 or at_s % 3600:
        minutes = at_s / 60
        return f"{minutes:.0f} min" if minutes < 60 else f"{minutes // 60:.0f}:{minutes % 60:02.0f} h"
    return f"{at_s / 3600:.0f} h"
