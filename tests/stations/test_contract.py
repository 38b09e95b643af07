"""One contract for all stations, over any part and every machine of the floor."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis.strategies import DrawFn, booleans, composite, integers, sampled_from

from steadyrest.shop.figure import Figure, Reason
from steadyrest.shop.finish import finishes
from steadyrest.shop.work import Blank
from steadyrest.stations.answer import Ask, State, Station
from steadyrest.stations.known import STATIONS
from steadyrest.wording.say import say
from tests.stations.blocks import BLOCKS
from tests.stations.parts import bracket, demo_shop, parts

TREATMENTS = ("stress relieved", "hardened 50 HRC", "ground", "plated 8 um")
METALS = ("C45", "42CrMo4", "1.4301", "6082-T6", "GG25", "Ti-6Al-4V", "POM")


@composite
def asks(draw: DrawFn) -> Ask:
    shop = demo_shop()
    kind = draw(integers(0, 9))
    part = draw(parts()) if kind > 1 else bracket() if kind else draw(sampled_from(BLOCKS))()
    profile = part.profile
    largest = profile.largest_mm if profile else max(part.size_mm)
    length = profile.length_mm if profile else max(part.size_mm)
    raw = largest + draw(sampled_from([0.0, 0.0, 2.5, 20.0, -5.0]))
    metal = shop.material(draw(sampled_from(METALS)))
    mass = math.pi / 4 * raw**2 * (length + 3) * 1e-9 * metal.density_kg_m3
    blank = Blank("round", (raw,), length + 3.0, mass, metal.id, ())
    if part.grid is not None:
        x, y, z = part.size_mm
        mass = (x + 4.0) * (y + 4.0) * (z + 3.0) * 1e-9 * metal.density_kg_m3
        blank = Blank(draw(sampled_from(["flat", "block"])), (y + 4.0, z + 3.0), x + 4.0, mass, metal.id, ())
    state = State(
        blank, "bright drawn", draw(sampled_from([length, length + 50.0, 6000.0])), mass * 2, draw(booleans())
    )
    features = tuple(f.id for f in part.features if draw(integers(0, 3)))
    machine = draw(sampled_from([None, *shop.machines]))
    finish = draw(sampled_from([None, *finishes(TREATMENTS)]))
    return Ask(part, features, state, metal, draw(sampled_from([1, 2, 12, 500])), shop, machine, finish)


def sentences(reason: Reason) -> None:
    """Say it, and whatever it carries."""
    assert say(reason)
    for _, value in reason.given:
        if isinstance(value, Figure):
            for inner in value.why:
                sentences(inner)


@pytest.mark.parametrize("station", STATIONS.values(), ids=STATIONS)
@settings(deadline=None, max_examples=25)
@given(ask=asks())
def test_every_feature_asked_for_is_either_made_or_refused_with_a_reason(station: Station, ask: Ask) -> None:
    answer = station(ask)
    made, refused = set(answer.made), {name for no in answer.undone for name in no.features}
    assert made | refused == set(ask.features)
    assert not made & refused
    assert len(answer.made) == len(made), "a feature is made once"
    assert all(no.reasons for no in answer.undone)
    # Asked for nothing, a mill has neither a step nor a refusal to give.
    assert answer.steps or answer.undone or not ask.features
    assert answer.state.done == ask.state.done | made


@pytest.mark.parametrize("station", STATIONS.values(), ids=STATIONS)
@settings(deadline=None, max_examples=15)
@given(ask=asks())
def test_every_figure_is_a_number_with_a_reason_that_can_be_said(station: Station, ask: Ask) -> None:
    answer = station(ask)
    for step in answer.steps:
        for figure in (*step.limits, *step.split, *(phase.duration_s for phase in step.phases)):
            assert math.isfinite(figure.value)
            assert figure.value >= 0
            for reason in figure.why:
                sentences(reason)
        for reason in (
            step.holding,
            *step.cautions,
            *step.notes,
            *step.unattended_why,
            *(p.if_not for p in step.hold_points),
        ):
            sentences(reason)
        assert all(phase.who or step.unattended for phase in step.phases)
        assert step.unattended is False or not step.unattended_why
    for no in answer.undone:
        for reason in no.reasons:
            sentences(reason)
        if no.nearest:
            sentences(no.nearest)
