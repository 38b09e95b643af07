"""Laws of stacked bars: against every plan of short lists, the saw's time counted anew by an independent account."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from steadyrest.stock.cutting.in_order import Sawing, sawing
from steadyrest.stock.cutting.plan import CENT
from steadyrest.stock.cutting.wanted import BarPart, BarPiece, CutWanted, SawTime
from tests.oracles.stacked_bars import least_total, total
from tests.stock.cutting.lists import plainly

D = Decimal
HALF = Fraction(1, 1000)


def ample() -> float:
    return 6.0


def with_saw(wanted: CutWanted) -> dict[str, object]:
    saw = wanted.saw
    assert saw is not None
    return {
        **plainly(wanted),
        "cut_s": saw.cut_s,
        "load_s": saw.load_s,
        "stack": saw.stack,
        "per_hour": saw.person_per_hour,
    }


def bars(
    *, rows: list[tuple[int, int]], pieces: list[tuple[int, int]], stack: int, trim: int, load_s: float
) -> CutWanted:
    return CutWanted(
        D(2), D(trim), D(20), D(400), D("0.004"),
        tuple(BarPiece(f"R{k}", D(mm), D(cost)) for k, (mm, cost) in enumerate(pieces)),
        tuple(BarPart(f"P{k}", D(mm), many) for k, (mm, many) in enumerate(rows)), "EUR",
        saw=SawTime(cut_s=120.0, load_s=load_s, stack=stack, person_per_hour=D(60)),
    )  # fmt: skip


def counted(wanted: CutWanted, found: Sawing) -> Fraction:
    return total(with_saw(wanted), [(one.bar.piece.id, tuple(p.id for p in one.bar.parts)) for one in found.bars])


ROWS = st.lists(
    st.tuples(st.sampled_from((310, 480, 500, 700)), st.integers(1, 2)),
    min_size=1,
    max_size=3,
    unique_by=lambda r: r[0],
)
PIECES = st.lists(st.sampled_from(((1100, 9), (1100, 9), (1500, 11))), min_size=2, max_size=4)
LISTS = st.builds(
    bars, rows=ROWS, pieces=PIECES, stack=st.integers(1, 3), trim=st.sampled_from((0, 5)),
    load_s=st.sampled_from((0.0, 90.0)),
)  # fmt: skip


@settings(max_examples=12, deadline=None)
@given(LISTS)
# Three bars take all of it, but one bar does not take half of it: no stack of two can be had of everything.
@example(bars(rows=[(310, 2), (480, 2), (500, 2)], pieces=[(1100, 9)] * 3, stack=2, trim=0, load_s=0.0))
def test_the_bound_is_below_every_plan_and_what_is_proven_is_the_least(wanted):
    found = sawing(wanted, ample)
    least = least_total(with_saw(wanted))
    if least is None:
        assert found.plan.unplaced
        return
    assert not found.plan.unplaced
    assert abs(counted(wanted, found) - Fraction(found.total)) < HALF
    assert Fraction(found.least) <= least + HALF <= Fraction(found.total) + 2 * HALF
    if found.plan.proven:
        assert Fraction(found.total) - least < Fraction(CENT) + HALF


def test_of_plans_with_the_same_pieces_the_one_that_can_be_stacked_is_cut():
    # Six parts on two bars, whichever lie on which; where both bars are alike, three cuts do for all.
    wanted = bars(rows=[(600, 2), (400, 2), (300, 2)], pieces=[(1500, 11)] * 2, stack=2, trim=0, load_s=0.0)
    found = sawing(wanted, ample)
    assert found.cuts == 3
    assert [one.together for one in found.bars] == [0, 0]
    assert found.plan.proven
    assert Fraction(found.total) == pytest.approx(least_total(with_saw(wanted)))


def test_loading_is_told_once_and_trimming_a_stack_is_one_cut():
    # By hand: two bars, one stack: a trim and two cuts of 120 s, two loads of 90 s, at 1 a minute; pieces 2 x 9; the
    # rests, 1100 - 7 - 2 x 482 = 129, are too short to keep.
    wanted = bars(rows=[(480, 4)], pieces=[(1100, 9)] * 2, stack=2, trim=5, load_s=90.0)
    found = sawing(wanted, ample)
    assert (found.plan.cost, found.saw_cost, found.total) == (D(18), D(9), D(27))
    assert found.plan.proven
    assert found.least == D(27)
