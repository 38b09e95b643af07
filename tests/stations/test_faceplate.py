"""A milled body back on the lathe: what swings is balanced and slow enough, or refused with numbers."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats

from steadyrest.route.best import best_routes
from steadyrest.shop.floor import LatheLimits, Shop
from steadyrest.shop.part import Part
from steadyrest.shop.work import Step
from steadyrest.stations.turn.balance import Swung, fastest, swung, weight_kg
from steadyrest.tables.practice import rule
from tests.stations.parts import demo_shop, size
from tests.stations.solids import DOWN, Block

SHOP = demo_shop()
C45 = SHOP.material("C45")
KG_MM3 = C45.density_kg_m3 * 1e-9


def housing(x0: float = 45.0, limits: tuple[float, float] = (61.994, 62.013), wide: int = 120) -> Part:
    """A block with a bore of 62, finer than the mill holds, x0 from its end."""
    block = Block(wide, 90, 60, 1.0).cut(lambda x, y, _: (x - x0) ** 2 + (y - 45) ** 2 < 31.0**2)
    bore = (size("diameter_mm", 62.0, limits), size("length_mm", 60.0))
    return block.named("bore", bore, DOWN, (x0, 45.0, 30.0), inside=True, through=True).part()


def lathe(**limits: object) -> Shop:
    return replace(SHOP, machines=tuple(
        replace(m, limits=replace(m.limits, **limits)) if m.id == "lathe" else m for m in SHOP.machines
    ))  # fmt: skip


def again(shop: Shop, part: Part | None = None) -> Step | None:
    """The step back on the lathe in the best route, or None."""
    best = best_routes(part or housing(), material=C45, quantity=1, shop=shop, keep=1)[0]
    return next((step for step in best.steps if step.station == "turn"), None)


def test_a_bore_that_the_mill_cannot_hold_goes_back_to_the_lathe_after_the_last_milling() -> None:
    best = best_routes(housing(), material=C45, quantity=1, shop=SHOP, keep=1)[0]
    stations = [step.station for step in best.steps]
    step = best.steps[stations.index("turn")]
    assert not best.cannot
    assert step.makes == ("B1",)
    assert "mill" not in stations[stations.index("turn") :]
    assert {reason.key for reason in step.cautions} >= {"caution.swung", "caution.balance"}
    assert step.holding.key == "turn.hold_faceplate"
    assert not step.unattended
    assert [point.feature for point in step.hold_points] == ["B1"]


def test_four_jaws_that_open_so_far_are_taken_before_the_faceplate() -> None:
    step = again(lathe(four_jaw_mm=(20.0, 250.0)))
    assert step is not None
    assert step.holding.key == "turn.hold_swung_jaws"


@pytest.mark.parametrize(
    ("limits", "says"),
    [
        ({"faceplate_mm": 0.0}, "turn.swung_no_plate"),
        ({"faceplate_mm": 90.0}, "turn.swung_plate"),
        ({"swing_mm": 150.0, "swing_over_slide_mm": 140.0}, "turn.swung_swing"),
        ({"max_load_kg": 2.0}, "turn.swung_load"),
    ],
)
def test_a_body_that_the_lathe_does_not_swing_is_refused_with_the_number_and_the_nearest_yes(
    limits: dict[str, float], says: str
) -> None:
    best = best_routes(housing(), material=C45, quantity=1, shop=lathe(**limits), keep=1)[0]
    no = next(no for no in best.cannot if "B1" in no.features)
    assert says in {reason.key for reason in no.reasons}
    assert no.nearest is not None


def test_the_centre_of_gravity_is_that_of_a_block_with_a_hole_worked_out_by_hand() -> None:
    part = housing(45.0)
    body = swung(part, part.feature("B1"), density_kg_m3=C45.density_kg_m3)
    assert body is not None
    hole, whole = math.pi * 31.0**2 * 60.0, 120.0 * 90.0 * 60.0
    off_mm = (whole * (60.0 - 45.0)) / (whole - hole)  # the hole's own weight lies on the axis
    assert body.off_mm == pytest.approx(off_mm, rel=2e-3)
    assert body.mass_kg == pytest.approx((whole - hole) * KG_MM3, rel=2e-3)
    assert body.radius_mm == pytest.approx(math.hypot(75.0, 45.0), abs=0.1)
    assert weight_kg(body, 100.0) * 100.0 == pytest.approx(body.mass_kg * off_mm, rel=4e-3)


@settings(deadline=None, max_examples=25)
@given(mass=floats(0.2, 80.0), off=floats(0.0, 120.0), radius=floats(20.0, 200.0), grip=floats(900.0, 5e4))
def test_at_its_fastest_nothing_is_shaken_thrown_or_swung_beyond_what_is_allowed(
    mass: float, off: float, radius: float, grip: float
) -> None:
    machine = SHOP.machine("lathe")
    limits = machine.limits
    assert isinstance(limits, LatheLimits)
    body = Swung(mass, off, radius, 50.0, (radius, radius), (radius, radius))
    rpm = fastest(machine, limits, body, grip).value
    turn = (2.0 * math.pi * rpm / 60.0) ** 2 / 1000.0
    left = max(rule("balance_left_share") * off, rule("balance_left_mm"))
    assert mass * left * turn <= rule("shake_share") * limits.max_load_kg * 9.81 * (1 + 1e-9)
    assert mass * off * turn + mass * 9.81 <= grip * (1 + 1e-9)
    assert 2.0 * math.pi * radius * rpm / 1000.0 <= rule("rim_m_min") * (1 + 1e-9)
    assert rpm <= limits.chuck_max_rpm
    assert fastest(machine, limits, replace(body, off_mm=off * 1.5), grip).value <= rpm + 1e-9


def test_a_slanted_bore_is_refused_as_slanted() -> None:
    part = housing()
    leaning = replace(part.feature("B1"), axis=(0.5, 0.0, -0.866))
    assert swung(part, leaning, density_kg_m3=C45.density_kg_m3) is None
