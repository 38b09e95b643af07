"""Limits of shafts and bores by what runs, sits or seals there, against printed zones."""

from __future__ import annotations

from dataclasses import replace

import pytest

from steadyrest.part.limit.limits import with_limits
from steadyrest.part.nominal.name import name_sizes
from steadyrest.shop.figure import because
from steadyrest.shop.part import Feature, Limits, Nominal, Part
from steadyrest.wording.say import say
from tests.part.nominal.parts import keyway, part_of, round_feature


def limited(feature: Feature, value: float, source: str, *others: Feature, odds: float = 0.9) -> Limits:
    """Limits of a feature's first size, named as told."""
    nominal = Nominal(value, f"{value:g} mm", odds, source, None, (because("nominal.metric"),))
    sizes = (replace(feature.sizes[0], nominal=nominal), *feature.sizes[1:])
    part = with_limits(part_of(replace(feature, sizes=sizes), *others))
    found = part.feature(feature.id).sizes[0].nominal
    assert found is not None
    assert found.limits is not None
    assert all(say(reason) for reason in found.limits.why)
    return found.limits


def keys_of(limits: Limits) -> list[str]:
    return [reason.key for reason in limits.why]


SHAFT = round_feature("F1", 30.0, 0, 20)
BORE = round_feature("F1", 62.0, 0, 20, kind="bore")


# ISO 286-2 as reprinted (JIS B 0401): k6 at 30, h11 at 30, H8 at 62, H7 at 62.
@pytest.mark.parametrize(
    ("feature", "value", "source", "low", "high", "key"),
    [
        (SHAFT, 30.0, "bearing bore", 30.002, 30.015, "limits.bearing_seat"),
        (SHAFT, 30.0, "seal seat", 29.870, 30.0, "limits.seal_seat"),
        (BORE, 62.0, "bearing outside", 62.0, 62.030, "limits.bearing_housing"),
        (BORE, 62.0, "seal housing", 62.0, 62.046, "limits.seal_housing"),
    ],
)
def test_limits_are_those_of_the_zone(
    feature: Feature, value: float, source: str, low: float, high: float, key: str
) -> None:
    found = limited(feature, value, source)
    assert (found.low_mm, found.high_mm) == (pytest.approx(low, abs=5e-4), pytest.approx(high, abs=5e-4))
    assert found.why[0].key == key
    assert found.why[0].source


def test_a_bearing_seat_says_what_it_takes_for_granted_and_what_else_it_would_be() -> None:
    # h6 at 30: 0 and -13 um; N7 at 62: -9 and -39 um (ISO 286-2, reprinted).
    stands = next(r for r in limited(SHAFT, 30.0, "bearing bore").why if r.key == "limits.if_ring_stands")
    assert dict(stands.given)["low_mm"] == pytest.approx(29.987)
    turns = next(r for r in limited(BORE, 62.0, "bearing outside").why if r.key == "limits.if_ring_turns")
    given = dict(turns.given)
    assert (given["low_mm"], given["high_mm"]) == (pytest.approx(61.961), pytest.approx(61.991))


def test_a_worn_shaft_whose_mate_is_unknown_shows_what_it_may_be() -> None:
    worn = round_feature("F1", 30.0, 0, 20, wear=0.2, worn=(4.0, 16.0), measured=29.8)
    found = limited(worn, 30.0, "metric preferred")
    assert keys_of(found)[:3] == ["limits.worn_shaft", "limits.if_bearing", "limits.if_seal"]
    odd = limited(worn, 31.0, "metric whole")
    assert "limits.if_bearing" not in keys_of(odd)


def test_a_seat_that_is_not_even_likely_gets_no_bearings_limits() -> None:
    assert limited(SHAFT, 30.0, "bearing bore", odds=0.4).why[0].key == "limits.general"


def test_a_hub_on_a_key_gets_h7_and_its_shaft_h6() -> None:
    hub = limited(
        round_feature("F1", 30.0, 0, 40, kind="bore"), 30.0, "metric preferred", keyway("F2", 8, 3.3, 0, 40, "F1")
    )
    shaft = limited(SHAFT, 30.0, "metric preferred", keyway("F2", 8, 4, 2, 18, "F1"))
    assert (hub.low_mm, hub.high_mm) == (30.0, pytest.approx(30.021))
    assert (shaft.low_mm, shaft.high_mm) == (pytest.approx(29.987), 30.0)


def test_a_narrow_band_of_wear_is_taken_for_a_lip_seals() -> None:
    # A band 3 mm wide in a shaft of 40 mm that is 60 long; DIN 3760 has seals for 40 (from memory).
    part = part_of(
        round_feature("F1", 39.93, 0, 60.02, wear=0.12, worn=(30.0, 33.0), measured=39.9),
        round_feature("F2", 50.02, 60.02, 75.0),
        round_feature("F3", 32.01, 75.0, 110.0),
    )
    named: Part = name_sizes(part)
    said = named.feature("F1").sizes[0].nominal
    assert said is not None
    assert said.source == "seal seat"
    assert said.limits is not None
    assert said.limits.why[0].key == "limits.seal_seat"
