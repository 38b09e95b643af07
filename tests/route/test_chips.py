"""What becomes chips, and what is asked where that is most of it."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from steadyrest.route.chips import mostly_chips, perhaps_hollow, thickest_mm
from steadyrest.shop.figure import because
from steadyrest.shop.part import Doubt, Part
from steadyrest.shop.work import Blank
from steadyrest.wording.say import say
from tests.stations.parts import lift_shaft
from tests.stations.solids import Block

STEEL = 7850.0


def angle(leg_mm: float) -> Part:
    """An angle of 100 x 50 x 50 with legs so thick."""
    block = Block(100.0, 50.0, 50.0, pitch=1.0).cut(lambda _x, y, z: (y > leg_mm) & (z > leg_mm))
    return replace(block.part(), volume_mm3=100.0 * (50.0**2 - (50.0 - leg_mm) ** 2))


def solid(part: Part) -> Blank:
    x, y, z = part.size_mm
    return Blank("block", (y, z), x, x * y * z * STEEL * 1e-9, "C45", ())


def test_the_thickest_place_of_an_angle_is_the_ball_in_its_corner() -> None:
    # A circle that touches both outer faces and the inner corner: r = t * sqrt(2) / (1 + sqrt(2)).
    ball_mm = 2.0 * 12.0 * math.sqrt(2.0) / (1.0 + math.sqrt(2.0))
    assert thickest_mm(angle(12.0)) == pytest.approx(ball_mm, abs=1.5)


@pytest.mark.parametrize(("leg_mm", "key"), [(5.0, "chips.shell"), (6.5, "chips.shell"), (20.0, None)])
def test_a_thin_angle_out_of_the_solid_is_asked_about_and_a_thick_one_is_not(leg_mm: float, key: str | None) -> None:
    part = angle(leg_mm)
    why = mostly_chips(part, solid(part), STEEL)
    assert (why.key if why else None) == key
    assert why is None or "angle or channel" in say(why)


def test_no_question_is_asked_of_what_is_not_solid_or_not_known() -> None:
    part = angle(5.0)
    blank = solid(part)
    assert mostly_chips(replace(part, volume_mm3=None), blank, STEEL) is None
    assert mostly_chips(part, replace(blank, shape="plate"), STEEL) is None
    assert mostly_chips(part, replace(blank, mass_kg=0.3), STEEL) is None, "a handful of chips is no question"


def test_a_scan_that_shows_neither_end_and_no_bore_may_be_hollow() -> None:
    ends = tuple(
        Doubt(because(key), because("features.ask_end")) for key in ("features.no_first_face", "features.no_last_face")
    )
    plain = replace(lift_shaft(), kind="scan", features=tuple(f for f in lift_shaft().features if f.kind == "shaft"))
    assert perhaps_hollow(replace(plain, doubts=ends)) == because("chips.perhaps_hollow")
    assert perhaps_hollow(replace(plain, doubts=ends[:1])) is None
    assert perhaps_hollow(replace(plain, doubts=ends, kind="solid")) is None
