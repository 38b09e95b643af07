"""Three plain views of a part that is not turned: its box, its holes, and where its other features lie.

Seen from above (the two longest edges), from the front below it, from the right beside it. What the reading did
not find is not drawn: the outline is the box, not the shape.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest import units
from steadyrest.papers.drawing import datum_marks, ink, numerals
from steadyrest.papers.drawing.drawn import Drawn
from steadyrest.papers.drawing.ink import Palette
from steadyrest.papers.drawing.numerals import Mark
from steadyrest.shop.part import Feature, Part

Vector = npt.NDArray[np.float64]
BETWEEN = 8.0
HIGHEST_SHARE = 0.75
HIDDEN_DASH = "1.8 1"
CENTRE_DASH = "5 1 0.8 1"
POINTED_AT = ("bore", "thread", "slot", "pocket", "boss", "keyway", "shaft", "flat", "cone", "hexagon", "groove")


@dataclass(frozen=True, slots=True)
class Box:
    """The part's box: directions (3, 3) by falling length, low corner along each, and edge lengths."""

    directions: Vector
    low: Vector
    size: Vector

    def place(self, feature: Feature) -> Vector:
        """(3,) of the feature's point from the low corner."""
        return self.directions @ np.array(feature.at_mm) - self.low


@dataclass(frozen=True, slots=True)
class Pane:
    """One view: which box directions run across, up and towards the reader; its corner on the paper; paper mm per mm.

    mirrored: the direction across runs from right to left, as in a view from the right that stands to the right.
    """

    across: int
    up: int
    toward: int
    left: float
    top: float
    scale: float
    mirrored: bool = False

    def at(self, box: Box, place: Vector) -> tuple[float, float]:
        across = box.size[self.across] - place[self.across] if self.mirrored else place[self.across]
        down = box.size[self.up] - place[self.up]
        return self.left + float(across) * self.scale, self.top + float(down) * self.scale


def box_of(part: Part) -> Box:
    """The box of a part, from its faces where they tell it, else from its sizes about its features."""
    directions = main_directions(part)
    points = np.array([f.at_mm for f in part.features]) if part.features else np.zeros((1, 3))
    left = sorted(part.size_mm, reverse=True)
    low, size = np.zeros(3), np.zeros(3)
    known: list[tuple[int, float, float]] = []
    for k, direction in enumerate(directions):
        ends = [
            float(direction @ np.array(f.at_mm))
            for f in part.features
            if f.kind == "face" and abs(direction @ np.array(f.axis)) > 0.99
        ]
        along = points @ direction
        known.append((k, min([*ends, float(along.min())]), max([*ends, float(along.max())])))
    # Longest span takes the longest edge of the box; the box is laid about the middle of what was found.
    for (k, a, b), edge in zip(sorted(known, key=lambda span: span[1] - span[2]), left, strict=True):
        size[k] = max(edge, b - a)
        low[k] = (a + b) / 2 - size[k] / 2
    order = np.argsort(-size, kind="stable")
    return Box(directions[order], low[order], size[order])


def main_directions(part: Part) -> Vector:
    """(3, 3) three directions square to each other: of the largest faces, else of the file."""
    chosen: list[Vector] = []
    faces = sorted((f for f in part.features if f.kind == "face"), key=lambda f: -f.area_mm2)
    for axis in [*(np.array(f.axis) for f in faces), *np.eye(3)]:
        square = all(abs(float(axis @ other)) < 0.02 for other in chosen)
        if len(chosen) < 3 and square:
            chosen.append(axis / np.linalg.norm(axis))
    if len(chosen) == 2:
        chosen.append(np.cross(chosen[0], chosen[1]))
    if len(chosen) < 3:
        return np.eye(3)
    return np.array([d if d[np.argmax(np.abs(d))] > 0 else -d for d in chosen])


def box_views(part: Part, *, width: float, unit: str, colours: Palette) -> Drawn:
    """The three views with numerals.

    Args:
        part: as read.
        width: of the drawing, mm.
        unit: the reader's, for the box's edges.
        colours: of the drawing.
    Returns: shapes and height.
    """
    box = box_of(part)
    long, wide, high = (float(edge) for edge in box.size)
    scale = min((width - 26 - BETWEEN) / (long + high), HIGHEST_SHARE * width / (wide + high))
    head = numerals.SLANT + 2 * numerals.RADIUS + 3
    above = Pane(0, 1, 2, 8.0, head + 3, scale)
    front = Pane(0, 2, 1, 8.0, above.top + wide * scale + BETWEEN, scale)
    side = Pane(2, 1, 0, 8.0 + long * scale + BETWEEN, above.top, scale, mirrored=True)
    shapes: list[str] = []
    for pane in (above, front, side):
        shapes.extend(pane_shapes(part, box, pane, colours))
    beside = 5.0 + (datum_marks.REACH - 2.0 if part.datums else 0.0)  # clear of a letter there
    # Beside the views, where no leader can cross them.
    shapes.append(sideways((6.0, above.top + wide * scale / 2), "from above", colours))
    shapes.append(sideways((6.0, front.top + high * scale / 2), "front", colours))
    shapes.append(
        sideways((side.left + high * scale + beside, above.top + wide * scale / 2), "from the right", colours)
    )
    shapes.extend(letters(part, box, above, side, colours))
    top, low = marks(part, box, above, front)
    over = numerals.row(top, level=above.top - 1.5, up=True, left=2, right=width - 2, colours=colours)
    foot = front.top + high * scale
    under = numerals.row(low, level=foot + numerals.CLEAR, up=False, left=2, right=width - 2, colours=colours)
    edges = [
        units.show_length(round(e, 2), "in" if unit == "in" else "mm", fractions=False) for e in (long, wide, high)
    ]
    said = (
        f"box {' × '.join(edges)}" if part.unit.state != "ask" else f"box {long:.4g} × {wide:.4g} × {high:.4g} (unit?)"
    )
    y = foot + numerals.CLEAR + under.height + 6
    shapes.append(ink.text((8, y), said, size=4.3, fill=colours.ink))
    return Drawn((*shapes, *over.shapes, *under.shapes), y + 2, over.left_out + under.left_out)


def letters(part: Part, box: Box, above: Pane, side: Pane, colours: Palette) -> list[str]:
    """The marks of the faces that places are measured from, where a view shows such a face as an edge of the box."""
    shapes: list[str] = []
    for datum in part.datums:
        lie = box.directions @ np.array(datum.axis)
        k = int(np.argmax(np.abs(lie)))
        if datum.kind != "face" or abs(lie[k]) < 0.99:
            continue
        pane = above if k == 0 else side
        right = pane.left + float(box.size[pane.across]) * pane.scale
        high = float(box.size[pane.up]) * pane.scale
        far = lie[k] > 0
        if k == 1:  # seen from the right: its upper or its lower edge
            at = ((pane.left + right) / 2, pane.top if far else pane.top + high)
            shapes.extend(datum_marks.mark(at, (0.0, -1.0 if far else 1.0), datum.name, colours))
            continue
        to_right = far != pane.mirrored
        # Low in the one view, high in the other: the two may look at each other across the gap.
        corner = datum_marks.SQUARE / 2 + 0.2
        at = (right if to_right else pane.left, pane.top + (high - corner if k == 0 else corner))
        shapes.extend(datum_marks.mark(at, (1.0 if to_right else -1.0, 0.0), datum.name, colours))
    return shapes


def sideways(at: tuple[float, float], said: str, colours: Palette) -> str:
    """A word that runs upwards beside a view."""
    turn = f"rotate(-90 {ink.number(at[0])} {ink.number(at[1])})"
    return ink.element("g", ink.text(at, said, size=3.6, fill=colours.soft, anchor="middle"), transform=turn)


def pane_shapes(part: Part, box: Box, pane: Pane, colours: Palette) -> list[str]:
    """One view: the box, and every hole as a circle or as hidden lines."""
    across, down = float(box.size[pane.across]) * pane.scale, float(box.size[pane.up]) * pane.scale
    shapes = [
        ink.element(
            "rect",
            x=pane.left,
            y=pane.top,
            width=across,
            height=down,
            fill=colours.body,
            stroke=colours.ink,
            stroke_width=0.5,
        ),
    ]
    for feature in part.features:
        diameter = feature.size("diameter_mm")
        if feature.kind not in ("bore", "thread", "boss", "shaft") or diameter is None:
            continue
        x, y = pane.at(box, box.place(feature))
        r = diameter.estimate / 2 * pane.scale
        lie = np.abs(box.directions @ np.array(feature.axis))
        if lie[pane.toward] > 0.9:
            fill = colours.paper if feature.kind in ("bore", "thread") else colours.cut
            shapes.append(ink.circle((x, y), r, fill=fill, stroke=colours.ink, width=0.4))
            shapes.append(ink.line((x - r - 1, y), (x + r + 1, y), colours.ink, width=0.18, dash=CENTRE_DASH))
            shapes.append(ink.line((x, y - r - 1), (x, y + r + 1), colours.ink, width=0.18, dash=CENTRE_DASH))
        elif max(lie) > 0.9:
            shapes.extend(hidden(feature, box, pane, (x, y), r, bool(lie[pane.across] > 0.9), colours))
    return shapes


def hidden(
    feature: Feature, box: Box, pane: Pane, at: tuple[float, float], r: float, across: bool, colours: Palette
) -> list[str]:
    """A hole seen from its side: two broken lines over its depth, or over the whole box where it goes through."""
    depth = feature.size("depth_mm") or feature.size("length_mm")
    whole = float(box.size[pane.across if across else pane.up]) * pane.scale
    start = pane.left if across else pane.top
    half = whole / 2 if depth is None or feature.through else depth.estimate * pane.scale / 2
    middle = (at[0] if across else at[1]) if depth is not None and not feature.through else start + whole / 2
    low, high = max(start, middle - half), min(start + whole, middle + half)
    if across:
        return [
            ink.line((low, at[1] + s * r), (high, at[1] + s * r), colours.soft, width=0.25, dash=HIDDEN_DASH)
            for s in (-1, 1)
        ]
    return [
        ink.line((at[0] + s * r, low), (at[0] + s * r, high), colours.soft, width=0.25, dash=HIDDEN_DASH)
        for s in (-1, 1)
    ]


def marks(part: Part, box: Box, above: Pane, front: Pane) -> tuple[list[Mark], list[Mark]]:
    """What numerals point at: features seen from above in the upper view, the others in the front view."""
    top: list[Mark] = []
    low: list[Mark] = []
    for feature in sorted(part.features, key=lambda f: -f.area_mm2):
        if feature.kind not in POINTED_AT or not feature.sizes:
            continue
        facing = abs(float(box.directions[2] @ np.array(feature.axis))) > 0.7
        pane = above if facing else front
        x, y = pane.at(box, box.place(feature))
        diameter = feature.size("diameter_mm")
        half = max(0.5, 0.35 * diameter.estimate * pane.scale) if diameter is not None else 2.0
        numeral = feature.id.lstrip("F") or feature.id
        (top if facing else low).append(Mark(numeral, x - half, x + half, y))
    return top, low
