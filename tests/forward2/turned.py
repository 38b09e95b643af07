"""Turned parts: stepped shafts, bushes, pulleys, rollers, couplings, washers. The axis is z."""

from __future__ import annotations

import numpy as np

from .bodies import BOX, CONE, END, FILLET, RING, THREAD, VEE, WALL_Y, Part
from .drawing import (
    BEARING_BORES,
    BEARING_OUTSIDES,
    CLEARANCE,
    INCH_KEYS,
    INCH_SHAFTS,
    KEYS,
    Drawing,
    Truth,
    made,
    pick,
    seat_wear,
    size,
)

Z = np.array([0.0, 0.0, 1.0])
THREADS = ((8, 1.25), (10, 1.5), (12, 1.75), (16, 2.0), (20, 2.5), (24, 3.0), (30, 3.5))


def start(name: str, rng: np.random.Generator, half_mm) -> Drawing:
    """An empty drawing; one in four shops' parts is inch."""
    return Drawing(name, Part(), np.asarray(half_mm, float), inch=bool(rng.random() < 0.25))


def keyway(d: Drawing, rng, radius: float, low: float, high: float, turn: float | None = None) -> None:
    """A closed keyway with round ends in a shaft; its width follows the shaft."""
    width = next(w for limit, w in (INCH_KEYS if d.inch else KEYS) if 2 * radius <= limit)
    depth = 0.55 * width
    wide = made(rng, width, -0.03, 0.01)
    a = float(rng.uniform(-np.pi, np.pi)) if turn is None else turn
    out = np.array([np.cos(a), np.sin(a), 0.0])
    at = out * (radius - depth) + Z * (low + high) / 2
    half = (high - low) / 2
    step = d.part.step(BOX, (half, wide / 2, 0, depth + 5, wide / 2), cut=True, at=at, axis=out, x=Z)
    d.truths.append(Truth("keyway", width, wide, True, at, out, depth, step, (WALL_Y,)))
    for side in (-1, 1):
        d.lesser.append((wide, at + Z * side * (half - wide / 2), out))


def ring_groove(d: Drawing, rng, radius: float, z: float) -> None:
    """A groove for a retaining ring: width by shaft size, floor a little under the shaft."""
    width = 1.1 if radius <= 9 else 1.3 if radius <= 15 else 1.6 if radius <= 19 else 1.85 if radius <= 25 else 2.15
    floor = made(rng, round(2 * radius * 0.95, 1))
    wide = made(rng, width, 0.0, 0.06)
    step = d.part.step(RING, (floor / 2, z, wide / 2), cut=True)
    d.truths.append(Truth("groove", width, wide, True, Z * z, Z, wide / 2, step, (END,)))
    d.lesser.append((floor, Z * z, Z))


def shaft(rng: np.random.Generator, *, keyed: float = 0.6) -> Drawing:
    """A stepped shaft: seats at both ends of a body, perhaps an end of its own with key or thread."""
    d = start("shaft", rng, (1, 1, 1))
    series = INCH_SHAFTS if d.inch else BEARING_BORES
    seat = pick(rng, series, 14, 52, (0.0, 0.018))
    other = seat[0] if rng.random() < 0.6 else pick(rng, series, 14, 52, (0.0, 0.018))[0]
    body = size(rng, max(seat[0], other) + 3, max(seat[0], other) * 1.35 + 6, d.inch)
    runs: list[tuple[str, tuple[float, float, bool], float]] = []
    little = min(seat[0], other)
    if rng.random() < 0.7 and little > 13:
        runs.append(("end", size(rng, little * 0.65, little - 1.0, d.inch, (-0.02, 0.0)), little * rng.uniform(1.2, 2)))
    runs.append(("seat", seat, seat[0] * rng.uniform(0.5, 1.1)))
    if rng.random() < 0.4:
        runs.append(("collar", size(rng, body[0] + 3, body[0] + 14, d.inch), rng.uniform(4, 12)))
    runs.append(("body", body, body[0] * rng.uniform(0.8, 2.2)))
    runs.append(("seat", (other, made(rng, other, 0.0, 0.018), True), other * rng.uniform(0.5, 1.1)))
    tail = rng.random()
    if tail < 0.35:
        major, pitch = max((t for t in THREADS if t[0] < other), default=THREADS[0])
        runs.append(("thread", (major, major - 0.1, True), float(major * rng.uniform(0.9, 1.6))))
    elif tail < 0.55:
        runs.append(("taper", (other, other - 1.0, False), other * rng.uniform(0.8, 1.4)))
    total = sum(r[2] for r in runs)
    d.half_mm = np.array([max(r[1][1] for r in runs) / 2 + 1] * 2 + [total / 2 + 1])
    z = -total / 2
    for i, (role, (nominal, real, standard), length) in enumerate(runs):
        low, high, radius = z, z + length, real / 2
        before = runs[i - 1][1][1] if i else 0.0
        after = runs[i + 1][1][1] if i + 1 < len(runs) else 0.0
        reach = (low - (1 if before > real else 0), high + (1 if after > real else 0))
        if role == "thread":
            pitch = dict(THREADS)[int(nominal)]
            step = d.part.step(THREAD, (radius, pitch, reach[0], reach[1]))
            d.truths.append(Truth("thread", nominal, real, True, Z * (low + high) / 2, Z, length / 2, step))
            d.chamfer(radius, high, pitch * 0.7, 1)
        elif role == "taper":
            d.part.step(CONE, (radius, reach[0], radius - length * rng.choice([0.05, 0.0833, 0.1]), high))
        else:
            worn = seat_wear(rng, 0.55) if role == "seat" else seat_wear(rng, 0.12) if role == "end" else None
            t = d.round("shaft", (nominal, real, standard), (0, 0, 0), Z, *reach, wear=worn)
            t.at, t.half_length_mm = Z * (low + high) / 2, length / 2
            if i == 0 or i == len(runs) - 1:
                d.chamfer(radius, low if i == 0 else high, float(rng.choice([0.5, 1.0, 1.5])), -1 if i == 0 else 1)
        for shoulder, size_there, side in ((low, before, 1), (high, after, -1)):
            if role in ("seat", "end") and size_there > real + 1.5:
                if rng.random() < 0.6:
                    fillet = min(float(rng.choice([0.5, 0.8, 1.0, 1.5])), (size_there - real) / 2.2)
                    d.part.step(FILLET, (radius, shoulder, fillet, side))
                elif rng.random() < 0.5 and length > 12:
                    d.part.step(RING, (radius - 0.4, shoulder + side * 1.25, 1.25), cut=True)
                    d.lesser.append((real - 0.8, Z * shoulder, Z))
        if role == "seat" and length > 16 and i == len(runs) - 1 and rng.random() < 0.6:
            ring_groove(d, rng, radius, high - 3.0)
        if role == "end" and length > 18 and rng.random() < keyed:
            keyway(d, rng, radius, low + 3, high - 3)
        z = high
    for end, side in ((-total / 2, 1), (total / 2, -1)):
        if rng.random() < 0.5:
            small = float(rng.choice([2.5, 3.15, 4.0]))
            axis = Z * side
            d.part.step(CONE, (small, -0.3, small * 0.5, small * 0.866), cut=True, at=Z * end, axis=axis)
            d.part.step(CONE, (small * 0.5, 0, small * 0.45, small * 1.8), cut=True, at=Z * end, axis=axis)
            d.lesser.append((small, Z * end, Z))
    return d


def bush(rng: np.random.Generator) -> Drawing:
    """A plain or flanged bush."""
    d = start("bush", rng, (1, 1, 1))
    bore = size(rng, 12, 45, d.inch, (0.0, 0.03))
    outside = size(rng, bore[0] + 5, bore[0] * 1.4 + 8, d.inch, (0.01, 0.04))
    length = float(rng.uniform(0.8, 1.6)) * bore[0]
    flange = rng.random() < 0.6
    thick = float(rng.uniform(3, 8))
    d.round("shaft", outside, (0, 0, 0), Z, -length / 2, length / 2, wear=seat_wear(rng, 0.1))
    widest = outside[1]
    if flange:
        rim = size(rng, outside[0] + 6, outside[0] + 22, d.inch)
        d.round("shaft", rim, (0, 0, 0), Z, -length / 2, -length / 2 + thick)
        d.truths[0].at, d.truths[0].half_length_mm = Z * thick / 2, (length - thick) / 2
        widest = rim[1]
    d.chamfer(outside[1] / 2, length / 2, 1.0, 1)
    d.round("bore", bore, (0, 0, 0), Z, -length, length, wear=seat_wear(rng, 0.5)).half_length_mm = length / 2
    if rng.random() < 0.4:
        groove = bore[1] + float(rng.uniform(1.5, 3))
        d.part.step(0, (groove / 2, -2.0, 2.0), cut=True)
        d.lesser.append((groove, Z * 0, Z))
    d.part.step(CONE, (bore[1] / 2 + 1, length / 2 + 0.2, bore[1] / 2 - 0.3, length / 2 - 1.1), cut=True)
    d.half_mm = np.array([widest / 2 + 1] * 2 + [length / 2 + 1])
    return d


def pulley(rng: np.random.Generator) -> Drawing:
    """A pulley with vee grooves, a hub, a keyed bore."""
    d = start("pulley", rng, (1, 1, 1))
    series = INCH_SHAFTS if d.inch else BEARING_BORES + PREFERRED_BORES
    bore = pick(rng, series, 15, 40, (0.0, 0.025))
    rim = size(rng, bore[0] * 2.4, bore[0] * 3.6 + 20, d.inch, (-0.04, 0.04))
    grooves, pitch = int(rng.integers(1, 4)), 15.0
    width = 10 + grooves * pitch
    d.round("shaft", rim, (0, 0, 0), Z, -width / 2, width / 2)
    hub = size(rng, bore[0] * 1.6, bore[0] * 1.9, d.inch)
    out = float(rng.uniform(8, 20))
    d.round("shaft", hub, (0, 0, 0), Z, 0, width / 2 + out)
    d.truths[-1].at, d.truths[-1].half_length_mm = Z * (width / 2 + out / 2), out / 2
    for g in range(grooves):
        z = (g - (grooves - 1) / 2) * pitch
        d.part.step(VEE, (rim[1] / 2 - 11, z, 3.2, np.radians(float(rng.choice([17, 19])))), cut=True)
        d.lesser.append((rim[1] - 22, Z * z, Z))
    deep = width / 2 + out
    d.round("bore", bore, (0, 0, 0), Z, -2 * deep, 2 * deep, wear=seat_wear(rng, 0.3))
    d.truths[-1].at, d.truths[-1].half_length_mm = Z * out / 2, (width + out) / 2
    if rng.random() < 0.8:
        hub_key(d, rng, bore[1] / 2, -width / 2, deep)
    d.half_mm = np.array([rim[1] / 2 + 1] * 2 + [deep + 1])
    return d


PREFERRED_BORES = (16, 18, 19, 22, 24, 28, 32, 38)


def hub_key(d: Drawing, rng, radius: float, low: float, high: float) -> None:
    """A keyway broached through a hub."""
    width = next(w for limit, w in (INCH_KEYS if d.inch else KEYS) if 2 * radius <= limit)
    wide = made(rng, width, -0.02, 0.03)
    a = float(rng.uniform(-np.pi, np.pi))
    out = np.array([np.cos(a), np.sin(a), 0.0])
    top = radius + 0.45 * width
    step = d.part.step(BOX, (2 * (high - low), wide / 2, 0, top), cut=True, axis=out, x=Z)
    at = out * (radius + top) / 2 + Z * (low + high) / 2
    d.truths.append(Truth("keyway", width, wide, True, at, out, 0.25 * width, step, (WALL_Y,)))


def roller(rng: np.random.Generator) -> Drawing:
    """A roller: a long body, journals at its ends, perhaps a bore in one of them."""
    d = start("roller", rng, (1, 1, 1))
    body = size(rng, 38, 75, d.inch)
    series = INCH_SHAFTS if d.inch else BEARING_BORES
    journal = pick(rng, series, body[0] * 0.35, body[0] * 0.7, (0.0, 0.018))
    long, out = body[0] * float(rng.uniform(1.4, 2.4)), journal[0] * float(rng.uniform(0.6, 1.2))
    d.round("shaft", body, (0, 0, 0), Z, -long / 2, long / 2, wear=seat_wear(rng, 0.25))
    for side in (-1, 1):
        real = made(rng, journal[0], 0.0, 0.018)
        low, high = (long / 2 - 1, long / 2 + out) if side > 0 else (-long / 2 - out, -long / 2 + 1)
        t = d.round("shaft", (journal[0], real, True), (0, 0, 0), Z, low, high, wear=seat_wear(rng, 0.5))
        t.at, t.half_length_mm = Z * side * (long / 2 + out / 2), out / 2
        d.part.step(FILLET, (real / 2, side * long / 2, 1.0, side))
        d.chamfer(real / 2, side * (long / 2 + out), 1.0, side)
        if rng.random() < 0.5:
            hole = pick(rng, (*CLEARANCE, 5, 6.8, 8.5, 10.2), 4, journal[0] * 0.5, (0.0, 0.06))
            deep = hole[0] * float(rng.uniform(1.5, 3))
            d.round("bore", hole, Z * side * (long / 2 + out), -Z * side, -3, deep)
            d.truths[-1].at, d.truths[-1].half_length_mm = Z * side * (long / 2 + out - deep / 2), deep / 2
    d.half_mm = np.array([body[1] / 2 + 1] * 2 + [long / 2 + out + 1])
    return d


def coupling(rng: np.random.Generator) -> Drawing:
    """Half a coupling: flange with a bolt circle and a spigot or recess, hub, keyed bore."""
    d = start("coupling", rng, (1, 1, 1))
    bore = pick(rng, INCH_SHAFTS if d.inch else BEARING_BORES + PREFERRED_BORES, 18, 42, (0.0, 0.025))
    hub = size(rng, bore[0] * 1.55, bore[0] * 1.9, d.inch)
    hole = pick(rng, (6.35, 7.9375, 9.525, 11.1125) if d.inch else CLEARANCE, 5, 12, (0.0, 0.06))
    flange = size(rng, hub[0] + 4 * hole[0], hub[0] + 5 * hole[0] + 12, d.inch)
    thick, out = float(rng.uniform(8, 16)), float(rng.uniform(0.7, 1.2)) * bore[0]
    d.round("shaft", flange, (0, 0, 0), Z, 0, thick)
    d.round("shaft", hub, (0, 0, 0), Z, 1, thick + out)
    d.truths[-1].at, d.truths[-1].half_length_mm = Z * (thick + out / 2), out / 2
    d.chamfer(hub[1] / 2, thick + out, 1.0, 1)
    if rng.random() < 0.6:
        recess = pick(rng, BEARING_OUTSIDES, bore[0] + 6, hub[0] + 2, (0.0, 0.03))
        d.round("bore", recess, (0, 0, 0), Z, -4, 4)
        d.truths[-1].at, d.truths[-1].half_length_mm = Z * 2.0, 2.0
    d.round("bore", bore, (0, 0, 0), Z, -60, 160, wear=seat_wear(rng, 0.3))
    d.truths[-1].at, d.truths[-1].half_length_mm = Z * (thick + out + 4) / 2, (thick + out - 4) / 2
    if rng.random() < 0.7:
        hub_key(d, rng, bore[1] / 2, 0, thick + out)
    circle = round((flange[0] + hub[0]) / 2, 0)
    bolt_circle(d, rng, int(rng.choice([3, 4, 4, 6, 6, 8])), circle, hole, thick)
    d.half_mm = np.array([flange[1] / 2 + 1] * 2 + [thick + out + 1])
    return d


def bolt_circle(d: Drawing, rng, count: int, circle: float, hole, thick: float) -> None:
    """Equal holes on a circle about z, from z = 0 to `thick`."""
    turn = float(rng.uniform(0, 2 * np.pi))
    for i in range(count):
        a = turn + 2 * np.pi * i / count
        at = np.array([np.cos(a), np.sin(a), 0]) * circle / 2
        d.round("bore", (hole[0], made(rng, hole[1], -0.01, 0.02), hole[2]), at, Z, -3, thick + 3)
        d.truths[-1].at, d.truths[-1].half_length_mm = at + Z * thick / 2, thick / 2
    d.patterns.append((count, circle, Z))


def washer(rng: np.random.Generator) -> Drawing:
    """A thick washer or spacer ring."""
    d = start("washer", rng, (1, 1, 1))
    bore = size(rng, 12, 50, d.inch, (0.0, 0.06))
    outside = size(rng, bore[0] * 1.4 + 4, bore[0] * 1.9 + 10, d.inch)
    thick = float(rng.uniform(3, 12))
    d.round("shaft", outside, (0, 0, 0), Z, -thick / 2, thick / 2)
    d.round("bore", bore, (0, 0, 0), Z, -thick, thick).half_length_mm = thick / 2
    if rng.random() < 0.4:
        d.chamfer(outside[1] / 2, thick / 2, 0.8, 1)
    d.half_mm = np.array([outside[1] / 2 + 1] * 2 + [thick / 2 + 1])
    return d


def turned(rng: np.random.Generator) -> Drawing:
    """Any of them, shafts most often."""
    makers = (shaft, bush, pulley, roller, coupling, washer)
    return makers[rng.choice(6, p=[0.44, 0.13, 0.11, 0.12, 0.14, 0.06])](rng)
