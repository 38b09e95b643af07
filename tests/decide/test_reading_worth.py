"""What a reading spares: never less than nothing, nothing where nothing can go wrong, more where more is at stake."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.decide.reading_worth import Again, Worth, worth_of_readings
from steadyrest.part.nominal.judged import judge
from steadyrest.part.nominal.name import name_sizes, with_reading
from steadyrest.part.nominal.shared import as_scanned
from steadyrest.shop.part import Part
from tests.part.nominal.parts import part_of, round_feature

AGAIN = Again(money=300.0, late_s=8 * 3600.0)


def shaft(doubtful_mm: float, u_mm: float = 0.03) -> Part:
    """A shaft whose first diameter may be one of two."""
    return part_of(
        round_feature("F1", doubtful_mm, 0, 20, u=u_mm), round_feature("F2", 42.0, 20, 50),
        round_feature("F3", 25.0, 50, 80), round_feature("F4", 30.0, 80, 95),
    )  # fmt: skip


def worth(part: Part, again: Again = AGAIN) -> tuple[Worth, ...]:
    named = name_sizes(part)
    return worth_of_readings(named, judge(as_scanned(named)), again)


def test_the_size_that_may_be_another_is_to_be_read_first() -> None:
    first = worth(shaft(35.6, u_mm=0.08))[0]
    assert (first.feature, first.size) == ("F1", "diameter_mm")
    assert "micrometer" in first.gauge


@settings(deadline=None, max_examples=6)
@given(seen_mm=st.floats(35.0, 36.0), u_mm=st.floats(0.005, 0.1))
def test_nothing_spares_less_than_nothing_or_more_than_all(seen_mm: float, u_mm: float) -> None:
    for one in worth(shaft(seen_mm, u_mm)):
        assert 0 < one.money.value <= AGAIN.money
        assert 0 < one.time.value <= AGAIN.late_s
        assert one.wrong_after <= one.wrong_before <= 1


def test_twice_the_money_at_stake_spares_twice_as_much() -> None:
    part = shaft(35.6, u_mm=0.08)
    once, twice = worth(part), worth(part, Again(2 * AGAIN.money, AGAIN.late_s))
    assert [one.feature for one in once] == [one.feature for one in twice]
    assert all(abs(b.money.value - 2 * a.money.value) < 1e-9 for a, b in zip(once, twice, strict=True))


def test_what_was_read_is_not_asked_for_again() -> None:
    part = with_reading(shaft(35.6, u_mm=0.08), "F1", "diameter_mm", 35.5, 0.004)
    assert all((one.feature, one.size) != ("F1", "diameter_mm") for one in worth(part))


def test_a_model_has_nothing_to_read() -> None:
    exact = [round_feature(f"F{k}", d, 20 * k, 20 * k + 20, u=0.0) for k, d in enumerate((20.0, 35.3, 40.0))]
    assert worth(replace(part_of(*exact), kind="solid", noise_mm=0.0)) == ()


def test_a_worn_surface_is_asked_about_where_another_use_would_refuse_what_is_made() -> None:
    part = part_of(
        round_feature("F1", 30.03, 0, 20, wear=0.3, worn=(5, 15), measured=29.6), round_feature("F2", 42.0, 20, 50),
        round_feature("F3", 25.0, 50, 80),
    )  # fmt: skip
    asked = [one for one in worth(part) if not one.gauge]
    assert [one.feature for one in asked] == ["F1"]
