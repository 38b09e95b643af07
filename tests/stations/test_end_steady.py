"""The free end of long work: bored in a steady with the centre drawn back, or refused with the numbers."""

from __future__ import annotations

from dataclasses import replace

import pytest

from steadyrest.shop.part import Part
from steadyrest.tables.practice import rule
from tests.stations.parts import turned
from tests.stations.test_turn import ask, lathe

STEADY = (10.0, 120.0)


def long_bored() -> Part:
    """Thicker than the spindle's hole and long: a centre holds its end, and the end has a bore."""
    return turned([(60.0, 400.0, None), (70.0, 60.0, None)], bores=((20.0, 0.0, 30.0),))


def test_an_end_that_a_centre_holds_is_bored_only_where_a_steady_takes_it_over() -> None:
    without, with_one = ask(long_bored(), 75.0, lathe()), ask(long_bored(), 75.0, lathe(steady_mm=STEADY))
    (no,) = [no for no in without.undone if "B1" in no.features]
    said = {reason.key: dict(reason.given) for reason in no.reasons}
    assert float(str(said["turn.bore_at_centre"]["reach_mm"])) > 400.0
    assert no.nearest is not None
    assert dict(no.nearest.given)["under_mm"] == 60.0
    assert "B1" in with_one.made
    (step,) = [step for step in with_one.steps if "B1" in step.makes]
    assert "turn.bored_in_steady" in {note.key for note in step.notes}
    assert "caution.steady" in {caution.key for caution in step.cautions}
    plain = next(one for one in without.steps if one.id == step.id)
    assert step.phases[0].duration_s.value >= plain.phases[0].duration_s.value + rule("steady_set_s") - 1e-6


def test_a_steady_too_small_for_the_end_is_no_steady_and_says_its_size() -> None:
    got = ask(long_bored(), 75.0, lathe(steady_mm=(5.0, 40.0)))
    (no,) = [no for no in got.undone if "B1" in no.features]
    assert dict(next(r for r in no.reasons if r.key == "turn.steady_size").given)["has_mm"] == 60.0


def flange_on_a_stem() -> Part:
    """Most of its outside stays as the bar comes; its end is turned far from the chuck."""
    return turned([(50.0, 20.0, None), (60.0, 480.0, None)], bores=((20.0, 0.0, 30.0),))


def test_without_a_tailstock_the_end_stands_in_a_steady_from_the_start_or_is_refused() -> None:
    bare = lathe(tailstock=False)
    assert "turn.no_end_steady" in {r.key for no in ask(flange_on_a_stem(), 60.0, bare).undone for r in no.reasons}
    got = ask(flange_on_a_stem(), 60.0, lathe(tailstock=False, steady_mm=STEADY))
    held = [step.holding for step in got.steps if step.holding.key == "turn.hold_end_steady"]
    assert held
    assert "B1" in got.made
    given = dict(held[0].given)
    assert 0.0 < float(str(given["at_mm"])) < float(str(given["reach_mm"]))


def test_the_end_springs_less_with_the_steady_beside_it() -> None:
    """Source: the beam itself, held against finite elements in test_turn_holding."""
    got = ask(flange_on_a_stem(), 60.0, lathe(tailstock=False, steady_mm=STEADY))
    at, reach = (
        float(str(dict(next(s for s in got.steps if s.holding.key == "turn.hold_end_steady").holding.given)[key]))
        for key in ("at_mm", "reach_mm")
    )
    from steadyrest.stations.turn.beam import Beam

    free = Beam(((reach, 60.0),), 210e3, centre=False)
    assert replace(free, steady_mm=at).spring_mm_n(reach) < 0.2 * free.spring_mm_n(reach)


@pytest.mark.parametrize("steady", [None, STEADY])
def test_all_that_is_asked_is_made_or_refused_with_a_reason(steady: tuple[float, float] | None) -> None:
    got = ask(flange_on_a_stem(), 62.0, lathe(tailstock=False, steady_mm=steady))
    refused = {name for no in got.undone for name in no.features if no.reasons}
    assert {"S1", "S2", "B1", "F1", "F2"} <= set(got.made) | refused
