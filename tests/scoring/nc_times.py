"""Milling times of real programs: each tool's cutting from its own moves, against ours for what it removed.

    python -m tests.scoring.nc_times DIR

DIR holds the programs and measured_times.csv. The machine's constants are fitted as in tests/scoring/timed.py (from
box_op1 and plate_05). The removal of each tool is found by pressing it into a field of heights along its moves; layers
of the program's own depth of cut are read from that field and given to stations/mill/times with the program's own feed.
Nobody gave the blanks: the field begins as a box as wide as the tools' middles go, as high as a flat tool first cuts.
What the estimate is asked: clear this, once along its walls, once over its floors.
"""

from __future__ import annotations

import argparse
import math
import random
from dataclasses import dataclass, replace
from pathlib import Path

import numba as nb
import numpy as np
import numpy.typing as npt
from scipy import ndimage

from steadyrest.program.run import Motion, Moves, Run
from steadyrest.program.timing.fit_time import fit_time
from steadyrest.program.timing.machine_time import MachineTiming, cuts, run_time
from steadyrest.shop.figure import Figure, because
from steadyrest.shop.floor import Tool
from steadyrest.stations.mill.removal.outline import outline_of
from steadyrest.stations.mill.taking import Layer
from steadyrest.stations.mill.times.engagement import Engaged
from steadyrest.stations.mill.times.finishing import wall_s
from steadyrest.stations.mill.times.motion import Drive
from steadyrest.stations.mill.times.roughing import is_open, layer_spent
from steadyrest.stations.mill.times.rows import rectangle, rows_over
from steadyrest.tables.practice import rule
from tests.scoring.mill_times import tool_of
from tests.scoring.timed import medians, run_of

IN = 25.4
CELL_MM = 0.5
LEVEL = 0.02  # rise over length below which a move is level
# Flat-ended tools by program, diameters in inches as the programs' own comments say. Drills and chamfers are left out.
TOOLS: dict[str, dict[int, float]] = {
    "box_op1.nc": {1: 0.75, 2: 0.5, 5: 6.0 / IN},
    "plate_03.nc": {15: 3.0, 3: 0.5, 4: 0.25, 5: 0.125, 1: 0.093},
    "block904_op1.nc": {1: 3.0, 2: 0.5, 3: 0.25, 4: 0.25},
}


@dataclass
class Asked:
    """What one tool removed, and how it went about it."""

    tool: Tool
    layers: list[Layer]
    floor_mm2: float
    volume_mm3: float
    feed_mm_min: float
    depth_mm: float
    step_mm: float


def points_of(moves: Moves, k: int, step_mm: float) -> npt.NDArray[np.float64]:
    """Points along a move, close enough to press a tool in at each."""
    start, end = moves.start_mm[k], moves.end_mm[k]
    n = max(math.ceil(moves.length_mm[k] / step_mm), 1)
    share = np.linspace(0, 1, n + 1)[:, None]
    straight = start + (end - start) * share
    if moves.motion[k] <= Motion.LINE:
        return straight
    centre = moves.centre_mm[k, :2]
    a, b = start[:2] - centre, end[:2] - centre
    turn = math.atan2(a[0] * b[1] - a[1] * b[0], a @ b) % (2 * math.pi) or 2 * math.pi
    if moves.motion[k] == Motion.ARC_CW:
        turn = turn - 2 * math.pi if turn < 2 * math.pi else -turn
    angle = math.atan2(a[1], a[0]) + turn * share[:, 0]
    radius = math.hypot(*a)
    straight[:, 0], straight[:, 1] = centre[0] + radius * np.cos(angle), centre[1] + radius * np.sin(angle)
    return straight


@nb.njit(cache=True)
def press(heights: np.ndarray, low: np.ndarray, points: np.ndarray, radius: float, cell: float) -> tuple[float, float]:
    """Lower the field under a flat tool at each point; the volume removed, and the deepest bite."""
    removed, bite = 0.0, 0.0
    ny, nx = heights.shape
    for p in range(len(points)):
        x, y, z = points[p]
        r = radius / cell
        cx, cy = (x - low[0]) / cell, (y - low[1]) / cell
        for j in range(max(int(cy - r), 0), min(int(cy + r) + 1, ny)):
            for i in range(max(int(cx - r), 0), min(int(cx + r) + 1, nx)):
                if (i + 0.5 - cx) ** 2 + (j + 0.5 - cy) ** 2 <= r * r and heights[j, i] > z:
                    bite = max(bite, heights[j, i] - z)
                    removed += (heights[j, i] - z) * cell * cell
                    heights[j, i] = z
    return removed, bite


def asked_of(run: Run, sizes: dict[int, float]) -> list[Asked]:
    """What each flat tool removed from the box that nobody described."""
    moves = run.moves
    feeding = cuts(moves)
    mine = feeding & np.isin(moves.tool, [n for n, size in sizes.items() if size < 2.0])
    facing = feeding & np.isin(moves.tool, list(sizes))
    low, high = moves.end_mm[mine].min(axis=0), moves.end_mm[mine].max(axis=0)
    level = mine & (np.abs(moves.end_mm[:, 2] - moves.start_mm[:, 2]) < LEVEL * moves.length_mm)
    top = float(np.quantile(moves.end_mm[level, 2], 0.98)) + 1.0
    if (facing & ~mine).any():
        top = max(float(moves.end_mm[facing & ~mine, 2].min()) + 1.0, top)
    shape = np.ceil((high[:2] - low[:2]) / CELL_MM).astype(int)[::-1] + 1
    heights = np.full(shape, top)
    found: list[Asked] = []
    for number in dict.fromkeys(moves.tool[facing].tolist()):
        before = heights.copy()
        diameter = sizes[number] * IN
        whose = np.flatnonzero(feeding & (moves.tool == number))
        bites: list[float] = []
        volumes: list[float] = []
        lengths: list[float] = []
        feeds: list[float] = []
        for k in whose:
            removed, bite = press(heights, low[:2], points_of(moves, int(k), CELL_MM), diameter / 2, CELL_MM)
            if removed > 1e-6:
                bites.append(bite)
                volumes.append(removed)
                lengths.append(float(moves.length_mm[k]))
                feeds.append(float(moves.feed_mm_min[k]))
        if not bites:
            continue
        weights = np.array(lengths)
        depth = weighted_median(np.array(bites), np.array(volumes))
        feed = float(weights.sum() / (weights / np.array(feeds)).sum())
        tool = replace(tool_of_size(number, diameter), kind="face mill" if diameter > 50 else "end mill")
        layers, floor = layers_of(before, heights, diameter, depth)
        volume = float((before - heights).sum() * CELL_MM**2)
        step = min(volume / (depth * weights.sum()), 0.9 * diameter)
        found.append(Asked(tool, layers, floor, volume, feed, depth, step))
    return found


def weighted_median(values: npt.NDArray[np.float64], weights: npt.NDArray[np.float64]) -> float:
    order = np.argsort(values)
    share = np.cumsum(weights[order]) / weights.sum()
    return float(values[order][np.searchsorted(share, 0.5)])


def tool_of_size(number: int, diameter: float) -> Tool:
    return replace(tool_of(random.Random(0)), number=number, diameter_mm=diameter, max_depth_mm=1e3, length_mm=1e3)


def layers_of(
    before: npt.NDArray[np.float64], after: npt.NDArray[np.float64], diameter: float, depth: float
) -> tuple[list[Layer], float]:
    """The slabs of the program's own depth, from the top down, and the floor that they leave."""
    gone = before - after > 0.02
    if not gone.any():
        return [], 0.0
    top, bottom = float(before[gone].max()), float(after[gone].min())
    count = max(math.ceil((top - bottom) / depth - 1e-6), 1)
    found: list[Layer] = []
    for k in range(count):
        high, low = top - k * (top - bottom) / count, top - (k + 1) * (top - bottom) / count
        middle = (high + low) / 2
        cleared = without_specks((before > middle) & (after <= middle), diameter)
        if cleared.sum() * CELL_MM**2 < 0.02 * diameter**2:
            continue
        measured = outline_of(cleared, after > middle, np.zeros_like(cleared))
        area = float(cleared.sum()) * CELL_MM**2
        inside = ndimage.distance_transform_edt(np.pad(cleared, 1)) * CELL_MM
        narrow = 2.0 * float(np.quantile(inside[inside > 0], 0.95))
        found.append(
            Layer(
                high - low, area, measured.wall * CELL_MM, measured.open_share, measured.regions,
                max(narrow, diameter), top - high, measured.around * CELL_MM, 0, None, measured.islands,
            )
        )  # fmt: skip
    floors = [float((gone & (np.abs(after - z) < 0.05)).sum()) for z in np.unique(np.round(after[gone], 2))]
    return found, max(floors, default=0.0) * CELL_MM**2


def without_specks(cleared: npt.NDArray[np.bool_], diameter: float) -> npt.NDArray[np.bool_]:
    """Pieces smaller than a tenth of the tool are the field's grain: slivers that two paths left between cells."""
    labels, count = ndimage.label(cleared)
    sizes = ndimage.sum_labels(cleared, labels, range(1, count + 1)) if count else np.zeros(0)
    small = np.flatnonzero(sizes * CELL_MM**2 < 0.1 * math.pi * diameter**2 / 4) + 1
    return cleared & ~np.isin(labels, small)


def merged(layers: list[Layer]) -> list[Layer]:
    """Layers that look alike as one, so that a region is cut to its depth before the next."""
    found: list[Layer] = []
    for layer in layers:
        if found and found[-1].regions == layer.regions and abs(found[-1].area_mm2 / layer.area_mm2 - 1) < 0.05:
            found[-1] = replace(found[-1], depth_mm=found[-1].depth_mm + layer.depth_mm)
        else:
            found.append(layer)
    return found


def ours_s(asked: Asked, drive: Drive, step_mm: float) -> tuple[float, float]:
    """(clearing, walls and floors) of what was removed, at the program's feed, s."""
    d = asked.tool.diameter_mm
    why = (because("milling.depth_flutes", tool=0.0),)
    run = Engaged(
        step_mm,
        Figure(asked.depth_mm, "mm", why),
        Figure(asked.feed_mm_min, "mm/min", why),
        Figure(1.0, "rpm", why),
        0.0,
    )
    rough = walls = 0.0
    for layer in merged(asked.layers):
        rough += layer_spent(drive, asked.tool, layer, run, closed=not is_open(layer, d)).cut_s
    if asked.layers:
        deepest = max(asked.layers, key=lambda layer: layer.wall_mm)
        total = sum(layer.depth_mm for layer in asked.layers)
        heights = math.ceil(total / (rule("wall_depth_share") * d))
        if deepest.wall_mm > 0:
            walls += heights * wall_s(drive, deepest, d, asked.feed_mm_min)[0]
    if asked.floor_mm2 > 0 and asked.tool.kind != "face mill":
        length, width = rectangle(asked.floor_mm2, asked.layers[-1].around_mm if asked.layers else 0.0)
        rows = rows_over(length, width, diameter_mm=d, step_mm=rule("face_step_share") * d, over_mm=0.0, walled=True)
        walls += rows.time_s(drive, asked.feed_mm_min)
    return rough, walls


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    asked = parser.parse_args()
    times = medians(asked.folder)
    believed = MachineTiming(
        (20_000.0, 20_000.0, 20_000.0), 1500.0, rule("corner_mm"), 8.0, rule("spindle_s_per_1000_rpm") / 1000
    )
    fitted = fit_time([(run_of(asked.folder / name), times[name]) for name in ("box_op1.nc", "plate_05.nc")], believed)
    timing = fitted.timing
    drive = Drive(timing.accel_mm_s2, (20_000.0, 20_000.0), timing.corner_mm)
    heads = (
        "program", "tool", "removed cm3", "depth mm", "feed mm/min", "program cuts", "ours: clearing",
        "ours: walls and floors too", "over the program's", "its mean step", "ours at that step", "over the program's",
    )  # fmt: skip
    print("| " + " | ".join(heads) + " |")
    print("|" + " --- |" * len(heads))
    for name, sizes in TOOLS.items():
        run = run_of(asked.folder / name)
        spent = {tool.number: tool.cut_s for tool in run_time(run, timing).tools}
        for one in asked_of(run, sizes):
            rough, rest = ours_s(one, drive, rule("clear_step_share") * one.tool.diameter_mm)
            alike = sum(ours_s(one, drive, one.step_mm))
            own = spent[one.tool.number]
            print(
                f"| {name} | T{one.tool.number} {one.tool.diameter_mm:.1f} mm | {one.volume_mm3 / 1000:.1f} |"
                f" {one.depth_mm:.2f} | {one.feed_mm_min:.0f} | {own:.0f} s | {rough:.0f} s | {rough + rest:.0f} s |"
                f" {(rough + rest) / own:.2f} | {100 * one.step_mm / one.tool.diameter_mm:.0f} % | {alike:.0f} s |"
                f" {alike / own:.2f} |"
            )


if __name__ == "__main__":
    main()
