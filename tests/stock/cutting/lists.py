"""Cutting lists for these tests: as values, and as the plain ones that the oracle judges."""

from __future__ import annotations

from decimal import Decimal

from hypothesis import strategies as st

from steadyrest.stock.cutting.plan import CutPlan
from steadyrest.stock.cutting.wanted import BarPart, BarPiece, CutWanted


def decimals(low: int, high: int, places: int = 0) -> st.SearchStrategy[Decimal]:
    return st.integers(low * 10**places, high * 10**places).map(lambda n: Decimal(n).scaleb(-places))


@st.composite
def cutting_lists(draw: st.DrawFn, *, rows: int = 4, count: int = 2, pieces: int = 4, longest: int = 60) -> CutWanted:
    """Lists of a few short bars, so that everything can be tried."""
    places = draw(st.integers(0, 1))
    stock = draw(st.lists(st.tuples(decimals(20, 100, places), decimals(0, 30, 2)), min_size=1, max_size=pieces))
    parts = draw(st.lists(st.tuples(decimals(5, longest, places), st.integers(1, count)), min_size=1, max_size=rows))
    return CutWanted(
        kerf_mm=draw(decimals(0, 3, places)),
        end_trim_mm=draw(st.sampled_from([Decimal(0), Decimal(2)])),
        grip_mm=draw(decimals(0, 12)),
        rest_keep_mm=draw(decimals(0, 50)),
        rest_value_per_mm=draw(decimals(0, 1, 2).map(lambda d: d / 4)),
        pieces=tuple(BarPiece(f"R{k}", length, cost) for k, (length, cost) in enumerate(stock)),
        parts=tuple(BarPart(f"P{k}", length, many) for k, (length, many) in enumerate(parts)),
        currency="EUR",
    )


def plainly(wanted: CutWanted) -> dict[str, object]:
    return {
        "kerf_mm": str(wanted.kerf_mm),
        "end_trim_mm": str(wanted.end_trim_mm),
        "grip_mm": str(wanted.grip_mm),
        "rest_keep_mm": str(wanted.rest_keep_mm),
        "rest_value_per_mm": str(wanted.rest_value_per_mm),
        "piece": [{"id": p.id, "length_mm": str(p.length_mm), "cost": str(p.cost)} for p in wanted.pieces],
        "part": [{"id": p.id, "length_mm": str(p.length_mm), "count": p.count} for p in wanted.parts],
    }


def cuts(plan: CutPlan) -> list[tuple[str, list[str], str]]:
    return [(bar.piece.id, [part.id for part in bar.parts], str(bar.rest_mm)) for bar in plan.bars]


def left_out(plan: CutPlan) -> dict[str, int]:
    return {one.part.id: one.count for one in plan.unplaced}
