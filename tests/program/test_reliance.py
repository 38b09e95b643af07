"""Reliance: what a tool would meet if another had cut nothing, against taking that other out and cutting again."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.program.reliance import lost_with, made_by, reliances

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
