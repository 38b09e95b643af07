"""Limits of keyways, grooves, reliefs and drilled holes against printed rows."""

from __future__ import annotations

from dataclasses import replace

import pytest

from steadyrest.part.limit.cut_limits import relief_beside
from steadyrest.part.limit.limits import with_limits
from steadyrest.part.threads.on_part import thread_limits_of
from steadyrest.shop.figure import because
from steadyrest.shop.part import Feature, Limits
from steadyrest.shop.part import Nominal as Named
from steadyrest.wording.say import say
from tests.part.nominal.parts import groove, keyway, part_of, round_feature


def limited(feature: Feature, named: dict[str, tuple[float, str]], *others: Feature) -> dict[str, Limits]:
    """Limits of a feature's sizes, named as told: size name to (value, source)."""
    sizes = tuple(
        replace(s, nominal=Named(named[s.name][0], f"{named[s.name][0]:g} mm", 0.9, named[s.name][1], None,
                                 (because("nominal.metric"),))) if s.name in named else s
        for s in feature.sizes
    )  # fmt: skip
    found = with_limits(part_of(*others, replace(feature, sizes=sizes))).feature(feature.id)
    limits = {s.name: s.nominal.limits for s in found.sizes if s.nominal is not None and s.nominal.limits is not None}
    assert all(say(reason) for one in limits.values() for reason in one.why)
    return limits


SHAFT = round_feature("F1", 40.0, 0, 60)
BORE = round_feature("F1", 52.0, 0, 30, kind="bore")


def test_a_keyway_is_limited_normal_and_says_tight_and_sliding_beside_it() -> None:
    # 12 wide: N9 0/-43 um, P9 -18/-61, H9 +43/0; depth 5 +0.2 (DIN 6885-1, ISO 286-2, reprinted).
    found = limited(
        keyway("F2", 12, 5, 10, 50, "F1"), {"width_mm": (12.0, "key width"), "depth_mm": (5.0, "key depth")}, SHAFT
    )
    width = found["width_mm"]
    assert (width.low_mm, width.high_mm) == (pytest.approx(11.957), pytest.approx(12.0))
    tight, free = (dict(reason.given) for reason in width.why[1:3])
    assert (tight["low_mm"], tight["high_mm"]) == (pytest.approx(11.939), pytest.approx(11.982))
    assert (free["low_mm"], free["high_mm"]) == (pytest.approx(12.0), pytest.approx(12.043))
    assert (found["depth_mm"].low_mm, found["depth_mm"].high_mm) == (5.0, pytest.approx(5.2))


def test_a_ring_groove_in_a_bore_is_limited_as_printed() -> None:
    # DIN 472 on 52: floor 55 H12 (+0.3), width 2.15 H13 (+0.14).
    inside = replace(groove("F2", 55.1, 2.2, 32, "F1"), inside=True)
    found = limited(inside, {"diameter_mm": (55.0, "ring groove"), "width_mm": (2.15, "ring groove")}, BORE)
    assert (found["diameter_mm"].low_mm, found["diameter_mm"].high_mm) == (55.0, pytest.approx(55.3))
    assert (found["width_mm"].low_mm, found["width_mm"].high_mm) == (2.15, pytest.approx(2.29))


def test_an_o_ring_groove_is_never_narrower() -> None:
    # ISO 3601-2, from memory: floor h9 on a shaft, width +0.25. h9 at 35.3 is -62 um.
    found = limited(
        groove("F2", 35.3, 4.0, 62, "F1"),
        {"diameter_mm": (35.3, "O-ring groove"), "width_mm": (4.0, "O-ring groove")},
        SHAFT,
    )
    assert (found["diameter_mm"].low_mm, found["diameter_mm"].high_mm) == (pytest.approx(35.238), 35.3)
    assert (found["width_mm"].low_mm, found["width_mm"].high_mm) == (4.0, 4.25)


# ISO 273: fine 8.4 H12 (+150 um), medium 9 H13 (+220), coarse 10 H14 (+360).
@pytest.mark.parametrize(("size", "plus", "fit"), [(8.4, 0.15, "fine"), (9.0, 0.22, "medium"), (10.0, 0.36, "coarse")])
def test_a_bolt_hole_is_limited_by_its_own_class(size: float, plus: float, fit: str) -> None:
    hole = round_feature("F1", size, 0, 10, kind="bore")
    found = limited(hole, {"diameter_mm": (size, "bolt hole")})["diameter_mm"]
    assert (found.low_mm, found.high_mm) == (size, pytest.approx(size + plus))
    assert found.why[0].key == f"limits.bolt_hole_{fit}"


def test_a_tap_drill_is_limited_by_the_threads_smallest_diameter() -> None:
    # M8: D1 6.647 (seen in a reprint) and 6H +0.265 (ISO 965-1, from memory).
    hole = round_feature("F1", 6.8, 0, 20, kind="bore")
    found = limited(hole, {"diameter_mm": (6.8, "tap drill")})["diameter_mm"]
    assert (found.low_mm, found.high_mm) == (pytest.approx(6.647, abs=6e-4), pytest.approx(6.912, abs=6e-4))


# 6g major of M10: 9.732 to 9.968 (from memory); 2A major of 10-24: 0.1818 to 0.1890 in (seen).
@pytest.mark.parametrize(("name", "low", "high"), [("M10", 9.732, 9.968), ("10-24", 25.4 * 0.1818, 25.4 * 0.1890)])
def test_an_outside_thread_is_limited_over_its_crests(name: str, low: float, high: float) -> None:
    limits, more = thread_limits_of(name, inside=False)
    assert limits is not None
    assert not more
    assert (limits.low_mm, limits.high_mm) == (pytest.approx(low, abs=2e-3), pytest.approx(high, abs=2e-3))
    assert all(say(reason) for reason in limits.why)


def test_a_nuts_major_diameter_has_no_upper_limit_so_its_smallest_diameter_is_said() -> None:
    limits, (said,) = thread_limits_of("M8", inside=True)
    assert limits is None
    assert say(said)
    assert dict(said.given)["high_mm"] == pytest.approx(6.912, abs=6e-4)


def test_a_thread_of_no_table_gets_no_limits() -> None:
    assert thread_limits_of("G 1/2", inside=False) == (None, ())
    assert relief_beside(0.123) is None
