"""The desk's verb: what a person types becomes evidence, and what cannot be is refused in one line."""

from __future__ import annotations

from dataclasses import replace

import pytest

from steadyrest.desk.incoming.which_metal import MetalSaid, which_metal
from steadyrest.part.read import read
from steadyrest.shop.part import Part
from steadyrest.trouble import BadInput
from tests.part.solid import made


def shaft() -> Part:
    return read(
        made.step(made.stepped_shaft()), "shaft.step", unit=None, progress=lambda _w, _s: None, stop=lambda: False
    )


def test_a_part_and_a_weight_tell_aluminium_from_steel() -> None:
    part = shaft()
    assert part.volume_mm3 is not None
    light = which_metal(MetalSaid(weight=f"{part.volume_mm3 * 2.7e-6:.4f} kg", scale="1 g"), part=part)
    heavy = which_metal(
        MetalSaid(weight=f"{part.volume_mm3 * 7.85e-6 / 0.45359237:.4f} lb", magnet="strong"), part=part
    )
    assert light.kinds[0].name == "aluminium"
    assert heavy.sure is not None
    assert "low-carbon steel" in heavy.sure.kinds


def test_without_a_part_a_weight_in_water_does() -> None:
    found = which_metal(MetalSaid(weight="1 kg", scale="1 g", in_water="887 g", colour="red"))
    assert found.sure is not None
    assert "copper" in found.sure.kinds


def test_without_anything_it_says_what_to_try() -> None:
    found = which_metal(MetalSaid())
    assert found.next_test is not None
    assert found.state != "sure"


@pytest.mark.parametrize(
    "said", [MetalSaid(weight="heavy"), MetalSaid(magnet="maybe"), MetalSaid(weight="1 kg", in_water="2 kg")]
)
def test_what_cannot_be_is_refused(said: MetalSaid) -> None:
    with pytest.raises(BadInput) as refused:
        which_metal(said)
    assert "\n" not in refused.value.line()


def test_a_part_without_a_unit_is_asked_first() -> None:
    part = shaft()
    unknown = replace(part, unit=replace(part.unit, state="ask"))
    with pytest.raises(BadInput):
        which_metal(MetalSaid(weight="1 kg"), part=unknown)
