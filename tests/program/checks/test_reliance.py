"""Reliance: what a tool would meet if another had cut nothing, against taking that other out and cutting again."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.program.checks.reliance import lost_with, made_by, reliances, reliances_met
from steadyrest.program.removal.blank import BoxBlank
from steadyrest.program.removal.tool_shape import tool_shape
from tests.program.hand_runs import run_of

LAW = settings(deadline=None)

HEIGHTS = st.sampled_from([np.inf, 8.0, 6.0, 4.0, 1.0])
SWEEPS = st.lists(st.lists(HEIGHTS, min_size=6, max_size=6).map(np.array), min_size=1, max_size=5)
STOCK = np.full(6, 10.0)


def cut(stock: np.ndarray, swept: list[np.ndarray]) -> np.ndarray:
    top = stock.copy()
    for one in swept:
        top = np.minimum(top, one)
    return top


@LAW
@given(swept=SWEEPS)
def test_what_a_tool_meets_is_what_it_would_cut_more_if_the_other_were_not_there(swept) -> None:
    told = {(one.later, one.earlier): one.met_mm3 for one in reliances(STOCK, swept, cell_mm2=2.0, least_mm3=1e-9)}
    for later in range(len(swept)):
        for earlier in range(later):
            with_it = cut(STOCK, swept[:later]) - cut(STOCK, swept[: later + 1])
            others = [one for k, one in enumerate(swept[:later]) if k != earlier]
            without = cut(STOCK, others) - cut(STOCK, [*others, swept[later]])
            more = 2.0 * float((without - with_it).sum())
            assert told.get((later, earlier), 0.0) == pytest.approx(more)


def test_a_drill_relies_on_its_pilot_and_a_face_on_neither() -> None:
    inf = np.inf
    pilot = np.array([inf, inf, 2.0, inf, inf, inf])
    drill = np.array([inf, 1.0, 1.0, 1.0, inf, inf])
    face = np.array([9.0, 9.0, 9.0, 9.0, 9.0, 9.0])
    told = reliances(STOCK, [face, pilot, drill], cell_mm2=1.0)
    met = {(one.later, one.earlier): one.met_mm3 for one in told}
    assert met == {(2, 0): 2.0, (2, 1): 7.0, (1, 0): 1.0}


def test_tools_in_danger_meet_mostly_what_the_broken_one_left_or_follow_one_that_breaks_too() -> None:
    inf = np.inf
    rough = np.array([2.0, 2.0, 2.0, 2.0, inf, inf])
    finish = np.array([1.5, 1.5, 1.5, 1.5, inf, inf])
    polish = np.array([1.4, 1.4, 1.4, 1.4, inf, inf])
    elsewhere = np.array([inf, inf, inf, inf, 5.0, 5.0])
    told = reliances(STOCK, [rough, finish, polish, elsewhere], cell_mm2=1.0)
    assert lost_with(0, told) == (1, 2)
    assert lost_with(1, told) == (2,)
    assert lost_with(3, told) == ()


@LAW
@given(swept=SWEEPS)
def test_the_maker_of_a_surface_is_the_last_that_lowered_it(swept) -> None:
    maker = made_by(STOCK, swept)
    for cell in range(6):
        final = cut(STOCK, swept)[cell]
        lowered = [k for k in range(len(swept)) if cut(STOCK, swept[: k + 1])[cell] < cut(STOCK, swept[:k])[cell]]
        assert maker[cell] == (lowered[-1] if lowered else -1)
        assert lowered or final == 10.0


def drilled_and_bored():
    """A pilot of 6 and a drill of 12, both 20 deep, in a block; and a slot beside them that relies on neither."""
    steps = [
        ("speed", 1000.0), ("tool", 1), ("rapid", 20, 20, 5), ("feed", 20, 20, -20), ("rapid", 20, 20, 5),
        ("tool", 2), ("rapid", 20, 20, 5), ("feed", 20, 20, -20), ("rapid", 20, 20, 5),
        ("tool", 3), ("rapid", 60, 5, 5), ("feed", 60, 5, -5), ("feed", 60, 35, -5), ("rapid", 60, 35, 5),
    ]  # fmt: skip
    return run_of(steps)


def test_a_drill_meets_what_its_pilot_left_and_the_slot_beside_meets_nothing_more() -> None:
    # Closed form: the pilot's cylinder, pi / 4 * 6^2 * 20 mm3; both are flat-ended here.
    run = drilled_and_bored()
    shapes = {n: tool_shape(n, "end mill", diameter_mm=d) for n, d in ((1, 6.0), (2, 12.0), (3, 8.0))}
    blank = BoxBlank((0.0, 0.0, -30.0), (80.0, 40.0, 0.0))
    (one,) = reliances_met(run.moves, blank, shapes, machine="mill", resolution_mm=0.2)
    assert (one.later, one.earlier) == (2, 1)
    assert one.met_mm3 == pytest.approx(math.pi / 4 * 36 * 20, rel=0.03)
    assert one.share == pytest.approx(0.25, abs=0.01)  # (6 / 12) squared


def test_only_the_first_part_is_tried_where_only_that_is_asked() -> None:
    run = drilled_and_bored()
    shapes = {n: tool_shape(n, "end mill", diameter_mm=8.0) for n in (1, 2, 3)}
    blank = BoxBlank((0.0, 0.0, -30.0), (80.0, 40.0, 0.0))
    assert reliances_met(run.moves, blank, shapes, machine="mill", end=3, resolution_mm=0.5) == ()
