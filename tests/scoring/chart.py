"""A plain chart for docs/: a frame, ticks, points with their counts, lines. Drawn by our own ink, nothing else."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from steadyrest.papers.drawing.ink import LIGHT, Point, circle, line, polyline, svg, text

SIZE = 3.2
LEFT, RIGHT, TOP, BOTTOM = 18.0, 6.0, 12.0, 16.0


@dataclass(frozen=True, slots=True)
class Axis:
    """From low to high over the frame, ticks where asked. said: what stands beside it. shown: how a tick is written."""

    low: float
    high: float
    ticks: tuple[float, ...]
    said: str
    shown: Callable[[float], str]


@dataclass(frozen=True, slots=True)
class Frame:
    """Where values lie on the paper."""

    across: Axis
    up: Axis
    left_mm: float
    top_mm: float
    wide_mm: float
    high_mm: float

    def at(self, x: float, y: float) -> Point:
        a = (x - self.across.low) / (self.across.high - self.across.low)
        b = (y - self.up.low) / (self.up.high - self.up.low)
        return self.left_mm + a * self.wide_mm, self.top_mm + (1 - b) * self.high_mm


def framed(frame: Frame, title: str) -> list[str]:
    """The frame with its ticks, faint lines, what the axes say and a heading."""
    a, b = frame.across, frame.up
    body: list[str] = []
    for tick in a.ticks:
        x = frame.at(tick, b.low)[0]
        body.append(line((x, frame.top_mm), (x, frame.top_mm + frame.high_mm), LIGHT.cut, width=0.2))
        body.append(
            text((x, frame.top_mm + frame.high_mm + 4.5), a.shown(tick), size=SIZE, fill=LIGHT.ink, anchor="middle")
        )
    for tick in b.ticks:
        y = frame.at(a.low, tick)[1]
        body.append(line((frame.left_mm, y), (frame.left_mm + frame.wide_mm, y), LIGHT.cut, width=0.2))
        body.append(text((frame.left_mm - 2, y + 1.1), b.shown(tick), size=SIZE, fill=LIGHT.ink, anchor="end"))
    corners = [frame.at(a.low, b.high), frame.at(a.low, b.low), frame.at(a.high, b.low)]
    body.append(polyline(corners, LIGHT.ink, width=0.35))
    middle = frame.left_mm + frame.wide_mm / 2
    body.append(text((middle, frame.top_mm + frame.high_mm + 10), a.said, size=SIZE, fill=LIGHT.soft, anchor="middle"))
    body.append(text((frame.left_mm, frame.top_mm - 6.5), title, size=3.6, fill=LIGHT.ink, bold=True))
    body.append(text((frame.left_mm, frame.top_mm - 2.2), b.said, size=SIZE, fill=LIGHT.soft))
    return body


def dots(frame: Frame, points: Sequence[Point], *, fill: str, said: Sequence[str] = ()) -> list[str]:
    """Points, each with a few words to its right where there are any."""
    body = [circle(frame.at(x, y), 1.1, fill=fill) for x, y in points]
    for (x, y), words in zip(points, said, strict=False):
        px, py = frame.at(x, y)
        body.append(text((px + 2, py + 1.1), words, size=2.6, fill=fill))
    return body


def drawing(body: Sequence[str], *, wide_mm: float, high_mm: float, title: str, description: str) -> str:
    """The whole picture."""
    return svg(body, width_mm=wide_mm, height_mm=high_mm, title=title, description=description)
