"""Parts from the mill (plates, blocks, angle brackets) and from both machines (flange housings, levers, shafts)."""

from __future__ import annotations

import numpy as np

from .bodies import BOX, CONE, FILLET, HEXAGON, WALL_Y
from .drawing import BEARING_OUTSIDES, CLEARANCE, TAP_DRILLS, Drawing, Truth, made, pick, seat_wear, size
from .turned import Z, coupling, shaft, start

X, Y = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])


class Room:
    """Free places on a rectangle: discs that keep apart from each other and from the edges."""

    def __init__(self, half_x: float, half_y: float) -> None:
        self.half = (half_x, half_y)
        self.taken: list[tuple[float, float, float]] = []

    def place(self, rng, radius: float, wall: float = 3.0) -> tuple[float, float] | None:
        """A free centre for a disc, or None where there is no room."""
        hx, hy = self.half[0] - radius - wall, self.half[1] - radius - wall
        if hx <= 0 or hy <= 0:
            return None
        for _ in range(60):
            x, y = float(rng.uniform(-hx, hx)), float(rng.uniform(-hy, hy))
            if all(np.hypot(x - a, y - b) > radius + r + wall for a, b, r in self.taken):
                self.taken.append((x, y, radius))
                return round(x, 1), round(y, 1)
        return None


def hole(d: Drawing, hole_size, at, axis, depth: float, *, through: bool, wear=None) -> None:
    """A round hole from the face at `at`, going along -axis."""
    axis = np.asarray(axis, float)
    d.round("bore", hole_size, at, -axis, -3, depth + (3 if through else 0), wear=wear)
    d.truths[-1].at, d.truths[-1].half_length_mm = np.asarray(at, float) - axis * depth / 2, depth / 2


def slot(d: Drawing, rng, at, along, depth: float, length: float, width: float, *, through: bool) -> None:
    """A milled slot with round ends, down from the face at `at` (normal z)."""
    wide = made(rng, width, -0.01, 0.04)
    floor = -depth - (3 if through else 0)
    along = np.asarray(along, float)
    step = d.part.step(BOX, (length / 2, wide / 2, floor, 4, wide / 2), cut=True, at=at, axis=Z, x=along)
    middle = np.asarray(at, float) - Z * depth / 2
    d.truths.append(Truth("slot", width, wide, True, middle, Z, depth / 2, step, (WALL_Y,)))
    for side in (-1, 1):
        d.lesser.append((wide, middle + along * side * (length - wide) / 2, Z))


def drilled(rng, d: Drawing):
    """A drilled hole's size: clearance, tap drill, or an inch drill."""
    if d.inch:
        return pick(rng, tuple(25.4 * n / 32 for n in (6, 7, 8, 9, 10, 11, 12, 14, 16)), 4, 13, (0.0, 0.06))
    return pick(rng, CLEARANCE + TAP_DRILLS + (6, 8, 10), 4, 14, (0.0, 0.06))


def furnish(d: Drawing, rng, room: Room, top: float, thick: float) -> None:
    """Fill a plate's upper face with what a plate has."""
    if rng.random() < 0.75:
        bore = pick(rng, BEARING_OUTSIDES, 22, 1.3 * min(room.half), (0.0, 0.025))
        if rng.random() < 0.3:
            bore = size(rng, 16, 1.2 * min(room.half), d.inch, (0.0, 0.03))
        if spot := room.place(rng, bore[0] / 2):
            blind = thick > 16 and rng.random() < 0.5
            deep = thick * float(rng.uniform(0.45, 0.7)) if blind else thick
            hole(d, bore, (*spot, top), Z, deep, through=not blind, wear=seat_wear(rng, 0.45))
            if blind and rng.random() < 0.7:
                small = size(rng, bore[0] * 0.5, bore[0] * 0.8, d.inch, (0.0, 0.05))
                hole(d, small, (*spot, top), Z, thick, through=True)
                d.truths[-1].at = np.array([*spot, top - (deep + thick) / 2])
                d.truths[-1].half_length_mm = (thick - deep) / 2
    for _ in range(int(rng.integers(0, 3))):
        width = float(rng.choice([6, 8, 10, 12, 14, 16])) if not d.inch else float(rng.choice([4, 5, 6, 8])) * 25.4 / 16
        length = width * float(rng.uniform(1.8, 3.5))
        if spot := room.place(rng, length / 2):
            a = float(rng.choice([0.0, np.pi / 2]))
            through = rng.random() < 0.6
            deep = thick if through else min(thick * 0.5, width)
            slot(d, rng, (*spot, top), (np.cos(a), np.sin(a), 0), deep, length, width, through=bool(through))
    if rng.random() < 0.35:
        side = float(rng.uniform(0.25, 0.45)) * min(room.half)
        if spot := room.place(rng, side * 1.8):
            corner = float(rng.choice([3, 4, 5, 6]))
            d.part.step(BOX, (side * 1.5, side, -thick * 0.45, 4, corner), cut=True, at=(*spot, top))
            for sx in (-1, 1):
                for sy in (-1, 1):
                    there = np.array([spot[0] + sx * (side * 1.5 - corner), spot[1] + sy * (side - corner), top])
                    d.lesser.append((2 * corner, there, Z))
    if rng.random() < 0.35:
        boss = size(rng, 14, 34, d.inch)
        if spot := room.place(rng, boss[0] / 2):
            high = float(rng.uniform(6, 16))
            d.round("shaft", boss, (*spot, top), Z, -1, high)
            d.truths[-1].at, d.truths[-1].half_length_mm = np.array([*spot, top + high / 2]), high / 2
            d.half_mm[2] = max(d.half_mm[2], top + high + 1)
            if boss[0] > 18:
                hole(d, pick(rng, (*CLEARANCE, 8, 10, 12), 6, boss[0] * 0.6, (0.0, 0.06)), (*spot, top + high), Z,
                     high + thick, through=True)  # fmt: skip
    for _ in range(int(rng.integers(0, 4))):
        s = drilled(rng, d)
        head = round(s[0] * 1.75)
        if rng.random() < 0.3 and thick > 9:
            if spot := room.place(rng, head / 2):
                hole(d, (float(head), made(rng, head, 0.0, 0.1), True), (*spot, top), Z, s[0], through=False)
                hole(d, s, (*spot, top), Z, thick, through=True)
                d.truths[-1].at, d.truths[-1].half_length_mm = (
                    np.array([*spot, top - (s[0] + thick) / 2]),
                    (thick - s[0]) / 2,
                )
        elif spot := room.place(rng, s[0] / 2):
            through = thick < 25 or rng.random() < 0.4
            hole(d, s, (*spot, top), Z, thick if through else float(rng.uniform(1.5, 3)) * s[0], through=bool(through))
            if rng.random() < 0.3:
                r = s[1] / 2
                d.part.step(CONE, (r + 1.5, 0.5, r - 0.5, -1.5), cut=True, at=(*spot, top))


def plate(rng: np.random.Generator) -> Drawing:
    """A plate or a block, with holes at the corners more often than not."""
    d = start("plate", rng, (1, 1, 1))
    hx, hy = float(rng.integers(40, 85)), float(rng.integers(28, 55))
    thick = float(rng.choice([8, 10, 12, 15, 20, 25, 30, 40]))
    corner = float(rng.choice([0.0, 0.0, 5.0, 10.0]))
    d.half_mm = np.array([hx + 1, hy + 1, thick / 2 + 1])
    d.part.step(BOX, (hx, hy, -thick / 2, thick / 2, corner))
    for sx in (-1, 1):
        for sy in (-1, 1):
            if corner:
                d.lesser.append((2 * corner, np.array([sx * (hx - corner), sy * (hy - corner), 0]), Z))
    room = Room(hx, hy)
    if rng.random() < 0.65:
        s = drilled(rng, d)
        inset = max(s[0] * 1.1, corner, 7.0)
        for sx in (-1, 1):
            for sy in (-1, 1):
                x, y = sx * (hx - inset), sy * (hy - inset)
                room.taken.append((x, y, s[0] / 2))
                hole(d, (s[0], made(rng, s[1], -0.01, 0.02), s[2]), (x, y, thick / 2), Z, thick, through=True)
    furnish(d, rng, room, thick / 2, thick)
    if thick >= 25 and rng.random() < 0.6:
        s = drilled(rng, d)
        hole(d, s, (hx, float(rng.uniform(-0.5, 0.5)) * hy, 0), X, float(rng.uniform(1.5, 2.5)) * s[0], through=False)
    if rng.random() < 0.3:
        width = float(rng.choice([8, 10, 12, 16, 20]))
        wide = made(rng, width, -0.01, 0.05)
        y = hy * 0.97 - width
        if all(abs(y - b) > r + width / 2 + 1 for _, b, r in room.taken):
            step = d.part.step(BOX, (hx + 9, wide / 2, thick * 0.2, thick), cut=True, at=Y * y)
            at = Y * y + Z * thick * 0.35
            d.truths.append(Truth("slot", width, wide, True, at, Z, thick * 0.15, step, (WALL_Y,)))
    return d


def bracket(rng: np.random.Generator) -> Drawing:
    """An angle bracket: foot and upright, perhaps a rib, holes and slots in both."""
    d = start("bracket", rng, (1, 1, 1))
    hx, hy, high = float(rng.integers(28, 55)), float(rng.integers(28, 45)), float(rng.integers(45, 85))
    t = float(rng.choice([8, 10, 12, 15]))
    d.half_mm = np.array([hx + 1, hy + 1, high / 2 + 1])
    low = -high / 2
    d.part.step(BOX, (hx, hy, low, low + t, 0))
    d.part.step(BOX, (hx, t / 2, low, high / 2, 0), at=Y * (-hy + t / 2))
    foot, wall = Room(hx, hy - t), Room(hx, high / 2 - t)
    if rng.random() < 0.4:
        d.part.step(BOX, (t / 2, hy - t, low + t - 1, low + t + high * 0.4, 0))
        foot.taken += [(0.0, float(y), t / 2) for y in np.arange(-hy, hy, t / 2)]
        wall.taken += [(0.0, float(z) - t / 2, t / 2) for z in np.arange(low, low + t + high * 0.4, t / 2)]
    s = drilled(rng, d)
    for _ in range(int(rng.integers(2, 4))):
        if spot := foot.place(rng, s[0] / 2 + 1):
            at = (spot[0], spot[1] + t, low + t)
            hole(d, (s[0], made(rng, s[1], -0.01, 0.02), s[2]), at, Z, t, through=True)
    bore = pick(rng, BEARING_OUTSIDES, 20, 1.2 * min(wall.half), (0.0, 0.025))
    if spot := wall.place(rng, bore[0] / 2, 4.0):
        at = np.array([spot[0], -hy + t, spot[1] + t / 2])
        hole(d, bore, at, Y, t, through=True, wear=seat_wear(rng, 0.5))
    s = drilled(rng, d)
    for _ in range(2):
        if spot := wall.place(rng, s[0] / 2):
            hole(d, (s[0], made(rng, s[1], -0.01, 0.02), s[2]), (spot[0], -hy + t, spot[1] + t / 2), Y, t, through=True)
    return d


def housing(rng: np.random.Generator) -> Drawing:
    """A flange housing: a square foot with four holes, a turned spigot, a stepped bore for a bearing."""
    d = start("housing", rng, (1, 1, 1))
    outside = pick(rng, BEARING_OUTSIDES, 32, 62, (0.0, 0.025))
    neck = size(rng, outside[0] + 12, outside[0] + 22, d.inch)
    s = drilled(rng, d)
    half, t, high = neck[0] / 2 + s[0] * 1.2 + 2, float(rng.choice([10, 12, 15])), float(rng.uniform(12, 26))
    d.part.step(BOX, (half, half, 0, t, float(rng.choice([0.01, 6, 10]))))
    corner = d.part.sizes[-1][4]
    inset = half - s[0] * 1.05
    d.round("shaft", neck, (0, 0, 0), Z, 1, t + high)
    d.truths[-1].at, d.truths[-1].half_length_mm = Z * (t + high / 2), high / 2
    d.part.step(FILLET, (neck[1] / 2, t, 1.5, 1))
    d.chamfer(neck[1] / 2, t + high, 1.0, 1)
    for sx in (-1, 1):
        for sy in (-1, 1):
            at = (sx * inset, sy * inset, t)
            hole(d, (s[0], made(rng, s[1], -0.01, 0.02), s[2]), at, Z, t, through=True)
            if corner > 1:
                d.lesser.append((2 * corner, np.array([sx * (half - corner), sy * (half - corner), t / 2]), Z))
    d.patterns.append((4, 2 * inset * 2**0.5, Z))
    deep = (t + high) * float(rng.uniform(0.5, 0.7))
    hole(d, outside, Z * (t + high), Z, deep, through=False, wear=seat_wear(rng, 0.55))
    small = size(rng, outside[0] * 0.5, outside[0] * 0.8, d.inch, (0.0, 0.04))
    hole(d, small, Z * (t + high), Z, t + high, through=True)
    d.truths[-1].at, d.truths[-1].half_length_mm = Z * (t + high - deep) / 2, (t + high - deep) / 2
    d.half_mm = np.array([half + 1, half + 1, t + high + 1])
    return d


def worked_shaft(rng: np.random.Generator) -> Drawing:
    """A shaft that also saw the mill: flats, a cross hole, sometimes a hexagon head."""
    d = shaft(rng, keyed=0.9)
    body = max((t for t in d.truths if t.kind == "shaft"), key=lambda t: t.half_length_mm)
    a = float(rng.uniform(-np.pi, np.pi))
    out = np.array([np.cos(a), np.sin(a), 0.0])
    radius = body.made_mm / 2
    if rng.random() < 0.6:
        s = drilled(rng, d)
        if s[0] < radius and body.half_length_mm > s[0]:
            at = body.at + Z * float(rng.uniform(-0.3, 0.3)) * body.half_length_mm
            d.round("bore", s, at, out, -radius - 5, radius + 5).half_length_mm = radius
    else:
        depth = radius * float(rng.uniform(0.1, 0.22))
        for side in (-1, 1):
            at = body.at + out * side * (radius - depth)
            d.part.step(BOX, (body.half_length_mm * 0.5, radius, 0, radius, 0), cut=True, at=at, axis=out * side, x=Z)
    if rng.random() < 0.25:
        low = -d.half_mm[2] + 1
        head = made(rng, 24.0)
        d.part.step(HEXAGON, (head / 2, low - 9, low + 1, 6))
        d.half_mm = np.maximum(d.half_mm + np.array([0, 0, 10.0]), 16)
    return d


def lever(rng: np.random.Generator) -> Drawing:
    """A lever: two round eyes, joined by a web, bored and perhaps keyed."""
    d = start("lever", rng, (1, 1, 1))
    apart = float(rng.integers(60, 120))
    t = float(rng.choice([8, 10, 12, 15]))
    for side, low, high in ((-1, 14, 32), (1, 10, 24)):
        bore = size(rng, low, high, d.inch, (0.0, 0.03))
        eye = size(rng, bore[0] * 1.6 + 4, bore[0] * 1.9 + 8, d.inch)
        long, at = float(rng.uniform(1.2, 2.2)) * t, X * side * apart / 2
        d.round("shaft", eye, at, Z, -long / 2, long / 2)
        d.round("bore", bore, at, Z, -long, long, wear=seat_wear(rng, 0.45)).half_length_mm = long / 2
        d.half_mm = np.maximum(d.half_mm, (apart / 2 + eye[0] / 2 + 1, eye[0] / 2 + 1, long / 2 + 1))
    inner, outer = (tr.step for tr in d.truths if tr.kind == "shaft")
    widths = [d.part.sizes[i][0] for i in (inner, outer)]
    room = apart - widths[0] - widths[1]
    middle = X * (widths[0] - widths[1]) / 2
    # The web must stand before the bores are cut, or it would fill them.
    d.part.step(BOX, (room / 2 + 4, 0.7 * min(widths), -t / 2, t / 2, 0), at=middle)
    for store in (d.part.kinds, d.part.cuts, d.part.sizes, d.part.frames):
        store.insert(0, store.pop())
    for truth in d.truths:
        truth.step += 1
    return d


def prismatic(rng: np.random.Generator) -> Drawing:
    """A plate, a block or an angle bracket."""
    return (plate if rng.random() < 0.7 else bracket)(rng)


def mixed(rng: np.random.Generator) -> Drawing:
    """A part of both machines."""
    makers = (housing, worked_shaft, lever, coupling_with_flats)
    return makers[rng.choice(4, p=[0.3, 0.35, 0.2, 0.15])](rng)


def coupling_with_flats(rng: np.random.Generator) -> Drawing:
    """A flange cut straight on two sides."""
    d = coupling(rng)
    d.name = "coupling with flats"
    flange, hub = d.truths[0], d.truths[1]
    off = 0.5 * (flange.made_mm + hub.made_mm) / 2 + 0.25 * (flange.made_mm - hub.made_mm) * 0.9
    for side in (-1, 1):
        d.part.step(BOX, (99, 99, 0, 50, 0), cut=True, at=X * side * off, axis=X * side)
    return d
