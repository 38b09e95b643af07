"""Quality against time as small pictures side by side: one for each case, a line for each solver. Plain SVG.

A solver is told by its mark and by dash and shade of its line, never by colour alone; its name stands at its last
point.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

WIDE, HIGH, LEFT, TOP, RIGHT, LOW = 370, 230, 52, 34, 112, 36
APART = 34  # from time to time along the line
COLUMNS = 3
STROKES = ("#1b4965", "#5f6b73", "#8a949b", "#a3aab0", "#6b5b4d", "#99876f")
DASHES = ("", "6 3", "2 3", "8 3 2 3", "1 2", "4 2")
Points = Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Panel:
    """One case. lines: by solver, (processor seconds, quality). level: what is best known, with its name."""

    title: str
    lines: Mapping[str, Points]
    level: tuple[str, float] | None
    unit: str


def picture(panels: Sequence[Panel], *, title: str) -> str:
    """All panels.

    Args:
        panels: cases, in order. title: what is shown, for who hears it read.
    Returns: SVG.
    """
    names = sorted({name for panel in panels for name in panel.lines}, key=lambda name: (name != "ours", name))
    rows = -(-len(panels) // COLUMNS)
    size = (WIDE * min(COLUMNS, len(panels)), HIGH * rows)
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size[0]} {size[1]}" role="img" '
        f'font-family="sans-serif" font-size="11"><title>{escape(title)}</title>'
        f'<rect width="{size[0]}" height="{size[1]}" fill="#ffffff"/>'
    ]
    for k, panel in enumerate(panels):
        out.append(f'<g transform="translate({WIDE * (k % COLUMNS)} {HIGH * (k // COLUMNS)})">')
        out += _panel(panel, names)
        out.append("</g>")
    return "\n".join([*out, "</svg>", ""])


def _panel(panel: Panel, names: Sequence[str]) -> list[str]:
    every = [point for points in panel.lines.values() for point in points]
    ys = [y for _, y in every] + ([panel.level[1]] if panel.level else [])
    x0, x1 = math.log10(min(x for x, _ in every)) - 0.05, math.log10(max(x for x, _ in every)) + 0.05
    y0, y1 = min(ys), max(ys)
    y0, y1 = y0 - 0.08 * (y1 - y0 or 1.0), y1 + 0.08 * (y1 - y0 or 1.0)
    wide, high = WIDE - LEFT - RIGHT, HIGH - TOP - LOW

    def at(x: float, y: float) -> tuple[float, float]:
        return LEFT + wide * (math.log10(x) - x0) / (x1 - x0 or 1.0), TOP + high * (1 - (y - y0) / (y1 - y0))

    out = [
        f'<text x="{LEFT}" y="16" font-size="13" fill="#111">{escape(panel.title)}</text>',
        f'<text x="{LEFT}" y="29" fill="#444">{escape(panel.unit)}</text>',
        f'<rect x="{LEFT}" y="{TOP}" width="{wide}" height="{high}" fill="none" stroke="#bbb"/>',
    ]
    for value in _ticks(y0, y1):
        y = at(10**x0, value)[1]
        out.append(f'<text x="{LEFT - 6}" y="{y + 4:.1f}" text-anchor="end" fill="#444">{value:g}</text>')
        out.append(f'<path d="M{LEFT} {y:.1f}h{wide}" stroke="#eee"/>')
    last = -APART
    for x in (m * 10.0**power for power in range(-3, 5) for m in (1, 2, 5)):
        where = at(x, y0)[0]
        if LEFT <= where <= LEFT + wide and where - last >= APART:
            out.append(f'<text x="{where:.1f}" y="{HIGH - LOW + 16}" text-anchor="middle" fill="#444">{x:g} s</text>')
            last = where
    if panel.level:
        y = at(10**x0, panel.level[1])[1]
        out.append(f'<path d="M{LEFT} {y:.1f}h{wide}" stroke="#111" stroke-dasharray="1 4" stroke-width="1.5"/>')
        out.append(f'<text x="{LEFT + wide + 4}" y="{y + 4:.1f}" fill="#111">{escape(panel.level[0])}</text>')
    taken = [at(1.0, panel.level[1])[1]] if panel.level else []
    for name in names:
        if points := sorted(panel.lines.get(name, ())):
            out += _line(name, names.index(name), [at(*point) for point in points], taken)
    return out


def _line(name: str, kind: int, points: Points, taken: list[float]) -> list[str]:
    stroke, dash = STROKES[kind % len(STROKES)], DASHES[kind % len(DASHES)]
    way = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points)
    thick = 2.4 if name == "ours" else 1.4
    out = [f'<path d="{way}" fill="none" stroke="{stroke}" stroke-width="{thick}" stroke-dasharray="{dash}"/>']
    out += [_mark(kind, x, y, stroke) for x, y in points]
    y = points[-1][1]
    free = y
    for step in range(24):
        free = y + (12 * ((step + 1) // 2)) * (1 if step % 2 else -1)
        if TOP <= free <= HIGH - LOW and all(abs(free - other) >= 11 for other in taken):
            break
    taken.append(free)
    bold = ' font-weight="bold"' if name == "ours" else ""
    out.append(f'<text x="{WIDE - RIGHT + 4}" y="{free + 4:.1f}" fill="{stroke}"{bold}>{escape(name)}</text>')
    return out


def _mark(kind: int, x: float, y: float, stroke: str) -> str:
    shapes = (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.4" fill="{stroke}"/>',
        f'<rect x="{x - 3:.1f}" y="{y - 3:.1f}" width="6" height="6" fill="{stroke}"/>',
        f'<path d="M{x:.1f} {y - 4:.1f}l4 7h-8z" fill="{stroke}"/>',
        f'<path d="M{x - 3:.1f} {y - 3:.1f}l6 6m0 -6l-6 6" stroke="{stroke}" stroke-width="1.6"/>',
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.2" fill="#fff" stroke="{stroke}" stroke-width="1.4"/>',
        f'<path d="M{x - 4:.1f} {y:.1f}h8m-4 -4v8" stroke="{stroke}" stroke-width="1.6"/>',
    )
    return shapes[kind % len(shapes)]


def _ticks(low: float, high: float) -> list[float]:
    step = 10 ** math.floor(math.log10((high - low) / 2))
    step *= next((m for m in (1, 2, 5, 10) if (high - low) / (m * step) <= 5), 10)
    step = max(step, 1.0) if high - low > 1.0 else step
    return [round(step * k, 10) for k in range(math.ceil(low / step), math.floor(high / step) + 1)]
