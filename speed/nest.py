"""Nests: how many of the cases that surely can be nested are, and how dense a strip gets.

Cases by cutting: a plate with a hole is cut into pieces by straight and stepped cuts as wide as the gap, some are
taken away, the rest turned and mixed: what is left surely fits. `python speed/nest.py cut SECONDS CASES SHARE_KEPT`.
Strips: public instances in the open JSON form of nesting research, `python speed/nest.py strip SECONDS FILE...`: all
parts as far to one end as they go; density is their area over that of the strip up to there. Seconds are of this
process, not of the wall; the judge (exact polygons) has its say in every line.
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from _shared import peak_mb
from shapely.affinity import rotate, translate
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from steadyrest.stock.nesting.judged import faults
from steadyrest.stock.nesting.pieces import polygons
from steadyrest.stock.nesting.plan import make_ready, nest
from steadyrest.stock.nesting.wanted import NestPart, NestWanted, Ring

QUARTERS = (0.0, 90.0, 180.0, 270.0)
GAP, MARGIN, CLEAR = 4.0, 6.0, 5.0
SPARE = 0.01
ENDLESS = 10**6


def within(seconds: float) -> Callable[[], float]:
    begun = time.process_time()
    return lambda: seconds - (time.process_time() - begun)


def ring(shape: Polygon) -> Ring:
    return tuple((float(x), float(y)) for x, y in list(shape.exterior.coords)[:-1])


def by_cutting(seed: int, *, kept: float, pieces: int = 24) -> NestWanted:
    """A case that surely can be nested."""
    luck = np.random.default_rng(seed)
    wide, high = luck.uniform(700, 1200), luck.uniform(450, 800)
    plate = box(0, 0, wide, high).difference(box(wide * luck.uniform(0.55, 0.8), high * 0.6, wide + 1, high + 1))
    x, y, a, b = luck.uniform(150, wide / 2), luck.uniform(100, high / 2), *luck.uniform(30, 90, 2)
    hole = rotate(box(x, y, x + a, y + b), luck.uniform(0, 90))
    shapes: list[BaseGeometry] = [plate.buffer(-MARGIN - SPARE).difference(hole.buffer(CLEAR + SPARE, join_style=2))]
    tries = 0
    while len(shapes) < pieces and tries < 1000:
        tries += 1
        shapes.sort(key=lambda shape: -shape.area)
        x0, y0, x1, y1 = shapes[0].bounds
        step = luck.uniform(0.1, 0.3) * min(x1 - x0, y1 - y0) * (luck.random() < 0.5)
        way = LineString([(-4000, 0), (-step, 0), (-step, step), (step, step), (step, 0), (4000, 0)])
        turn = luck.uniform(-20, 20) + (90 if x1 - x0 > y1 - y0 else 0)
        way = translate(rotate(way, turn, origin=(0, 0)), luck.uniform(x0, x1), luck.uniform(y0, y1))
        halves = polygons(shapes[0].difference(way.buffer(GAP / 2 + SPARE, cap_style=2, join_style=2)))
        if len(halves) == 2 and min(half.area for half in halves) > 0.2 * shapes[0].area:
            shapes[:1] = halves
    solid = [one for shape in shapes for one in polygons(shape) if not one.interiors]
    luck.shuffle(solid)
    parts = [rotate(one, luck.choice(QUARTERS), origin=(0, 0)) for one in solid[: max(1, round(kept * len(solid)))]]
    return NestWanted(
        tuple(NestPart(f"P{k}", 1, ring(part)) for k, part in enumerate(parts)),
        ring(polygons(plate)[0]), (ring(hole),), GAP, MARGIN, CLEAR, QUARTERS, False,
    )  # fmt: skip


def cut(seconds: float, cases: int, kept: float) -> None:
    """So many cases by cutting."""
    for seed in range(cases):
        wanted = by_cutting(seed, kept=kept)
        begun = time.process_time()
        plan = nest(wanted, within(seconds), seed=1)
        told = {
            "case": f"cut {seed}, kept {kept:g}",
            "parts": sum(part.count for part in wanted.parts),
            "not_placed": sum(one.count for one in plan.unplaced),
            "used": round(plan.used, 3),
            "faults": len(faults(wanted, plan.placed)),
            "ours_cpu_s": round(time.process_time() - begun, 2),
            "peak_mb": round(peak_mb(), 1),
        }
        print(json.dumps(told), flush=True)


def strip(seconds: float, file: Path) -> None:
    """A public strip instance."""
    data = json.loads(file.read_text(encoding="utf-8"))
    high, parts, area = float(data["strip_height"]), list[NestPart](), 0.0
    for item in data["items"]:
        shape = Polygon(item["shape"]["data"]).buffer(0)
        parts.append(NestPart(str(item["id"]), int(item["demand"]), ring(polygons(shape)[0])))
        area += shape.area * item["demand"]
    length = area / high / 0.6
    turns = tuple(float(turn) for turn in data["items"][0]["allowed_orientations"])
    plate = ((0.0, 0.0), (length, 0.0), (length, high), (0.0, high))
    wanted = NestWanted(tuple(parts), plate, (), 0.0, 0.0, 0.0, turns, False)
    plan = nest(wanted, within(seconds), seed=1, rounds=ENDLESS)
    reach = plan.left.beyond_mm if plan.left else length
    told = {
        "case": file.stem,
        "not_placed": sum(one.count for one in plan.unplaced),
        "density": round(area / high / reach, 4),
        "faults": len(faults(wanted, plan.placed)),
        "ours_cpu_s": seconds,
        "peak_mb": round(peak_mb(), 1),
    }
    print(json.dumps(told), flush=True)


def main(what: str, seconds: str, *more: str) -> None:
    make_ready()
    if what == "cut":
        cut(float(seconds), int(more[0]), float(more[1]))
    else:
        for name in more:
            strip(float(seconds), Path(name))


if __name__ == "__main__":
    main(*sys.argv[1:])
