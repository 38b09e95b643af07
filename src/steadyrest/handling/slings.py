"""What each leg of a sling carries, also when the mass is not in the middle.

The hook comes to stand plumb over the centre of mass; each leg goes from it to a point on the load, all points at one
height. Two or three legs follow from statics. Of four or more, nobody knows which ones carry: each is reckoned for the
worst three that hold the load, and if the load is stiff also for the worst two across it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.tables.lifting import carrying_rule

G_M_S2 = 9.80665
BESIDE = 0.01  # of the distance between two points: how far the centre of mass may be beside their line
JUST = 1e-9

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Hung:
    """A load on a hook. mass_kg: its own. centre_mm: its centre of mass, seen from above. points_mm: where the legs
    hold it, in the same axes. hook_mm: height of the hook over the points. rated_n: what one leg may carry as it hangs
    straight; infinite: not asked. stiff: the load does not give, so that two legs may carry all of it."""

    mass_kg: float
    centre_mm: Point
    points_mm: tuple[Point, ...]
    hook_mm: float
    rated_n: float = math.inf
    stiff: bool = True


@dataclass(frozen=True, slots=True)
class Legs:
    """What the legs do. pull: in each, N. angle_deg: of each above level. length_mm: of each. cannot: why it must not
    be lifted so; none: nothing here speaks against it."""

    pull: tuple[Figure, ...]
    angle_deg: tuple[float, ...]
    length_mm: tuple[float, ...]
    cannot: tuple[Reason, ...]
    cautions: tuple[Reason, ...]


def legs(hung: Hung) -> Legs:
    """What each leg of a sling carries.

    Args:
        hung: load, points, hook.
    Returns: pull, angle and length of each leg, and what speaks against the lift.
    Raises: ValueError: fewer than two points, two in one place, or a hook not above them.
    Source: statics; checked on makers' tables in tests/checks/test_slings.py.
    """
    if len(hung.points_mm) < 2 or hung.hook_mm <= 0 or hung.mass_kg <= 0:
        raise ValueError("legs: give two points or more, a mass and a hook above them")
    if any(math.dist(p, q) <= JUST for p, q in combinations(hung.points_mm, 2)):
        raise ValueError("legs: two points are in one place")
    share = _shares(hung)
    out = [math.dist(point, hung.centre_mm) for point in hung.points_mm]
    length = tuple(math.hypot(one, hung.hook_mm) for one in out)
    angle = tuple(math.degrees(math.atan2(hung.hook_mm, one)) for one in out)
    weight_n = hung.mass_kg * G_M_S2
    pull = tuple(
        Figure(
            weight_n * part * long / hung.hook_mm,
            "N",
            (because("sling.leg", share=100 * part, mass_kg=hung.mass_kg, angle_deg=tilt),),
        )
        for part, long, tilt in zip(share, length, angle, strict=True)
    )
    return Legs(pull, angle, length, _cannot(hung, share, pull, angle), cautions())


def _shares(hung: Hung) -> list[float]:
    """The share of the weight on each point, at its worst; all 0 if the points do not hold the load."""
    count = len(hung.points_mm)
    worst = [0.0] * count
    sets = list(combinations(range(count), min(3, count)))
    if count > 3 and hung.stiff:
        sets += combinations(range(count), 2)
    for chosen in sets:
        points = [hung.points_mm[k] for k in chosen]
        found = _on_two(points, hung.centre_mm) if len(chosen) == 2 else _on_three(points, hung.centre_mm)
        if found is not None:
            for k, part in zip(chosen, found, strict=True):
                worst[k] = max(worst[k], part)
    return worst


def _on_two(points: Sequence[Point], centre: Point) -> tuple[float, ...] | None:
    """Shares on two points; None if the centre of mass is not between them."""
    (ax, ay), (bx, by) = points
    long = math.dist(*points)
    along = ((centre[0] - ax) * (bx - ax) + (centre[1] - ay) * (by - ay)) / long**2
    beside = abs((centre[0] - ax) * (by - ay) - (centre[1] - ay) * (bx - ax)) / long**2
    return (1 - along, along) if -JUST <= along <= 1 + JUST and beside <= BESIDE else None


def _on_three(points: Sequence[Point], centre: Point) -> tuple[float, ...] | None:
    """Shares on three points; None if the centre of mass is not inside them."""
    (ax, ay), (bx, by), (cx, cy) = points
    whole = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    if abs(whole) <= JUST:
        return None
    b = ((centre[0] - ax) * (cy - ay) - (centre[1] - ay) * (cx - ax)) / whole
    c = ((bx - ax) * (centre[1] - ay) - (by - ay) * (centre[0] - ax)) / whole
    return (1 - b - c, b, c) if min(1 - b - c, b, c) >= -JUST else None


def _cannot(hung: Hung, share: Sequence[float], pull: Sequence[Figure], angle: Sequence[float]) -> tuple[Reason, ...]:
    if not any(share):
        return (because("sling.tips"),)
    found: list[Reason] = []
    least = carrying_rule("leg_angle_least_deg")
    if min(angle) < least - JUST:
        flattest = min(angle)
        out = hung.hook_mm / math.tan(math.radians(flattest))
        higher = out * math.tan(math.radians(least))
        found.append(because("sling.flat", source="sling-angles", angle_deg=flattest, least_deg=least, hook_mm=higher))
    most = max(one.value for one in pull)
    if most > hung.rated_n:
        found.append(because("sling.overload", pull_n=most, rated_n=hung.rated_n))
    return tuple(found)


def cautions() -> tuple[Reason, ...]:
    """What goes with every lift on a hook.

    Returns: the cautions.
    """
    return (because("sling.caution_under"), because("sling.caution_gear"), because("sling.caution_try"))
