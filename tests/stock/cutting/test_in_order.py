"""Laws of a list in its order of sawing: mitres drawn by another library, weights by hand, due first, bars at once."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.stock.cutting.ends import least_square
from steadyrest.stock.cutting.in_order import first_due_first, sawing
from steadyrest.stock.cutting.plan import CutBar, cut
from steadyrest.stock.cutting.wanted import BarPart, BarPiece, BarSection, CutWanted, SawTime
from tests.oracles.cut_checker import rest
from tests.oracles.mitred_bar import faults, over_points
from tests.stock.cutting.lists import cutting_lists, plainly

D = Decimal
SQUARE = BarSection("square", (60.0,), 60.0, 28.26, "both")
ANGLE = replace(SQUARE, shape="angle", turns="none")


def ample() -> float:
    return 20.0


def wanted(parts: list[BarPart], *, section: BarSection = SQUARE, saw: SawTime | None = None) -> CutWanted:
    pieces = tuple(BarPiece(f"R{k}", D(3000), D(30)) for k in range(4))
    return CutWanted(D("2.5"), D(5), D(40), D(500), D("0.004"), pieces, tuple(parts), "EUR", section, saw)


ANGLES = st.sampled_from([0.0, 22.5, 45.0, -45.0, 30.0])
PARTS = st.lists(
    st.tuples(st.integers(150, 900), ANGLES, ANGLES, st.integers(1, 2), st.integers(0, 2)), min_size=1, max_size=3
)


@settings(max_examples=5, deadline=None)
@given(PARTS, st.booleans())
def test_mitred_parts_lie_a_kerf_apart_inside_the_bar_and_nothing_is_lost(rows, over):
    parts = [BarPart(f"P{k}", D(long), n, ends_deg=(a, b), due=due) for k, (long, a, b, n, due) in enumerate(rows)]
    asked = wanted(parts, section=SQUARE if over else ANGLE)
    found = sawing(asked, ample)
    for one in found.bars:
        steps = [(s.lying.from_mm, s.lying.to_mm, s.lying.left, s.lying.right) for s in one.steps]
        told = {"deep_mm": 60.0, "kerf_mm": 2.5, "trim_mm": 7.5, "length_mm": 3000.0}
        assert not list(faults(steps, rest_mm=float(one.bar.rest_mm), **told))
        assert one.bar.rest_mm >= 40
        for step, s in zip(steps, one.steps, strict=True):
            assert over_points(step, 60.0) == pytest.approx(float(s.lying.part.length_mm), abs=1e-6)
    made = [part.id for one in found.bars for part in one.bar.parts]
    assert sorted([*made, *(one.part.id for one in found.plan.unplaced for _ in range(one.count))]) == sorted(
        part.id for part in parts for _ in range(part.count)
    )


def test_mitres_that_lie_alike_share_one_cut_and_lose_no_wedge():
    # By hand: ten of 400 over the points, 45 degrees at both ends, 60 deep: each takes 340 along its middle line and
    # 2.5 x sqrt 2 of kerf; before the first and after the last 30 of slant; trim 7.5.
    asked = wanted([BarPart("frame", D(400), 8, ends_deg=(45.0, 45.0))])
    [bar] = sawing(asked, ample).bars
    assert float(bar.bar.rest_mm) == pytest.approx(3000 - 7.5 - 30 - 8 * (340 + 2.5 * 2**0.5) - 30, abs=1e-5)
    assert [one.lying.shares for one in bar.steps] == [False] + [True] * 7


def test_an_angle_is_not_laid_on_its_other_side():
    # Ends that lean towards each other do not nest unless every second part is laid on its other side.
    parts = [BarPart("frame", D(400), 4, ends_deg=(45.0, 45.0))]
    [over], [not_over] = sawing(wanted(parts), ample).bars, sawing(wanted(parts, section=ANGLE), ample).bars
    assert over.bar.rest_mm - not_over.bar.rest_mm == pytest.approx(D(3 * 60), abs=D("0.001"))


@pytest.mark.parametrize("section", [SQUARE, ANGLE])
def test_frames_of_one_angle_are_proven_with_their_wedges(section):
    # On its other side or not, a bar loses the same to mitres whatever lies beside what: the bound counts it.
    parts = [BarPart(f"frame {mm}", D(mm), 4, ends_deg=(45.0, 45.0)) for mm in (400, 700)]
    found = sawing(wanted(parts, section=section), ample)
    assert found.plan.proven
    assert found.plan.bound == pytest.approx(found.plan.cost, abs=D("0.01"))


@settings(max_examples=5, deadline=None)
@given(PARTS, st.sampled_from([SQUARE, ANGLE]))
def test_the_square_list_that_gives_the_bound_leaves_more_of_every_bar_than_its_mitres_do(rows, section):
    # Its own bound is proven by prices in test_relaxed.py; so the mitred list cannot cost less than it says.
    parts = [BarPart(f"P{k}", D(long), n, ends_deg=(a, b)) for k, (long, a, b, n, _) in enumerate(rows)]
    asked = wanted([*parts, BarPart("mitred", D(300), 1, ends_deg=(45.0, 30.0))], section=section)
    found = sawing(asked, ample)
    least = least_square(asked, 60.0, section.turns)
    lengths = {part.id: str(part.length_mm) for part in least.parts}
    long = {piece.id: str(piece.length_mm) for piece in least.pieces}
    for one in found.bars:
        made = [lengths[part.id] for part in one.bar.parts]
        assert rest(plainly(least), long[one.bar.piece.id], made) >= Fraction(one.bar.rest_mm)
    assert found.plan.bound <= found.plan.cost
    if not found.plan.unplaced:
        assert found.plan.proven == (found.plan.cost - found.plan.bound < D("0.01"))


@settings(max_examples=20, deadline=None)
@given(cutting_lists(rows=4, count=3, pieces=5))
def test_without_anything_new_the_answer_is_what_it_was(asked):
    before, after = cut(asked, ample), sawing(asked, ample)
    assert after.plan == before
    assert (after.saw_s, after.saw_cost) == (None, None)


def test_what_is_due_first_comes_off_first_at_no_more_cost():
    late, soon = BarPart("late", D(900), 3, due=1), BarPart("soon", D(900), 3, due=0)
    found = sawing(replace(wanted([late, soon]), section=None), ample)
    assert [part.id for one in found.bars for part in one.bar.parts] == ["soon"] * 3 + ["late"] * 3
    assert found.plan.cost == cut(replace(wanted([BarPart("all", D(900), 6)]), section=None), ample).cost


def test_where_not_all_fit_what_is_due_first_is_made():
    # One bar of 3000 holds three of 900, or two of 1300; the longer ones are more length, but due later.
    pieces = (BarPiece("R", D(3000), D(30)),)
    asked = replace(wanted([BarPart("soon", D(900), 3, due=0), BarPart("late", D(1400), 2, due=1)]), pieces=pieces)
    found = sawing(replace(asked, section=None), ample)
    assert [part.id for one in found.bars for part in one.bar.parts] == ["soon"] * 3
    assert [(one.part.id, one.count) for one in found.plan.unplaced] == [("late", 2)]


def test_equal_bars_are_cut_at_once_and_each_cut_is_counted_once():
    saw = SawTime(cut_s=60.0, load_s=100.0, stack=2, person_per_hour=D(36))
    found = sawing(wanted([BarPart("P", D(950), 9)], saw=saw), ample)
    assert [one.together for one in found.bars] == [0, 0, 2]
    # Two stacks of three parts and a trim each; three bars are loaded.
    assert (found.cuts, found.saw_s) == (8, 8 * 60.0 + 3 * 100.0)
    assert found.saw_cost == D("7.8")


def test_each_cut_tells_what_is_on_the_saw_and_what_comes_off():
    [bar] = sawing(wanted([BarPart("P", D(1000), 2, faced_mm=D(2))]), ample).bars
    # By hand at 28.26 kg/m: the whole bar; then what is beyond trim, its cut and the first part.
    assert [one.moved_kg for one in bar.steps] == pytest.approx([84.78, 28.26 * (3 - 1.0075)])
    assert [one.part_kg for one in bar.steps] == pytest.approx([28.26, 28.26])
    assert bar.rest_kg == pytest.approx(28.26 * (3 - 0.0075 - 2 * 1.0025))


def test_a_heavy_bar_is_soonest_light_when_the_longest_comes_off_first():
    short, long = BarPart("short", D(300), 2, due=0), BarPart("long", D(1200), 1, due=1)
    asked = replace(wanted([short, long]), lift_kg=51.0)
    [bar] = sawing(asked, ample).bars
    assert [part.id for part in bar.bar.parts] == ["long", "short", "short"]
    [other] = sawing(replace(asked, lift_kg=None), ample).bars
    assert [part.id for part in other.bar.parts] == ["short", "short", "long"]
    heavy = [sum((one.moved_kg or 0) > 51.0 for one in found.steps) for found in (bar, other)]
    assert heavy == [1, 3]


def test_only_equal_parts_change_places():
    piece = BarPiece("R", D(3000), D(30))
    a, b = BarPart("a", D(900), 1, due=1), BarPart("b", D(900), 1, due=0)
    c = BarPart("c", D(700), 1, due=2)
    bars = [CutBar(piece, (a, c), D(100), False, D(30)), CutBar(piece, (b,), D(200), False, D(30))]
    found = first_due_first(bars)
    assert sorted(sorted(part.length_mm for part in bar.parts) for bar in found) == [[700, 900], [900]]
    assert found[0].parts[0].id == "b"
