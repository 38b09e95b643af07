"""Made again: the printed learning table, the line through many starts, and few repeats that teach little."""

from __future__ import annotations

import math

import numpy as np
import pytest

from steadyrest.promise.lessons.repeats import PART_SD, SLOPE, SLOPE_SD, Made, repeats, unit_ratio

# Crawford's unit times at 80 %; the columns stand in textbook learning tables (computed, from memory).
TABLE = {1: 1.0, 2: 0.8000, 3: 0.7021, 4: 0.6400, 5: 0.5956, 8: 0.5120, 10: 0.4765, 20: 0.3812, 50: 0.2838, 100: 0.2271}


@pytest.mark.parametrize(("nth", "printed"), TABLE.items())
def test_the_nth_time_takes_what_the_table_prints(nth: int, printed: float) -> None:
    assert unit_ratio(nth, 0.8) == pytest.approx(printed, abs=0.5e-4)


def test_much_work_done_again_teaches_its_rate_whatever_each_part_s_estimate_is_off_by() -> None:
    rng = np.random.default_rng(3)
    off = 0.3 * rng.standard_normal(40)
    made = [Made(f"p{p}", n, 0.1 + a + math.log(TABLE[n])) for p, a in enumerate(off) for n in (1, 2, 3, 4, 5, 8)]
    found = repeats(made, shop=0.1, spread=0.05)
    assert found is not None
    assert found.rate() == pytest.approx(0.80, abs=0.01)
    assert (found.parts, found.times) == (40, 240)


def test_what_is_believed_is_what_weighing_a_grid_gives() -> None:
    made = [Made("a", 1, 0.20), Made("a", 2, 0.05), Made("a", 3, -0.02), Made("b", 2, 0.10), Made("b", 4, 0.02)]
    found = repeats(made, shop=0.05, spread=0.15)
    assert found is not None
    slope = np.linspace(SLOPE - 6 * SLOPE_SD, SLOPE + 6 * SLOPE_SD, 601)
    part = np.linspace(-1.5, 1.5, 601)
    log = -0.5 * ((slope - SLOPE) / SLOPE_SD) ** 2
    for name in ("a", "b"):
        each = -0.5 * (part[:, None] / PART_SD) ** 2 + np.zeros_like(slope)
        for one in made:
            if one.part == name:
                each -= 0.5 * ((one.ratio - 0.05 - part[:, None] - slope * math.log(one.nth)) / 0.15) ** 2
        log = log + np.log(np.exp(each).sum(axis=0))
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    mean = float(weight @ slope)
    assert found.slope == pytest.approx(mean, abs=1e-4)
    assert found.slope_sd == pytest.approx(math.sqrt(float(weight @ (slope - mean) ** 2)), abs=1e-4)


def test_one_repeat_hardly_moves_what_is_believed_and_none_says_nothing() -> None:
    one = repeats([Made("a", 1, 0.0), Made("a", 2, -0.7)], shop=0.0, spread=0.3)
    assert one is not None
    assert SLOPE - SLOPE_SD < one.slope < SLOPE
    assert repeats([Made("a", 1, 0.0), Made("b", 1, 0.2)], shop=0.0, spread=0.3) is None
    assert repeats([], shop=0.0, spread=0.3) is None


def test_what_is_out_of_range_is_refused() -> None:
    for wrong in (lambda: Made("a", 0, 0.0), lambda: unit_ratio(0, 0.9), lambda: unit_ratio(2, 0.0),
                  lambda: repeats([], shop=0.0, spread=0.0)):  # fmt: skip
        with pytest.raises(ValueError, match=r"must be|from 1"):
            wrong()
