"""Milled cases for tests/scoring/routes.py: an estimate from figures of geometry, and the whole path as its referee."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import shapely
from shapely.geometry import Point, Polygon, box
from shapely.geometry.polygon import orient

from steadyrest.program.reading.dialect import Dialect
from steadyrest.program.reading.read import read
from steadyrest.program.timing.machine_time import MachineTiming, run_time
from steadyrest.shop.figure import Reason
from steadyrest.shop.floor import MillLimits, PowerCurve, Shop, Tool
from steadyrest.shop.shop_file import read_shop
from steadyrest.stations.mill import times
from steadyrest.stations.mill.removal.distance import distance_sq, within
from steadyrest.stations.mill.removal.outline import admits, outline_of
from steadyrest.stations.mill.spindles import Place, milling
from steadyrest.stations.mill.taking import Layer, Take
from steadyrest.stations.mill.times.drilling import drill as drill_one
from steadyrest.stations.mill.times.engagement import clearing, engaged
from steadyrest.stations.mill.times.motion import drive_of
from steadyrest.stations.mill.times.roughing import layer_spent
from steadyrest.tables.practice import rule
from tests.oracles import mill_paths
from tests.oracles.mill_paths import Cutting, polygons
from tests.scoring.judged import Case

HOME = Path(__file__).resolve().parent.parent.parent
FEW = math.radians(12.0)  # a bend of the path below this is no corner


@cache
def shop() -> Shop:
    return read_shop((HOME / "src/steadyrest/demo/shop.toml").read_text(encoding="utf-8"), "shop.toml")


# ---- machines and tools ------------------------------------------------------------------------------------------


def place_of(luck: random.Random, *, corner_mm: float | None = None) -> Place:
    """A milling machine somewhere between a knee mill and a quick centre, with power enough not to bind."""
    machine = shop().machine("mill")
    assert isinstance(machine.limits, MillLimits)
    rapid = luck.choice([4_000.0, 10_000.0, 24_000.0])
    limits = replace(
        machine.limits, max_rpm=luck.choice([4_000.0, 8_000.0, 12_000.0]), power=PowerCurve(((0.0, 3e4), (2e4, 3e4))),
        max_torque_nm=500.0, max_force_n=2e4, vise_grip_n=2e5, max_feed_mm_min=luck.choice([2_000.0, 6_000.0]),
        min_rpm=20.0, rapid_mm_min=(rapid, rapid, rapid), accel_mm_s2=luck.choice([350.0, 700.0, 1_500.0, 4_000.0]),
        corner_mm=corner_mm,
    )  # fmt: skip
    metal = shop().material(luck.choice(["C45", "42CrMo4", "1.4301", "6082-T6", "GG25", "CuZn39Pb3"]))
    return Place(replace(machine, limits=limits), limits, metal)


def tool_of(luck: random.Random) -> Tool:
    diameter = luck.choice([4.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0])
    teeth = luck.choice([2, 3, 4])
    return Tool(
        1, "end mill", "rough", diameter, 2.5 * diameter, "carbide", teeth, 0.0, math.pi / 2, 2.0 * diameter, 0.0, 2e4,
        3600.0, 0.0, False,
    )  # fmt: skip


def driven_s(program: str, place: Place) -> float:
    """The referee's time: every block by program/timing on this machine; the tool change left out."""
    zeros = {f"G{number}": (0.0, 0.0, 0.0) for number in range(54, 60)}
    run = read(program.encode(), Dialect(offsets_mm=zeros, start_mm=(0.0, 0.0, 2.0), home_mm=(0.0, 0.0, 2.0)))
    assert not run.odds, run.odds[:3]
    limits = place.limits
    return run_time(run, MachineTiming(limits.rapid_mm_min, limits.accel_mm_s2, limits.corner_mm)).total_s


# ---- what the estimate is told -----------------------------------------------------------------------------------


def bends(ring: Sequence[tuple[float, float]]) -> list[float]:
    """How far a closed ring turns at each of its points, left positive."""
    points = list(ring)[:-1]
    found: list[float] = []
    for i, b in enumerate(points):
        a, c = points[i - 1], points[(i + 1) % len(points)]
        u, v = (b[0] - a[0], b[1] - a[1]), (c[0] - b[0], c[1] - b[1])
        found.append(math.atan2(u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1]))
    return found


def layer_of(outline: Polygon, *, diameter_mm: float, depth_mm: float, counted: bool = True) -> Layer:
    """The figures of what a tool clears inside an outline."""
    radius = diameter_mm / 2
    room = outline.buffer(-radius, quad_segs=24)
    centres = polygons(room)
    cleared = [one.buffer(radius, quad_segs=24) for one in centres]
    area, around = sum(one.area for one in cleared), sum(one.length for one in cleared)
    inner = outer = 0
    for one in centres:
        turned = orient(one)
        for ring in (turned.exterior, *turned.interiors):
            inner += sum(bend > FEW for bend in bends([(x, y) for x, y in ring.coords]))
    turned = orient(outline)
    for ring in (turned.exterior, *turned.interiors):
        for point, bend in zip(list(ring.coords)[:-1], bends([(x, y) for x, y in ring.coords]), strict=True):
            outer += bend < -FEW and room.distance(Point(point)) < 1.001 * radius
    islands = sum(len(one.interiors) for one in cleared)

    def still(r: float) -> bool:
        return outline.buffer(-r, quad_segs=8).buffer(r, quad_segs=8).area >= 0.95 * area

    low = radius
    while still(1.3 * low) and low < 100 * diameter_mm:
        low *= 1.3
    high = 1.3 * low
    for _ in range(8):
        middle = (low + high) / 2
        low, high = (middle, high) if still(middle) else (low, middle)
    known = (inner, outer, islands) if counted else (0, None, islands)
    return Layer(depth_mm, area, around, 0.0, len(cleared), 2 * low, 0.0, around, *known)


def gridded_layer(outline: Polygon, *, diameter_mm: float, depth_mm: float) -> Layer:
    """The figures as a plan has them: from cells, by the product's own distances and outlines."""
    low_x, low_y, high_x, high_y = outline.bounds
    pitch = max(max(high_x - low_x, high_y - low_y) / 200.0, 0.25)
    rim = math.ceil(diameter_mm / pitch) + 2
    x = low_x + (np.arange(-rim, math.ceil((high_x - low_x) / pitch) + rim) + 0.5) * pitch
    y = low_y + (np.arange(-rim, math.ceil((high_y - low_y) / pitch) + rim) + 0.5) * pitch
    standing = ~shapely.contains_xy(outline, *np.meshgrid(x, y))
    far_sq = distance_sq(standing)
    centres = far_sq >= (diameter_mm / 2 / pitch) ** 2
    cleared = within(centres, (diameter_mm / 2 / pitch) ** 2) & ~standing
    shape = outline_of(cleared, standing, ~standing & ~cleared)
    across = admits(cleared, far_sq, 0, least=diameter_mm / 2 / pitch)
    regions = max(shape.regions, 1)
    return Layer(
        depth_mm, float(cleared.sum()) * pitch**2, shape.wall * pitch, shape.open_share, regions,
        max(2.0 * across * pitch - pitch, diameter_mm), 0.0, shape.around * pitch,
        max(4 * regions + shape.outer - 4 * shape.islands, 0), shape.outer, shape.islands,
    )  # fmt: skip


# ---- families ----------------------------------------------------------------------------------------------------


def pocket(luck: random.Random, place: Place, tool: Tool, *, counted: bool = True, gridded: bool = False) -> Case:
    """A pocket cleared by one depth."""
    while True:
        size = tool.diameter_mm * math.exp(luck.uniform(math.log(2.5), math.log(20)))
        shape = mill_paths.random_shape(luck, size)
        if polygons(shape.outline.buffer(-tool.diameter_mm / 2)):
            break
    run = clearing(place, tool)
    assert not isinstance(run, Reason)
    depth = luck.uniform(0.3, 1.0) * run.depth.value
    layer = layer_of(shape.outline, diameter_mm=tool.diameter_mm, depth_mm=depth, counted=counted)
    if gridded:
        layer = gridded_layer(shape.outline, diameter_mm=tool.diameter_mm, depth_mm=depth)
    cut = times.rough(place, Take(tool, (layer,), 0.0, 0.0, depth))
    how = Cutting(
        tool.diameter_mm, run.step_mm, depth, run.feed_mm_min, run.feed_mm_min * rule("ramp_feed_share"),
        math.radians(rule("ramp_deg")), rule("approach_mm"), run.feed_mm_min * run.opening,
    )  # fmt: skip
    return Case(
        "pocket",
        shape.kind,
        cut.cut_s + cut.travel_s,
        driven_s(mill_paths.pocket_program(shape, how), place),
        cut.spread,
    )


def wall(luck: random.Random, place: Place, tool: Tool) -> Case:
    """The walls of a pocket, once round."""
    while True:
        shape = mill_paths.random_shape(luck, tool.diameter_mm * luck.uniform(4, 20))
        if len(polygons(shape.outline.buffer(-tool.diameter_mm / 2))) == 1:
            break
    depth = luck.uniform(0.5, 1.5) * tool.diameter_mm
    layer = layer_of(shape.outline, diameter_mm=tool.diameter_mm, depth_mm=depth)
    cut = times.finish_walls(place, Take(tool, (layer,), 0.0, 0.0, depth), limits_mm=10.0)
    run = milling(place, tool)
    assert not isinstance(run, Reason)
    feed = run.feed_mm_min.value
    how = Cutting(tool.diameter_mm, 1.0, depth, feed, feed, 0.05, rule("approach_mm"), feed)
    return Case(
        "walls", shape.kind, cut.cut_s + cut.travel_s, driven_s(mill_paths.wall_program(shape, how), place), cut.spread
    )


def ledge(luck: random.Random, place: Place, tool: Tool) -> Case:
    """A ledge open to the air: along a straight wall, in a corner, or round a standing block."""
    d = tool.diameter_mm
    wide, high = d * math.exp(luck.uniform(0.0, 2.3)), d * luck.uniform(3, 20)
    kind = luck.choice(["straight", "corner", "round"])
    other, far = d * luck.uniform(3, 20), 1e3 * d
    if kind == "straight":
        wide, high = min(wide, high), max(wide, high)
        area, standing, wall_mm = box(0, 0, high, wide), box(-far, -far, far, 0), high
    elif kind == "corner":
        high, other = max(high, wide), max(other, wide)
        area = box(0, 0, high, wide).union(box(0, 0, wide, other))
        standing = box(-far, -far, far, far).difference(box(0, 0, far, far))
        wall_mm = high + other
    else:
        standing = box(0, 0, high, other)
        area = standing.buffer(wide, join_style="mitre").difference(standing)
        wall_mm = standing.length
    assert isinstance(standing, Polygon)
    assert isinstance(area, Polygon)
    around = area.length
    run = engaged(place, tool, 0.5)
    assert not isinstance(run, Reason)
    depth = luck.uniform(0.3, 1.0) * run.depth.value
    islands = len(area.interiors)
    layer = Layer(depth, area.area, wall_mm, 1 - wall_mm / around, 1, min(wide, high), 0.0, around, 0, None, islands)
    best = layer_spent(drive_of(place.limits), tool, layer, run, closed=False)
    how = Cutting(d, run.step_mm, depth, run.feed_mm_min, run.feed_mm_min, 0.05, rule("approach_mm"), run.feed_mm_min)
    program = mill_paths.ledge_program(area, standing, how, rule("approach_mm"))
    return Case("ledges", kind, best.cut_s + best.travel_s, driven_s(program, place), rule("spread_rows"))


def facing(luck: random.Random, place: Place, tool: Tool) -> Case:
    """A face in rows, one pass."""
    length, width = luck.uniform(20, 300), luck.uniform(10, 200)
    length, width = max(length, width), min(length, width)
    machine = replace(place.machine, tools=(tool,))
    there = Place(machine, place.limits, place.material)
    depth = 0.9 * rule("face_finish_mm")
    cut = times.face(there, length_mm=length, width_mm=width, depth_mm=depth)
    share = rule("face_step_share")
    rows = max(math.ceil(width / (share * tool.diameter_mm) - 1e-9), 1)
    run = engaged(
        there,
        tool,
        min(width, share * tool.diameter_mm) / tool.diameter_mm if rows == 1 else width / rows / tool.diameter_mm,
    )
    assert not isinstance(run, Reason)
    feed = run.feed_mm_min
    how = Cutting(tool.diameter_mm, share * tool.diameter_mm, depth, feed, feed, 0.05, rule("approach_mm"), feed)
    program = mill_paths.face_program(length, width, how, rule("approach_mm"))
    return Case("faces", "rows", cut.cut_s + cut.travel_s, driven_s(program, place), cut.spread)


def holed(luck: random.Random, place: Place, tool: Tool) -> Case:
    """A drilled hole in depth cycles."""
    drill = replace(
        tool, kind="drill", diameter_mm=luck.uniform(2.0, 20.0), made_of=luck.choice(["hss", "carbide"]),
        length_mm=300.0, max_depth_mm=300.0,
    )  # fmt: skip
    d = drill.diameter_mm
    depth, through = d * luck.uniform(0.5, 9.0), luck.random() < 0.5
    cut = drill_one(place, drill, depth_mm=depth, through=through)
    feed = (
        next(f for f in cut.figures if f.unit == "mm/rev").value * next(f for f in cut.figures if f.unit == "rpm").value
    )
    whole = depth + d / (2 * math.tan(math.radians(rule("point_deg") / 2))) + (rule("through_mm") if through else 0.0)
    program = mill_paths.hole_program(
        whole, rule("peck_diameters") * d, rule("peck_next_diameters") * d, feed, rule("approach_mm")
    )
    return Case(
        "holes", "through" if through else "blind", cut.cut_s + cut.travel_s, driven_s(program, place), cut.spread
    )
