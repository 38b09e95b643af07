"""Figures and reasons: data that can always say why."""

from __future__ import annotations

import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadyrest.shop.figure import Figure, because, least
from steadyrest.trouble import BadInput

values = st.floats(allow_nan=False, allow_infinity=False, width=32)


def limit(value: float, name: str) -> Figure:
    return Figure(value, "N", (because(name),))


@given(st.lists(values, min_size=1, max_size=6))
def test_the_least_limit_keeps_its_own_reason_first(given_values: list[float]) -> None:
    limits = [limit(value, f"limit.{i}") for i, value in enumerate(given_values)]
    bound = least(limits)
    assert bound.value == min(given_values)
    assert bound.why[0].key in {one.why[0].key for one in limits if one.value == bound.value}


def test_the_least_limit_says_what_would_bind_next() -> None:
    bound = least([limit(30, "a.x"), limit(10, "a.y"), limit(20, "a.z")])
    assert [reason.key for reason in bound.why] == ["a.y", "limit.next"]
    following = dict(bound.why[1].given)["figure"]
    assert isinstance(following, Figure)
    assert following.value == 20


def test_a_figure_without_a_reason_is_refused() -> None:
    with pytest.raises(ValueError, match="carries a reason"):
        Figure(1.0, "mm", ())


def test_bad_input_survives_the_way_out_of_a_worker() -> None:
    trouble = BadInput(where="cover.ply", what="the file is cut\noff.", do="Export it again.")
    back = pickle.loads(pickle.dumps(trouble))
    assert back.line() == "cover.ply: the file is cut off. Export it again."
