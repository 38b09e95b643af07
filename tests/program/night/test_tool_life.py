"""Edges: what is believed before anything was seen, what ends teach, and how long an edge of some age still cuts."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from steadyrest.program.night.tool_life import EdgeEnd, EdgeLife, learned, prior_life
from steadyrest.shop.draws import Luck
from steadyrest.tables.leaving import edge_prior

LAW = settings(deadline=None)

TOOLS = st.sampled_from(["turning", "drill", "end mill", "part-off", "centre drill", "an unknown kind"])
LIVES = st.builds(
    prior_life,
    st.floats(60, 20_000),
    tool=TOOLS,
    made_of=st.sampled_from(["hss", "carbide"]),
    diameter_mm=st.floats(0, 30),
    metal_group=st.one_of(st.none(), st.integers(1, 41)),
)
# Nelson, Applied Life Data Analysis, p. 318, as a statistics program's manual prints it (seen): fans of diesel engines,
# hours, 12 failed, 58 still ran. Its estimates 1.0584 and 26 297 h: from memory.
FAILED_H = (450, 1150, 1150, 1600, 2070, 2070, 2080, 3100, 3450, 4600, 6100, 8750)
RAN_H = (
    (460, 1), (1560, 1), (1660, 1), (1850, 5), (2030, 3), (2200, 1), (3000, 4), (3200, 1), (3750, 2), (4150, 4),
    (4300, 4), (4850, 4), (5000, 3), (6100, 3), (6300, 1), (6450, 2), (6700, 1), (7450, 1), (7800, 2), (8100, 2),
    (8200, 1), (8500, 3), (8750, 2), (9400, 1), (9900, 1), (10100, 3), (11500, 1),
)  # fmt: skip


def flat(shapes: np.ndarray, scales: np.ndarray) -> EdgeLife:
    """Nothing believed: every pair alike."""
    along, across = np.meshgrid(shapes, scales, indexing="ij")
    return EdgeLife(along.ravel(), across.ravel(), np.full(along.size, 1 / along.size))


def fan_ends() -> list[EdgeEnd]:
    ran = [EdgeEnd(float(hours), failed=False) for hours, count in RAN_H for _ in range(count)]
    return ran + [EdgeEnd(float(hours), failed=True) for hours in FAILED_H]


def test_where_nothing_was_believed_the_most_believed_pair_is_the_likeliest_one() -> None:
    # Against a reference library's fit of censored data, and against the printed estimate.
    ends = fan_ends()
    assert len(ends) == 70
    data = stats.CensoredData.right_censored([end.age_s for end in ends], [not end.failed for end in ends])
    shape, _, scale = stats.weibull_min.fit(data, floc=0)
    assert shape == pytest.approx(1.0584, abs=2e-3)
    assert scale == pytest.approx(26_297, rel=2e-3)
    told = learned(flat(np.linspace(0.5, 2, 301), np.linspace(15_000, 45_000, 601)), ends)
    best = int(np.argmax(told.weight))
    assert told.shape[best] == pytest.approx(shape, abs=0.006)
    assert told.scale_s[best] == pytest.approx(scale, rel=0.003)


def test_a_scatter_of_three_tenths_is_the_shape_that_the_table_says() -> None:
    # Life of HSS tools: coefficient of variation about 0.3 (seen, an abstract); the Weibull's own closed form.
    shape = edge_prior("turning", "hss", 0.0).shape
    mean = math.gamma(1 + 1 / shape)
    assert math.sqrt(math.gamma(1 + 2 / shape) - mean**2) / mean == pytest.approx(0.3, abs=0.005)


@LAW
@given(life=LIVES, age_s=st.floats(0, 20_000), more_s=st.floats(0, 20_000), still_s=st.floats(0, 20_000))
def test_lasting_longer_is_never_likelier_and_the_chances_multiply(life, age_s, more_s, still_s) -> None:
    first = life.survives(age_s, more_s)
    assert 0 <= first <= 1
    assert life.survives(age_s, more_s + still_s) <= first + 1e-12
    chained = first * life.survives(age_s + more_s, still_s)
    assert life.survives(age_s, more_s + still_s) == pytest.approx(chained, abs=1e-9)


@LAW
@given(life_s=st.floats(60, 20_000), share=st.floats(0.1, 1.0), tool=TOOLS)
def test_early_breaks_make_an_edge_less_trusted_and_edges_changed_good_more(life_s, share, tool) -> None:
    life = prior_life(life_s, tool=tool)
    before = life.survives(0.0, share * life_s)
    assert learned(life, [EdgeEnd(share * life_s, failed=False)]).survives(0.0, share * life_s) >= before - 1e-12
    assert learned(life, [EdgeEnd(share * life_s / 20, failed=True)] * 3).survives(0.0, share * life_s) < before


def test_draws_agree_with_the_chance() -> None:
    life = prior_life(1500.0, tool="turning")
    luck = Luck(20_000, 3)
    left_s = life.left_s(700.0, luck.uniform("which"), luck.uniform("own"))
    for more_s in (100.0, 500.0, 1200.0):
        assert float((left_s > more_s).mean()) == pytest.approx(life.survives(700.0, more_s), abs=0.012)


def test_the_prior_is_careful_and_many_ends_outweigh_it() -> None:
    life = prior_life(1500.0, tool="turning")
    assert 0.7 < life.survives(0.0, 1500.0) < 0.85
    drawn = 1500.0 * 1.6 * stats.weibull_min(4.0).ppf((np.arange(60) + 0.5) / 60)
    told = learned(life, [EdgeEnd(float(age_s), failed=True) for age_s in drawn])
    true = float(np.exp(-((1500 / (1500 * 1.6)) ** 4.0)))
    assert told.survives(0.0, 1500.0) == pytest.approx(true, abs=0.04)
    assert told.survives(0.0, 1500.0) > life.survives(0.0, 1500.0)


def test_a_finer_grid_changes_no_forecast(monkeypatch: pytest.MonkeyPatch) -> None:
    from steadyrest.program.night import tool_life

    usual = prior_life(900.0, tool="drill", made_of="hss")
    monkeypatch.setattr(tool_life, "SHAPES", 121)
    monkeypatch.setattr(tool_life, "SCALES", 241)
    fine = prior_life(900.0, tool="drill", made_of="hss")
    for age_s, more_s in ((0, 300), (0, 900), (600, 300), (900, 900)):
        assert usual.survives(age_s, more_s) == pytest.approx(fine.survives(age_s, more_s), abs=1e-3)


def test_an_edge_far_beyond_anything_believed_has_nothing_left() -> None:
    life = prior_life(100.0, tool="turning")
    assert life.survives(1e9, 1.0) == 0.0
    assert not life.left_s(1e9, np.array([0.5]), np.array([0.5])).any()


@pytest.mark.parametrize("life_s", [0.0, -1.0, float("nan")])
def test_a_life_that_is_none_is_refused(life_s: float) -> None:
    with pytest.raises(ValueError, match="life_s"):
        prior_life(life_s, tool="drill")


@pytest.mark.parametrize("age_s", [0.0, -5.0, float("inf"), float("nan")])
def test_an_end_without_an_age_is_refused(age_s: float) -> None:
    with pytest.raises(ValueError, match="age_s"):
        EdgeEnd(age_s, failed=True)
