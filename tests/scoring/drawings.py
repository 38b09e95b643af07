"""Drawings made at random, each with the features that a machinist would name on it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from math import cos, pi, sin

import numpy as np

from tests.scoring.shapes import DOWN, UP, Hexagon, Prism, Round, Shape, Vec, cylinder

HOLES = (3.4, 4.5, 5.5, 6.0, 6.6, 7.9375, 8.0, 9.0, 9.525, 10.0, 11.0, 12.0, 12.7, 13.5, 16.0)
OVER = 2.0


@dataclass(frozen=True)
class Drawn:
    """A feature as drawn. sizes: by the contract's names, the principal one first."""

    kind: str
    sizes: tuple[tuple[str, float], ...]
    axis: Vec
    at: Vec
    through: bool | None = None


@dataclass
class Drawing:
    """A body under way. mouths: for each cut the directions from which it can be reached."""

    name: str
    low: Vec = (0.0, 0.0, 0.0)
    high: Vec = (0.0, 0.0, 0.0)
    steps: list[tuple[str, object]] = field(default_factory=list)
    features: list[Drawn] = field(default_factory=list)
    patterns: list[tuple[int, float]] = field(default_factory=list)
    mouths: list[tuple[Vec, ...]] = field(default_factory=list)
    turned: bool = False

    @property
    def shape(self) -> Shape:
        return Shape(tuple(self.steps), self.low, self.high)

    @property
    def size_mm(self) -> tuple[float, ...]:
        return tuple(h - b for b, h in zip(self.low, self.high, strict=True))

    def add(self, piece: object) -> None:
        self.steps.append(("+", piece))

    def cut(self, piece: object) -> None:
        self.steps.append(("-", piece))

    def hole(self, at: Vec, into: Vec, diameter: float, depth: float, *, through: bool, pointed: bool = False) -> None:
        """A drilled hole; through: depth is the thickness there."""
        start = tuple(a - OVER * i for a, i in zip(at, into, strict=True))
        self.cut(cylinder(start, into, diameter, depth + OVER * (2 if through else 1)))
        if pointed and not through:
            tip = tuple(a + depth * i for a, i in zip(at, into, strict=True))
            self.cut(Round(tip, into, diameter / 2, 0.0, diameter / 2 / np.tan(np.radians(59))))
        sizes = (("diameter_mm", diameter), *(() if through else (("depth_mm", depth),)))
        self.features.append(Drawn("bore", sizes, into, at, through))
        back = tuple(-i for i in into)
        self.mouths.append((into, back) if through else (back,))

    def counterbored(self, at: Vec, into: Vec, small: float, wide: float, deep: float, thick: float) -> None:
        self.hole(at, into, small, thick, through=True)
        self.hole(at, into, wide, deep, through=False)

    def countersunk(self, at: Vec, into: Vec, small: float, wide: float, thick: float) -> None:
        self.hole(at, into, small, thick, through=True)
        leg = (wide - small) / 2
        out = 1.0
        start = tuple(a - out * i for a, i in zip(at, into, strict=True))
        self.cut(Round(start, into, wide / 2 + out, small / 2, leg + out))
        self.features.append(Drawn("cone", (("diameter_mm", wide),), into, at))
        self.mouths.append((tuple(-i for i in into),))

    def pocket(
        self, at: Vec, into: Vec, along: Vec, *, length: float, width: float, corner: float, depth: float, through: bool
    ) -> None:
        """A pocket, or a slot where its ends are round."""
        start = tuple(a - OVER * i for a, i in zip(at, into, strict=True))
        self.cut(Prism(start, into, along, length, width, corner, depth + OVER * (2 if through else 1)))
        kind = "slot" if corner == width / 2 else "pocket"
        sizes = (("width_mm", width), ("length_mm", length), *(() if through else (("depth_mm", depth),)))
        self.features.append(Drawn(kind, sizes, into, at, through))
        back = tuple(-i for i in into)
        self.mouths.append((into, back) if through else (back,))

    def boss(self, at: Vec, out: Vec, diameter: float, height: float) -> None:
        self.add(cylinder(tuple(a - 1.0 * i for a, i in zip(at, out, strict=True)), out, diameter, height + 1.0))
        self.features.append(Drawn("boss", (("diameter_mm", diameter), ("length_mm", height)), out, at))
        self.mouths.append((out,))


def pick(rng, values):
    return float(values[rng.integers(len(values))])


def block(rng, name: str, *, nx: int, ny: int, cell: float, thick: float) -> Drawing:
    lx, ly = nx * cell, ny * cell
    drawing = Drawing(name, (-lx / 2, -ly / 2, -thick), (lx / 2, ly / 2, 0.0))
    drawing.add(Prism((0.0, 0.0, -thick), UP, (1.0, 0.0, 0.0), lx, ly, 0.0, thick))
    return drawing


def in_cell(drawing: Drawing, rng, x: float, y: float, *, cell: float, thick: float, choice: str) -> None:
    """One cut in a cell of the top."""
    at = (x + rng.uniform(-0.04, 0.04) * cell, y + rng.uniform(-0.04, 0.04) * cell, 0.0)
    along = (1.0, 0.0, 0.0) if rng.random() < 0.5 else (0.0, 1.0, 0.0)
    hole = pick(rng, [h for h in HOLES if h < 0.4 * cell])
    deep = round(rng.uniform(0.35, 0.7) * thick, 1)
    if choice == "through":
        drawing.hole(at, DOWN, hole, thick, through=True)
    elif choice == "blind":
        drawing.hole(at, DOWN, hole, deep, through=False, pointed=rng.random() < 0.5)
    elif choice == "counterbore":
        small = pick(rng, (5.5, 6.6, 9.0, 11.0))
        drawing.counterbored(at, DOWN, small, {5.5: 10.0, 6.6: 11.0, 9.0: 15.0, 11.0: 18.0}[small], 0.5 * thick, thick)
    elif choice == "countersink":
        small = pick(rng, (4.5, 5.5, 6.6, 9.0))
        drawing.countersunk(at, DOWN, small, 2.0 * small, thick)
    elif choice == "slot":
        width = pick(rng, (6.0, 8.0, 10.0, 12.7))
        length = round(rng.uniform(1.6, 2.4) * width, 1)
        through = rng.random() < 0.5
        drawing.pocket(at, DOWN, along, length=min(length, 0.6 * cell), width=width, corner=width / 2,
                       depth=thick if through else deep, through=through)  # fmt: skip
    elif choice == "pocket":
        width, length = (round(rng.uniform(0.4, 0.55) * cell, 1), round(rng.uniform(0.56, 0.62) * cell, 1))
        through = rng.random() < 0.3
        drawing.pocket(at, DOWN, along, length=length, width=width, corner=pick(rng, (3.0, 4.0, 5.0)),
                       depth=thick if through else deep, through=through)  # fmt: skip
    elif choice == "boss":
        diameter, height = round(rng.uniform(0.4, 0.6) * cell), round(rng.uniform(6, 15), 1)
        drawing.boss(at, UP, float(diameter), height)
        top = (at[0], at[1], height)
        drawing.high = (*drawing.high[:2], max(drawing.high[2], height))
        if rng.random() < 0.7:
            drawing.hole(top, DOWN, pick(rng, [h for h in HOLES if h < 0.6 * diameter]), height + 0.5 * thick,
                         through=False)  # fmt: skip


CHOICES = ("through", "blind", "counterbore", "countersink", "slot", "pocket", "boss", "none")


def plate(rng) -> Drawing:
    """A plate with something in every cell, and a row of blind holes in one edge when it is thick enough."""
    nx, ny = int(rng.integers(2, 4)), int(rng.integers(2, 4))
    cell, thick = float(rng.integers(26, 40)), float(rng.integers(10, 26))
    drawing = block(rng, "plate", nx=nx, ny=ny, cell=cell, thick=thick)
    for i in range(nx):
        for j in range(ny):
            x, y = (i - (nx - 1) / 2) * cell, (j - (ny - 1) / 2) * cell
            in_cell(drawing, rng, x, y, cell=cell, thick=thick, choice=CHOICES[rng.integers(len(CHOICES))])
    if thick >= 18:
        side = drawing.high[0]
        for j in range(ny):
            y = (j - (ny - 1) / 2) * cell
            drawing.hole((side, y, -thick / 2), (-1.0, 0.0, 0.0), pick(rng, (4.5, 5.0, 6.0)), 0.12 * cell,
                         through=False)  # fmt: skip
    return drawing


def ring_of_holes(drawing, rng, middle: Vec, into: Vec, circle: float, thick: float, *, through: bool) -> None:
    count, size = int(rng.integers(3, 9)), pick(rng, (4.5, 5.5, 6.6, 9.0))
    start = rng.uniform(0, 2 * pi)
    for k in range(count):
        a = start + 2 * pi * k / count
        at = (middle[0] + circle / 2 * cos(a), middle[1] + circle / 2 * sin(a), middle[2])
        drawing.hole(at, into, size, thick if through else 0.5 * thick, through=through)
    drawing.patterns.append((count, circle))


def cover(rng) -> Drawing:
    """A square plate bored in the middle, with a bolt circle round the bore, holes in its corners, rounded corners."""
    side, thick = float(rng.integers(80, 130)), float(rng.integers(10, 20))
    drawing = Drawing("cover", (-side / 2, -side / 2, -thick), (side / 2, side / 2, 0.0))
    corner = pick(rng, (0.0, 8.0, 12.0))
    drawing.add(Prism((0, 0, -thick), UP, (1.0, 0, 0), side, side, corner, thick))
    bore = float(rng.integers(20, int(0.4 * side)))
    drawing.hole((0, 0, 0), DOWN, bore, thick, through=True)
    circle = round(bore + 0.5 * (side - bore) * 0.75, 1)
    ring_of_holes(drawing, rng, (0, 0, 0), DOWN, circle, thick, through=rng.random() < 0.7)
    off = side / 2 - 9.0
    if circle / 2 + 12 < off * 1.41:
        size = pick(rng, (6.6, 9.0))
        for sx in (-1, 1):
            for sy in (-1, 1):
                drawing.hole((sx * off, sy * off, 0), DOWN, size, thick, through=True)
    return drawing


def bracket(rng) -> Drawing:
    """An angle: a foot with slots, a wall with a bore, chamfered or not."""
    lx, ly, thick, tall = (float(rng.integers(*r)) for r in ((60, 110), (50, 80), (8, 14), (50, 80)))
    drawing = Drawing("bracket", (-lx / 2, -ly / 2, 0.0), (lx / 2, ly / 2, tall))
    drawing.add(Prism((0, 0, 0), UP, (1.0, 0, 0), lx, ly, 0.0, thick))
    drawing.add(Prism((0, ly / 2 - thick / 2, 0), UP, (1.0, 0, 0), lx, thick, 0.0, tall))
    foot = -thick / 2
    if rng.random() < 0.5:
        width = pick(rng, (7.0, 9.0, 11.0))
        for sx in (-1, 1):
            drawing.pocket((sx * lx / 4, foot, thick), DOWN, (0.0, 1.0, 0.0), length=2.2 * width, width=width,
                           corner=width / 2, depth=thick, through=True)  # fmt: skip
    else:
        for sx in (-1, 1):
            drawing.hole((sx * lx / 4, foot, thick), DOWN, pick(rng, HOLES[3:]), thick, through=True)
    height = (thick + tall) / 2
    drawing.hole((0, ly / 2 - thick, height), (0.0, 1.0, 0.0), float(rng.integers(14, 26)), thick, through=True)
    if lx > 80:
        for sx in (-1, 1):
            drawing.hole((sx * 0.35 * lx, ly / 2 - thick, height), (0.0, 1.0, 0.0), pick(rng, HOLES[:6]), thick,
                         through=True)  # fmt: skip
    return drawing


def stepped_block(rng) -> Drawing:
    """A block with a step, a channel across it and cross holes."""
    lx, ly, lz = (float(rng.integers(*r)) for r in ((80, 120), (50, 80), (35, 55)))
    drawing = Drawing("stepped block", (-lx / 2, -ly / 2, -lz), (lx / 2, ly / 2, 0.0))
    drawing.add(Prism((0, 0, -lz), UP, (1.0, 0, 0), lx, ly, 0.0, lz))
    step = round(0.25 * lx)
    drawing.cut(Prism((lx / 2, 0, OVER), DOWN, (1.0, 0, 0), 2 * step, ly + 10, 0.0, 0.4 * lz + OVER))
    width, deep = pick(rng, (10.0, 12.0, 16.0)), round(rng.uniform(8, 14), 1)
    x = -0.25 * lx
    drawing.cut(Prism((x, 0, OVER), DOWN, (1.0, 0, 0), width, ly + 10, 0.0, deep + OVER))
    drawing.features.append(Drawn("slot", (("width_mm", width), ("depth_mm", deep)), DOWN, (x, 0, 0), False))
    drawing.mouths.append((UP,))
    drawing.hole((0.5 * (x + lx / 2 - step) + 2, 0, 0), DOWN, pick(rng, HOLES[4:]), lz, through=True)
    drawing.hole((-lx / 2, 0, -0.75 * lz), (1.0, 0, 0), pick(rng, HOLES[3:9]), 0.2 * lx, through=False, pointed=True)
    drawing.hole((0.3 * lx, -ly / 2, -0.7 * lz), (0, 1.0, 0), pick(rng, HOLES[3:11]), ly, through=True)
    return drawing


def housing(rng) -> Drawing:
    """A block with a large boss, bored through, counterbored, a blind bolt circle on the boss and one hollowed side."""
    lx, ly, lz = (float(rng.integers(*r)) for r in ((90, 120), (90, 120), (30, 45)))
    drawing = Drawing("housing", (-lx / 2, -ly / 2, -lz), (lx / 2, ly / 2, 0.0))
    drawing.add(Prism((0, 0, -lz), UP, (1.0, 0, 0), lx, ly, pick(rng, (0.0, 6.0, 10.0)), lz))
    wide, tall = float(rng.integers(62, 76)), float(rng.integers(10, 25))
    drawing.boss((0, 0, 0), UP, wide, tall)
    drawing.high = (lx / 2, ly / 2, tall)
    bore = float(rng.integers(20, 27))
    drawing.hole((0, 0, tall), DOWN, bore, lz + tall, through=True)
    drawing.hole((0, 0, tall), DOWN, bore + 10.0, round(0.5 * tall), through=False)
    ring_of_holes(drawing, rng, (0, 0, tall), DOWN, round((bore + 10 + wide) / 2, 1), 24.0, through=False)
    return drawing


FAMILIES: dict[str, Callable[[np.random.Generator], Drawing]] = {
    "plate": plate, "cover": cover, "bracket": bracket, "stepped block": stepped_block, "housing": housing,
}  # fmt: skip


def flange(rng) -> Drawing:
    """A disc with a hub, bored, keyed, with a bolt circle."""
    wide, thick = float(rng.integers(80, 130)), float(rng.integers(10, 18))
    hub, tall = float(rng.integers(36, 50)), float(rng.integers(15, 35))
    drawing = Drawing("flange", (-wide / 2, -wide / 2, 0.0), (wide / 2, wide / 2, thick + tall), turned=True)
    drawing.add(cylinder((0, 0, 0), UP, wide, thick))
    drawing.add(cylinder((0, 0, 0), UP, hub, thick + tall))
    drawing.features.append(Drawn("shaft", (("diameter_mm", wide),), UP, (0, 0, thick / 2)))
    drawing.features.append(Drawn("shaft", (("diameter_mm", hub),), UP, (0, 0, thick + tall / 2)))
    bore = float(rng.integers(18, int(hub - 16)))
    drawing.hole((0, 0, thick + tall), DOWN, bore, thick + tall, through=True)
    if rng.random() < 0.6:
        width = 6.0 if bore <= 22 else 8.0
        deep = {6.0: 2.8, 8.0: 3.3}[width]
        length = bore / 2 + deep
        drawing.cut(Prism((length / 2, 0, -OVER), UP, (1.0, 0, 0), length, width, 0.0, thick + tall + 2 * OVER))
        drawing.features.append(
            Drawn("keyway", (("width_mm", width), ("depth_mm", deep)), (1.0, 0, 0), (bore / 2, 0, 0))
        )
    circle = round((wide + hub) / 2, 1)
    ring_of_holes(drawing, rng, (0, 0, thick), DOWN, circle, thick, through=True)
    return drawing


def cut_shaft(rng) -> Drawing:
    """A shaft of three diameters with what the choice gives: keyway, flat, cross hole, hexagon head, grooves."""
    d = sorted(float(v) for v in rng.choice(np.arange(16, 46), 3, replace=False))
    lengths = [float(rng.integers(30, 60)) for _ in range(3)]
    order = [d[0], d[2], d[1]]
    drawing = Drawing("shaft", (-d[2] / 2, -d[2] / 2, 0.0), (d[2] / 2, d[2] / 2, sum(lengths)), turned=True)
    z = 0.0
    spans: list[tuple[float, float, float]] = []
    for diameter, length in zip(order, lengths, strict=True):
        drawing.add(cylinder((0, 0, z), UP, diameter, length))
        drawing.features.append(Drawn("shaft", (("diameter_mm", diameter),), UP, (0, 0, z + length / 2)))
        spans.append((diameter, z, z + length))
        z += length
    wants = list(rng.permutation(["keyway", "flat", "cross hole"]))
    for (diameter, low, high), want in zip(spans, wants, strict=True):
        r, middle = diameter / 2, (low + high) / 2
        if want == "keyway":
            width, deep = next(
                (w, t)
                for top, w, t in ((17, 5, 3), (22, 6, 3.5), (30, 8, 4), (38, 10, 5), (44, 12, 5), (50, 14, 5.5))
                if diameter <= top
            )
            length = round(0.7 * (high - low))
            drawing.cut(Prism((r + OVER, 0, middle), (-1.0, 0, 0), (0, 0, 1.0), length, width, width / 2, deep + OVER))
            drawing.features.append(
                Drawn(
                    "keyway",
                    (("width_mm", float(width)), ("depth_mm", deep), ("length_mm", length)),
                    (1.0, 0, 0),
                    (r, 0, middle),
                )
            )
        elif want == "flat":
            deep = round(0.1 * diameter, 1)
            size = 0.5 * (high - low)
            drawing.cut(Prism((0, r + OVER, middle), (0, -1.0, 0), (0, 0, 1.0), size, diameter + 4, 0.0, deep + OVER))
            drawing.features.append(Drawn("flat", (("depth_mm", deep),), (0, 1.0, 0), (0, r, middle)))
        else:
            hole = pick(rng, [h for h in HOLES if h < 0.4 * diameter])
            drawing.hole((0, r, middle), (0, -1.0, 0), hole, diameter, through=True)
    return drawing


def headed(rng) -> Drawing:
    """A hexagon head on a round shank with a blind bore in the head's end."""
    across, head = pick(rng, (19.0, 24.0, 30.0, 36.0)), float(rng.integers(10, 18))
    shank, length = round(0.6 * across), float(rng.integers(40, 80))
    r = across / np.sqrt(3)
    drawing = Drawing("headed", (-r, -r, 0.0), (r, r, head + length), turned=True)
    drawing.add(Hexagon((0, 0, 0), UP, (1.0, 0, 0), across, head))
    drawing.add(cylinder((0, 0, 0), UP, float(shank), head + length))
    drawing.features.append(Drawn("hexagon", (("width_mm", across),), UP, (0, 0, head / 2)))
    drawing.features.append(Drawn("shaft", (("diameter_mm", float(shank)),), UP, (0, 0, head + length / 2)))
    drawing.hole(
        (0, 0, 0),
        UP,
        pick(rng, [h for h in HOLES if h < 0.7 * shank]),
        round(0.4 * length),
        through=False,
        pointed=True,
    )
    return drawing


ROUND_FAMILIES: dict[str, Callable[[np.random.Generator], Drawing]] = {
    "flange": flange, "shaft": cut_shaft, "headed": headed,
}  # fmt: skip


def drawn(family: str, seed: int) -> Drawing:
    """The same family and seed give the same drawing."""
    return (FAMILIES | ROUND_FAMILIES)[family](np.random.default_rng([seed, 77]))
