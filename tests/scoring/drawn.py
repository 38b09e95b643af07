"""A random turned part as a drawing shows it, as it was made and worn, and how it was scanned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import pi, radians

import numpy as np

from steadyrest.demo.scan import ScanSettings
from steadyrest.demo.scanning.true_part import (
    AxialHole,
    CrossHole,
    Cut,
    Fracture,
    Stretch,
    TrueBore,
    TrueGroove,
    TrueKeyway,
    TruePart,
    Wear,
)
from steadyrest.tables import fits, keys, rings

INCH = 25.4
SEATS = (12.0, 15.0, 17.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 55.0, 60.0)
HOUSINGS = (22.0, 26.0, 32.0, 35.0, 42.0, 47.0, 52.0, 62.0, 72.0)
DRILLS = (3.0, 4.0, 4.2, 5.0, 6.0, 6.8, 8.0, 8.5, 10.0, 12.0)
INCH_DRILLS = tuple(INCH * n / 32 for n in (4, 5, 6, 7, 8, 10, 12, 14))
SLOPPY = (0.01, 0.025, 0.06)


@dataclass(frozen=True, slots=True)
class Drawn:
    """part: drawn, made, worn. settings: of the scan. odd: sizes that follow no rule. habit: of the drawing."""

    part: TruePart
    settings: ScanSettings
    odd: frozenset[float]
    habit: str


@dataclass(slots=True)
class Pencil:
    """Draws sizes after one habit and remembers which of them follow no rule."""

    rng: np.random.Generator
    habit: str
    sloppy_mm: float
    odd: set[float]

    def size(self, near_mm: float) -> float:
        """A size near the wanted one as this drawing would have it."""
        habit = str(self.rng.choice(["metric", "inch"])) if self.habit == "mixed" else self.habit
        if habit == "odd" or self.rng.random() < 0.04:
            value = round(near_mm + self.rng.uniform(-0.5, 0.5), 3)
            self.odd.add(value)
            return value
        if habit == "inch":
            step = INCH * float(self.rng.choice([1 / 4, 1 / 8, 1 / 16, 1 / 32], p=[0.3, 0.3, 0.3, 0.1]))
        else:
            step = float(self.rng.choice([5.0, 2.0, 1.0, 0.5, 0.1], p=[0.34, 0.22, 0.3, 0.09, 0.05]))
        step = step if step < near_mm / 2 else step / 4
        return round(near_mm / step) * step

    def off(self, low_mm: float | None = None, high_mm: float | None = None) -> float:
        """How far off a diameter was made, within limits where it has some."""
        if low_mm is not None and high_mm is not None:
            return float(self.rng.uniform(low_mm, high_mm))
        return float(self.rng.uniform(-self.sloppy_mm, self.sloppy_mm))


def drawn(seed: int) -> Drawn:
    """A part and its scan.

    Args:
        seed: the same gives the same.
    Returns: the part, how it is scanned, which of its sizes are odd.
    """
    rng = np.random.default_rng([seed, 77])
    habit = str(rng.choice(["metric", "inch", "mixed", "odd"], p=[0.5, 0.28, 0.12, 0.1]))
    pencil = Pencil(rng, habit, float(rng.choice(SLOPPY, p=[0.45, 0.4, 0.15])), set())
    count = int(rng.integers(2, 9))
    flange = rng.random() < 0.15
    stretches, seats = outside(pencil, count, flange=flange)
    bores = bored(pencil, stretches) if rng.random() < 0.3 else ()
    cuts, keyed = cuts_of(pencil, stretches, seats, bores, flange=flange)
    stretches = made(pencil, stretches, seats, keyed)
    wear = tuple(w for k in range(count) for w in worn(rng, stretches, k, cuts, often=0.55 if k in seats else 0.15))
    if bores and rng.random() < 0.3 and bores[0].depth_mm > 12:
        wear += worn_bore(rng, bores[0])
    broken = None
    if rng.random() < 0.1 and stretches[-1].length_mm > 20 and not bores:
        length = sum(s.length_mm for s in stretches)
        broken = Fracture(length - 0.3 * stretches[-1].length_mm, seen=bool(rng.random() < 0.5))
        wear = tuple(w for w in wear if w.to_mm < broken.at_mm - 4)
        cuts = tuple(c for c in cuts if far_end(c) < broken.at_mm - 4)
    part = TruePart(
        name=f"part {seed}", stretches=stretches, bores=bores, cuts=cuts, wear=wear, fracture=broken,
        edge_mm=float(rng.uniform(0.05, 0.2)),
    )  # fmt: skip
    return Drawn(part, settings_of(rng, part), frozenset(pencil.odd), habit)


def outside(pencil: Pencil, count: int, *, flange: bool) -> tuple[tuple[Stretch, ...], frozenset[int]]:
    """The stepped outside, largest in the middle, and which stretches are bearing seats."""
    rng = pencil.rng
    rough = np.sort(rng.uniform(14, 62, count))
    order = [*range(0, count, 2), *reversed(range(1, count, 2))]
    seats = set[int]()
    found: list[Stretch] = []
    for k, rank in enumerate(order):
        near = float(rough[rank])
        length = pencil.size(float(rng.uniform(10, 55 if count > 3 else 80)))
        seat = pencil.habit in ("metric", "mixed") and near < 58 and rng.random() < 0.3
        diameter = min(SEATS, key=lambda d: abs(d - near)) if seat else pencil.size(near)
        if seat:
            seats.add(k)
        if flange and rank == count - 1:
            diameter, length = pencil.size(float(rng.uniform(80, 110))), pencil.size(float(rng.uniform(10, 16)))
            seats.discard(k)
        found.append(Stretch(length, diameter))
    for k in range(1, count):
        if abs(found[k].diameter_mm - found[k - 1].diameter_mm) < 0.9:  # nobody draws a step that small
            longer = found[k].length_mm + rng.uniform(1, 3)
            found[k] = Stretch(longer, found[k].diameter_mm + (2.0 if rank_up(order, k) else -2.0))
            seats.discard(k)
            pencil.odd.add(found[k].diameter_mm)
    if count > 3 and rng.random() < 0.2:
        k = int(rng.integers(1, count - 1))
        if k not in seats and not (flange and order[k] == count - 1):
            end = found[k].diameter_mm - 2 * found[k].length_mm * float(rng.choice([0.05, 0.1, 0.0875]))
            if end > 8:
                found[k] = replace(found[k], end_diameter_mm=end)
    return tuple(found), frozenset(seats)


def rank_up(order: Sequence[int], k: int) -> bool:
    return order[k] > order[k - 1]


def made(
    pencil: Pencil, stretches: tuple[Stretch, ...], seats: frozenset[int], keyed: frozenset[int]
) -> tuple[Stretch, ...]:
    """The stretches as made: seats k6, keyed ones h6, others within the shop's own closeness; edges broken."""
    rng = pencil.rng
    chamfer, fillet = float(rng.choice([0.5, 1.0, 1.0, 1.5, 2.0])), float(rng.choice([0.0, 0.3, 0.6, 1.0]))
    found: list[Stretch] = []
    for k, s in enumerate(stretches):
        zone = "k6" if k in seats else "h6" if k in keyed else None
        if zone and fits.has_limits(s.diameter_mm, zone):
            low, high = (limit - s.diameter_mm for limit in fits.limits(s.diameter_mm, zone))
            off = pencil.off(low, high)
        else:
            off = pencil.off()
        before = stretches[k - 1].diameter_mm if k else 0.0
        after = stretches[k + 1].diameter_mm if k + 1 < len(stretches) else 0.0
        sides = [
            chamfer if rng.random() < 0.7 and (s.diameter_mm - other) / 2 > chamfer + 0.3 else 0.0
            for other in (before, after)
        ]
        corners = [fillet if (other - s.diameter_mm) / 2 > fillet + 0.3 else 0.0 for other in (before, after)]
        if s.end_diameter_mm is not None:
            sides, corners = [0.0, 0.0], [0.0, 0.0]
        found.append(replace(s, made_off_mm=off, chamfer_mm=(sides[0], sides[1]), fillet_mm=(corners[0], corners[1])))
    return tuple(found)


def bored(pencil: Pencil, stretches: tuple[Stretch, ...]) -> tuple[TrueBore, ...]:
    """One bore, through or blind, or two steps of one, from the first end."""
    rng = pencil.rng
    length = sum(s.length_mm for s in stretches)
    thinnest = min(min(s.diameter_mm, s.end_diameter_mm or s.diameter_mm) for s in stretches)
    first = min(stretches[0].diameter_mm, stretches[0].end_diameter_mm or 1e3)
    if thinnest < 18:
        return ()

    def diameter(most: float) -> float:
        if rng.random() < 0.3 and pencil.habit == "metric" and any(h < most for h in HOUSINGS):
            return max(h for h in HOUSINGS if h < most)
        return pencil.size(float(rng.uniform(0.7, 0.95)) * most)

    through = rng.random() < 0.6
    depth = length if through else pencil.size(float(rng.uniform(0.25, 0.6)) * min(length, 60))
    main = diameter(0.68 * thinnest)
    chamfer = float(rng.choice([0.0, 1.0]))
    bores = [TrueBore(main, depth, chamfer_mm=chamfer, point_rad=radians(59), made_off_mm=pencil.off(0.0, 0.025))]
    wider = pencil.size(min(1.25 * main, 0.75 * first))
    if rng.random() < 0.4 and main + 2 < wider < first - 5 and stretches[0].length_mm > 14:
        bores.append(TrueBore(wider, pencil.size(0.5 * stretches[0].length_mm), made_off_mm=pencil.off(0.0, 0.025)))
    return tuple(bores)


def cuts_of(
    pencil: Pencil,
    stretches: tuple[Stretch, ...],
    seats: frozenset[int],
    bores: tuple[TrueBore, ...],
    *,
    flange: bool,
) -> tuple[tuple[Cut, ...], frozenset[int]]:
    """Keyways, grooves, cross holes, a bolt circle; and which stretches carry a key."""
    rng = pencil.rng
    cuts: list[Cut] = []
    keyed = set[int]()
    at = 0.0
    for k, s in enumerate(stretches):
        low, high = at, at + s.length_mm
        at = high
        if s.end_diameter_mm is not None or (bores and 2 * bores[0].diameter_mm > 1.2 * s.diameter_mm):
            continue
        if k not in seats and s.length_mm > 20 and s.diameter_mm < 75 and rng.random() < 0.22:
            keyway = keyed_in(pencil, s, low, high)
            if keyway is not None:
                cuts.append(keyway)
                keyed.add(k)
                continue
        if s.length_mm > 14 and rng.random() < 0.2:
            cuts.append(grooved(pencil, s, low, high))
        elif s.length_mm > 25 and rng.random() < 0.12:
            drills = INCH_DRILLS if pencil.habit == "inch" else DRILLS
            hole = float(rng.choice([d for d in drills if d < 0.4 * s.diameter_mm]))
            reach = 1e3 if rng.random() < 0.6 else -0.1 * s.diameter_mm
            cuts.append(CrossHole(hole, low + 0.5 * s.length_mm, float(rng.uniform(-pi, pi)), reach))
    if flange:
        k = max(range(len(stretches)), key=lambda i: stretches[i].diameter_mm)
        beside = max((stretches[i].diameter_mm for i in (k - 1, k + 1) if 0 <= i < len(stretches)), default=0.0)
        inner = max(beside, max((b.diameter_mm for b in bores), default=0.0))
        hole = float(rng.choice([6.0, 6.6, 8.0, 9.0])) if pencil.habit != "inch" else INCH_DRILLS[rng.integers(4, 7)]
        circle = round((inner + stretches[k].diameter_mm) / 2)
        if stretches[k].diameter_mm - inner > 2 * hole + 8:
            many, first = int(rng.choice([3, 4, 6])), float(rng.uniform(-pi, pi))
            cuts += [AxialHole(hole, circle, first + 2 * pi * i / many) for i in range(many)]
    return tuple(cuts), frozenset(keyed)


def keyed_in(pencil: Pencil, s: Stretch, low: float, high: float) -> TrueKeyway | None:
    """The keyway that this shaft takes, metric or inch as the shaft is."""
    rng = pencil.rng
    inch = pencil.habit == "inch" or (pencil.habit == "mixed" and abs(s.diameter_mm / INCH * 32 % 1) < 1e-6)
    key = keys.key_for(s.diameter_mm, "in" if inch else "mm")
    if key is None or key.width_mm < 3.5 or key.width_mm > 0.45 * s.length_mm:
        return None
    length = float(rng.uniform(0.55, 0.8)) * s.length_mm
    start = low + float(rng.uniform(0.4, 0.6)) * (s.length_mm - length)
    limits = (0.0, 0.05) if inch else tuple(x - key.width_mm for x in keys.keyway_width_limits(key.width_mm, "shaft"))
    return TrueKeyway(
        key.width_mm, key.shaft_depth_mm(s.diameter_mm), start, min(start + length, high - 1), s.diameter_mm,
        float(rng.uniform(-pi, pi)), made_off_mm=pencil.off(limits[0], limits[1]),
    )  # fmt: skip


def grooved(pencil: Pencil, s: Stretch, low: float, high: float) -> TrueGroove:
    """A retaining ring's groove where there is a ring for this shaft, else a plain one."""
    rng = pencil.rng
    ring = rings.ring_groove("shaft", s.diameter_mm) if pencil.habit != "inch" else None
    if ring is not None and ring.width_mm > 1.5 and rng.random() < 0.5:
        floor, width = ring.groove_mm, ring.width_mm
    else:
        width = pencil.size(float(rng.uniform(2.5, 5.0)))
        floor = pencil.size(s.diameter_mm - float(rng.uniform(1.5, 5.0)))
        if not 1.0 < s.diameter_mm - floor < 0.3 * s.diameter_mm:
            floor = s.diameter_mm - 3.0
    if width not in pencil.odd and not 1.5 < width < 6.5:
        width = 3.0
    at = low + 3.5 + width / 2 if rng.random() < 0.5 else high - 3.5 - width / 2
    return TrueGroove(floor, at, width)


def far_end(cut: Cut) -> float:
    """Where along the axis a cut ends."""
    match cut:
        case TrueKeyway():
            return cut.to_mm
        case TrueGroove() | CrossHole():
            return cut.at_mm + 5.0
        case _:
            return 0.0


def worn(
    rng: np.random.Generator, stretches: Sequence[Stretch], k: int, cuts: Sequence[Cut], *, often: float
) -> tuple[Wear, ...]:
    """Wear on one stretch: one side of it or all round, in a band of it or from end to end; or on two sides."""
    s = stretches[k]
    low = sum(x.length_mm for x in stretches[:k])
    grooved_here = any(isinstance(c, TrueGroove) and low < c.at_mm < low + s.length_mm for c in cuts)
    if s.length_mm < 14 or s.end_diameter_mm is not None or grooved_here or rng.random() > often:
        return ()
    depth, middle = float(rng.uniform(0.06, 0.45)), float(rng.uniform(-pi, pi))
    kind = str(rng.choice(["one side", "all round", "band", "both sides", "end to end"]))
    share = {"one side": 0.65, "all round": 0.6, "band": 0.35, "both sides": 0.6, "end to end": 0.92}[kind]
    start = low + float(rng.uniform(0.3, 0.7)) * (1 - share) * s.length_mm
    stop, shoulders = start + share * s.length_mm, (float(rng.uniform(1, 3)), float(rng.uniform(1, 3)))
    if kind == "all round":
        return (Wear(depth, start, stop, shoulder_mm=shoulders),)
    arc = radians(float(rng.uniform(110, 230)))
    one = Wear(
        depth, start, stop, middle_rad=middle, arc_rad=arc, shoulder_mm=shoulders, lean=float(rng.uniform(0, 0.4))
    )
    if kind != "both sides":
        return (one,)
    half = replace(one, arc_rad=radians(float(rng.uniform(80, 120))), shoulder_rad=(0.6, 0.6))
    return half, replace(half, middle_rad=middle + pi, depth_mm=0.7 * depth)


def worn_bore(rng: np.random.Generator, bore: TrueBore) -> tuple[Wear, ...]:
    """Wear at a bore's mouth end, one side of it."""
    reach = min(bore.depth_mm, 40.0)
    return (
        Wear(
            float(rng.uniform(0.06, 0.3)), 0.25 * reach, 0.75 * reach, middle_rad=float(rng.uniform(-pi, pi)),
            arc_rad=radians(180), inside=True,
        ),
    )  # fmt: skip


def settings_of(rng: np.random.Generator, part: TruePart) -> ScanSettings:
    """How the part is scanned: noise, drift, film, holes or skin, and as fine as 60 to 250 thousand triangles allow."""
    noise = float(rng.uniform(0.015, 0.06))
    area = sum(pi * s.diameter_mm * (s.length_mm + s.diameter_mm / 4) for s in part.stretches)
    voxel = float(np.clip(np.sqrt(3 * area / rng.uniform(60e3, 200e3)), 0.4, 1.0))
    film = float(rng.uniform(0.005, 0.03)) if rng.random() < 0.3 else 0.0
    blind = "bridged" if rng.random() < 0.4 else "holes"
    return ScanSettings(
        voxel_mm=voxel, noise_mm=noise, correlation_mm=float(rng.uniform(0.5, 1.3)),
        drift_mm=float(rng.uniform(0.0, 0.02)), scale_error=float(rng.normal(0, 1.5e-4)), film_mm=film, blind=blind,
        dropouts=int(rng.integers(0, 7)), looks=int(rng.integers(30, 60)),
    )  # fmt: skip
