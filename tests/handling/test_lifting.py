"""Laws of lifting by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadyrest.handling.lifting import Lift, hours_of, may_lift, several, shares

LIFTS = st.builds(
    Lift,
    load_kg=st.floats(0.1, 60),
    out_mm=st.floats(0, 700),
    hands_mm=st.floats(0, 1900),
    start_hands_mm=st.floats(0, 1900),
    travel_mm=st.floats(0, 1900),
    twist_deg=st.floats(0, 150),
    per_min=st.floats(0, 16),
    hours=st.sampled_from(["short", "moderate", "long"]),
    grip=st.sampled_from(["good", "fair", "poor"]),
)
SYSTEMS = st.sampled_from(["metric", "us"])


@given(LIFTS, SYSTEMS)
def test_every_share_is_from_nothing_to_one_and_the_limit_never_above_the_constant(lift, system):
    left = shares(lift, system)
    for name in ("out", "hands", "travel", "twist", "often", "grip"):
        assert 0 <= getattr(left, name) <= 1
    assert 0 <= may_lift(lift, system).limit.value <= 23.2


@given(LIFTS, SYSTEMS, st.floats(0, 300))
def test_farther_out_oftener_longer_and_more_twisted_is_never_easier(lift, system, more):
    limit = may_lift(lift, system).limit.value
    for worse in (
        replace(lift, out_mm=lift.out_mm + more),
        replace(lift, per_min=lift.per_min + more / 100),
        replace(lift, twist_deg=lift.twist_deg + more / 10),
        replace(lift, travel_mm=lift.travel_mm + more),
        replace(lift, hours="long"),
        replace(lift, grip="poor"),
    ):
        assert may_lift(worse, system).limit.value <= limit + 1e-12


@given(LIFTS, SYSTEMS)
def test_the_first_caution_says_what_the_index_means(lift, system):
    judged = may_lift(lift, system)
    said = judged.cautions[0].key
    assert said == (
        "lifting.caution_never" if judged.index > 3
        else "lifting.caution_raised" if judged.index > 1 else "lifting.caution_within"
    )  # fmt: skip
    assert {"lifting.caution_scope", "lifting.caution_rules"} <= {one.key for one in judged.cautions}


@given(st.lists(LIFTS.map(lambda one: replace(one, hours="short")), min_size=1, max_size=4), SYSTEMS)
def test_several_tasks_are_never_lighter_than_the_heaviest_alone_nor_depend_on_their_order(lifts, system):
    whole = several(lifts, system)
    assert whole >= max(may_lift(lift, system).index for lift in lifts) * (1 - 1e-12)
    if len({may_lift(lift, system).index for lift in lifts}) == len(lifts):
        assert several(lifts[::-1], system) == pytest.approx(whole)


@given(LIFTS, SYSTEMS)
def test_where_nothing_may_be_lifted_the_index_is_infinite(lift, system):
    assert math.isinf(may_lift(replace(lift, out_mm=700.0), system).index)


@pytest.mark.parametrize("wrong", [{"out_mm": -1.0}, {"load_kg": -1.0}, {"per_min": -0.1}])
def test_a_negative_length_or_load_is_refused(wrong):
    lift = Lift(10, 300, 700, 700, 300, 0, 1, "short", "good")
    with pytest.raises(ValueError, match="negative"):
        may_lift(replace(lift, **wrong))


def test_hours_are_refused_above_eight():
    with pytest.raises(ValueError, match="8 hours"):
        hours_of([(481, 0)])


def test_tasks_of_different_hours_are_refused():
    lift = Lift(10, 300, 700, 700, 300, 0, 1, "short", "good")
    with pytest.raises(ValueError, match="same hours"):
        several([lift, replace(lift, hours="long")])
