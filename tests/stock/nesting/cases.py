"""Nests for these tests: small plates with outlines of the shop's kind; every outline a plain loop."""

from __future__ import annotations

import math
from dataclasses import dataclass

from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import Polygon

from steadyrest.stock.nesting.wanted import NestPart, NestWanted, Placed, Ring
from tests.oracles.cut_plates import CutPlate

QUARTERS = (0.0, 90.0, 180.0, 270.0)


def angle(a: float, b: float) -> Ring:
    return ((0, 0), (a, 0), (a, b / 3), (a / 3, b / 3), (a / 3, b), (0, b))


def channel(a: float, b: float) -> Ring:
    return ((0, 0), (a, 0), (a, b), (0.7 * a, b), (0.7 * a, 0.4 * b), (0.3 * a, 0.4 * b), (0.3 * a, b), (0, b))


def strip(a: float, b: float) -> Ring:
    return ((0, 0), (a, 0), (a, b / 2), (0, b / 2))


def gusset(a: float, b: float) -> Ring:
    return ((-a / 2, 0), (a / 2, 0), (a / 2, b / 5), (-a / 4, b), (-a / 2, b))


def disc(a: float, _b: float) -> Ring:
    return tuple((a / 2 * math.cos(math.pi * k / 8), a / 2 * math.sin(math.pi * k / 8)) for k in range(16))


SHAPES = (angle, channel, strip, gusset, disc)
PLATES: tuple[Ring, ...] = (
    ((0, 0), (300, 0), (300, 200), (0, 200)),
    ((0, 0), (300, 0), (300, 90), (190, 110), (160, 200), (0, 200)),
    ((-50, -40), (250, -60), (270, 120), (120, 70), (0, 170)),
)
HOLES: tuple[tuple[Ring, ...], ...] = (
    (),
    (((100, 60), (130, 60), (130, 90), (100, 90)),),
    (((40, 30), (60, 30), (50, 50)), ((150, 40), (175, 45), (160, 70))),
)


@st.composite
def nests(draw: st.DrawFn, *, most: int = 3) -> NestWanted:
    parts = draw(
        st.lists(
            st.tuples(st.sampled_from(SHAPES), st.integers(20, 110), st.integers(20, 110), st.integers(0, most)),
            min_size=1,
            max_size=4,
        )
    )
    return NestWanted(
        parts=tuple(NestPart(f"P{k}", count, shape(a, b)) for k, (shape, a, b, count) in enumerate(parts)),
        plate_mm=draw(st.sampled_from(PLATES)),
        holes_mm=draw(st.sampled_from(HOLES)),
        gap_mm=draw(st.sampled_from((0.0, 2.0, 5.5))),
        margin_mm=draw(st.sampled_from((0.0, 3.0))),
        hole_clear_mm=draw(st.sampled_from((0.0, 4.0))),
        turns_deg=draw(st.sampled_from((None, (0.0,), (0.0, 180.0), QUARTERS))),
        may_mirror=draw(st.booleans()),
    )


def lies(one: Placed, ring: Ring) -> Polygon:
    """Where a placed part lies, by the contract's words alone and another library's turns."""
    shape = Polygon(ring)
    if one.mirrored:
        shape = affinity.scale(shape, -1, 1, origin=(0, 0))
    return affinity.translate(affinity.rotate(shape, one.turn_deg, origin=(0, 0)), one.x_mm, one.y_mm)


@dataclass(frozen=True, slots=True)
class Solved:
    """A nest that is asked for, one that does it, and the share of the plate that it takes."""

    wanted: NestWanted
    known: tuple[Placed, ...]
    kept: float


def solved(case: CutPlate) -> Solved:
    """A plate cut up, as it is asked for."""
    parts = tuple(NestPart(cut.id, 1, cut.outline_mm, cut.holes_mm) for cut in case.parts)
    wanted = NestWanted(
        parts, case.plate_mm, case.holes_mm, case.gap_mm, case.margin_mm, case.hole_clear_mm, case.turns_deg,
        case.may_mirror,
    )  # fmt: skip
    known = (
        Placed(part, cut.x_mm, cut.y_mm, cut.turn_deg, cut.mirrored)
        for part, cut in zip(parts, case.parts, strict=True)
    )
    return Solved(wanted, tuple(known), case.kept)
