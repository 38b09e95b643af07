"""Long bar in a lathe: what whips behind the spindle, what is refused with the nearest yes, how an end is centred."""

from __future__ import annotations

import math

import numpy as np
import pytest

from steadyrest.route.best import best_routes
from steadyrest.shop.work import Route, Step
from steadyrest.stations.turn.long_bar import whip_rpm
from tests.stations.parts import demo_shop, spindle, turned

SHOP = demo_shop()


def route(length_mm: float, diameter_mm: float = 40.0) -> Route:
    """A bar that stays as drawn but for a step at one end."""
    part = turned([(diameter_mm - 5.0, 40.0, None), (diameter_mm, length_mm - 40.0, None)], name="long bar")
    return best_routes(part, material=SHOP.material("C45"), quantity=1, shop=SHOP, keep=1)[0]


def lathe_steps(found: Route) -> tuple[Step, ...]:
    return tuple(step for step in found.steps if step.station == "turn")


def first_mode_rpm(diameter_mm: float, out_mm: float, e_mpa: float, density_kg_m3: float) -> float:
    """The same bar as masses on a bent line: its flexibility by Castigliano, its slowest mode by eigenvalues."""
    parts = 200
    x = (np.arange(parts) + 0.5) * out_mm / parts
    low, high = np.minimum.outer(x, x), np.maximum.outer(x, x)
    bends = low**2 * (3.0 * high - low) / (6.0 * e_mpa * math.pi * diameter_mm**4 / 64.0)
    mass_t = density_kg_m3 * 1e-12 * math.pi * diameter_mm**2 / 4.0 * out_mm / parts
    return math.sqrt(1.0 / (np.linalg.eigvalsh(bends).max() * mass_t)) * 30.0 / math.pi


@pytest.mark.parametrize(("diameter_mm", "out_mm"), [(10.0, 300.0), (30.0, 1000.0), (50.0, 450.0)])
def test_the_whipping_speed_is_that_of_a_row_of_masses_on_a_bent_line(diameter_mm: float, out_mm: float) -> None:
    bar = {"diameter_mm": diameter_mm, "out_mm": out_mm, "e_mpa": 210_000.0, "density_kg_m3": 7850.0}
    assert whip_rpm(**bar) == pytest.approx(first_mode_rpm(**bar), rel=2e-3)


def test_what_stands_out_behind_the_spindle_is_said_and_turns_slower_the_further_it_stands_out() -> None:
    found = [route(length) for length in (700.0, 1100.0, 1190.0)]
    said = [any(c.key == "caution.bar_out" for step in lathe_steps(one) for c in step.cautions) for one in found]
    assert said == [False, True, True]
    fastest = [
        next(
            dict(c.given)["most_rpm"] for step in lathe_steps(one) for c in step.cautions if c.key == "caution.bar_out"
        )
        for one in found[1:]
    ]
    assert fastest[1] <= fastest[0]  # type: ignore[operator]


def test_a_bar_that_would_need_a_tube_is_refused_with_the_number_and_the_tube_as_the_nearest_yes() -> None:
    found = route(2400.0)
    assert not lathe_steps(found)
    reasons = {reason.key for no in found.cannot for reason in no.reasons}
    assert "turn.bar_out" in reasons
    assert "turn.nearest_tube" in {no.nearest.key for no in found.cannot if no.nearest}


def test_a_bar_too_thick_for_the_hole_and_too_long_for_the_bed_names_the_bed_and_the_hole_that_would_do() -> None:
    found = route(1600.0, 80.0)
    assert not found.steps
    assert {no.nearest.key for no in found.cannot if no.nearest} >= {"turn.nearest_bed"}


def test_an_end_too_far_out_to_be_drilled_is_centred_before_the_centre_holds_it() -> None:
    best = best_routes(spindle(), material=SHOP.material("C45"), quantity=1, shop=SHOP, keep=1)[0]
    on_centre = [step for step in lathe_steps(best) if step.holding.key == "turn.hold_centre"]
    assert on_centre
    assert all(any(note.key.startswith("turn.centred_") for note in step.notes) for step in on_centre)
