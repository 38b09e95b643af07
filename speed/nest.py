"""Nests: how many of those that surely can be had are found, how much goes on sheets, how dense a strip gets.

`python speed/nest.py cut SECONDS CASES SHARE_KEPT`: plates cut up (tests/oracles/cut_plates.py), of which the nest is
known. `sheets SECONDS FILE`: several sheets and remnants with holes that do not quite hold all that is wanted. `strip
SECONDS FILE...`: public instances in the open JSON form of nesting research, scaled to a strip a metre high; all parts
as far to one end as they go; density is their area over that of the strip up to there. Seconds are of this process, not
of the wall; one search, one core. The judge (exact polygons) has its say in every line.
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable
from pathlib import Path

from _shared import peak_mb
from shapely.geometry import Polygon

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from steadyrest.stock.nesting.judged import faults
from steadyrest.stock.nesting.pieces import polygon, polygons
from steadyrest.stock.nesting.plan import make_ready, nest
from steadyrest.stock.nesting.sheets import Sheet, nest_on_sheets
from steadyrest.stock.nesting.wanted import NestPart, NestWanted, Ring
from tests.oracles.cut_plates import cut_plate
from tests.stock.nesting.cases import solved

ENDLESS = 10**6
HIGH_MM = 1000.0


def within(seconds: float) -> Callable[[], float]:
    begun = time.process_time()
    return lambda: seconds - (time.process_time() - begun)


def ring(shape: Polygon) -> Ring:
    return tuple((float(x), float(y)) for x, y in list(shape.exterior.coords)[:-1])


def cut(seconds: float, cases: int, kept: float) -> None:
    """So many plates cut up."""
    many = 0
    for seed in range(cases):
        case = solved(cut_plate(seed, kept=kept))
        begun = time.process_time()
        plan = nest(case.wanted, within(seconds), seed=1, rounds=0)
        many += not plan.unplaced
        told = {
            "case": f"cut {seed}",
            "kept": round(case.kept, 3),
            "parts": len(case.wanted.parts),
            "turns": "any" if case.wanted.turns_deg is None else len(case.wanted.turns_deg),
            "not_placed": sum(one.count for one in plan.unplaced),
            "faults": len(faults(case.wanted, plan.placed)),
            "solved_so_far": many,
            "ours_cpu_s": round(time.process_time() - begun, 2),
            "peak_mb": round(peak_mb(), 1),
        }
        print(json.dumps(told), flush=True)


def sheets(seconds: float, file: Path) -> dict[str, object]:
    """Sheets and remnants: {spacing, margin, items: [{id, demand, allowed_orientations, rings}], pieces: [{rings}]}."""
    data = json.loads(file.read_text(encoding="utf-8"))
    parts = tuple(
        NestPart(str(item["id"]), int(item["demand"]), _ring(item["rings"][0]), tuple(map(_ring, item["rings"][1])))
        for item in data["items"]
    )
    turns = tuple(float(turn) for turn in data["items"][0]["allowed_orientations"])
    there = [Sheet(_ring(piece["rings"][0]), tuple(map(_ring, piece["rings"][1]))) for piece in data["pieces"]]
    gap, margin = float(data["spacing"]), float(data["margin"])
    wanted = NestWanted(parts, there[0].outline_mm, (), gap, margin, margin, turns, False)
    begun = time.process_time()
    plan = nest_on_sheets(wanted, there, within(seconds), seed=1)
    areas = {part.id: polygon(part.outline_mm, part.holes_mm).area for part in parts}
    net = sum(areas[one.part.id] for placed in plan.placed for one in placed)
    wrong = [
        len(faults(NestWanted(parts, s.outline_mm, s.holes_mm, gap, margin, margin, turns, False), placed))
        for s, placed in zip(there, plan.placed, strict=True)
    ]
    return {
        "case": file.stem,
        "placed": sum(len(placed) for placed in plan.placed),
        "of": sum(part.count for part in parts),
        "area_placed_pct": round(100 * net / sum(areas[part.id] * part.count for part in parts), 2),
        "faults": sum(wrong),
        "ours_cpu_s": round(time.process_time() - begun, 2),
        "peak_mb": round(peak_mb(), 1),
    }


def _ring(points: list[list[float]]) -> Ring:
    return tuple((float(x), float(y)) for x, y in points)


def strip(seconds: float, file: Path) -> dict[str, object]:
    """A public strip instance."""
    data = json.loads(file.read_text(encoding="utf-8"))
    scale, parts, area = HIGH_MM / float(data["strip_height"]), list[NestPart](), 0.0
    for item in data["items"]:
        shape = Polygon([(scale * x, scale * y) for x, y in item["shape"]["data"]]).buffer(0)
        parts.append(NestPart(str(item["id"]), int(item["demand"]), ring(polygons(shape)[0])))
        area += shape.area * item["demand"]
    length = area / HIGH_MM / 0.6
    turns = tuple(float(turn) for turn in data["items"][0]["allowed_orientations"])
    plate = ((0.0, 0.0), (length, 0.0), (length, HIGH_MM), (0.0, HIGH_MM))
    wanted = NestWanted(tuple(parts), plate, (), 0.0, 0.0, 0.0, turns, False)
    plan = nest(wanted, within(seconds), seed=1, rounds=ENDLESS)
    reach = plan.left.beyond_mm if plan.left else length
    return {
        "case": file.stem,
        "not_placed": sum(one.count for one in plan.unplaced),
        "density": round(area / HIGH_MM / (reach if plan.left and plan.left.upward else length - reach), 4),
        "faults": len(faults(wanted, plan.placed)),
        "ours_cpu_s": seconds,
        "peak_mb": round(peak_mb(), 1),
    }


def main(what: str, seconds: str, *more: str) -> None:
    make_ready()
    if what == "cut":
        cut(float(seconds), int(more[0]), float(more[1]))
    elif what == "sheets":
        print(json.dumps(sheets(float(seconds), Path(more[0]))), flush=True)
    else:
        for name in more:
            print(json.dumps(strip(float(seconds), Path(name))), flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
