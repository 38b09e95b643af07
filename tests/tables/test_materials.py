"""Materials, speeds and feeds as laws."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.tables.cutting import (
    ToolMaterial,
    Work,
    cutting_speed,
    drill_feed,
    milling_feed,
    saw_rate,
    turning_feed,
)
from steadyrest.tables.materials import find_material, material_group, material_groups, materials
from steadyrest.tables.rows import sources
from steadyrest.trouble import BadInput

laws = settings(deadline=None, max_examples=100)
WORKS: tuple[Work, ...] = ("turn", "drill", "mill")


def test_every_material_is_found_by_each_of_its_names_and_by_no_other() -> None:
    for material in materials():
        for name in (material.id, material.name, *material.other_names):
            assert find_material(name) == material
            assert find_material(f" {name.upper()} ") == material


def test_what_is_called_nothing_like_it_gets_the_nearest_names() -> None:
    with pytest.raises(BadInput) as refused:
        find_material("C46", where="[piece] 3")
    assert refused.value.line().startswith("[piece] 3: no material is called “C46”.")
    assert "C45" in refused.value.do
    with pytest.raises(BadInput, match="Write a name such as"):
        find_material("?")


@laws
@given(text=st.text(max_size=60))
def test_any_text_names_a_material_or_is_refused_in_one_line(text: str) -> None:
    try:
        found = find_material(text).id
    except BadInput as refused:
        found = refused.line()
    assert found
    assert "\n" not in found


@pytest.mark.parametrize("material", materials(), ids=lambda material: material.id)
def test_a_material_is_possible(material) -> None:
    assert 800 < material.density_kg_m3 < 9000
    assert 500 < material.e_mpa < 220_000
    assert 8e-6 < material.expansion_per_k < 2e-4
    assert material.yield_mpa is None or material.yield_mpa <= material.rm_mpa
    assert material.kc11_mpa == material_group(material.group).kc11_mpa
    assert 0 <= material.mc < 1
    for low, high in (material.vc_hss_m_min, material.vc_carbide_m_min):
        assert 0 < low < high
    assert material.vc_carbide_m_min[1] > material.vc_hss_m_min[1]
    assert material.invented_price_per_kg > 0
    assert set(material.sources) <= set(sources())
    letter = material_group(material.group).iso_letter
    # Brinell times 3.4 is about the strength of steel (common practice, no source).
    if letter == "P":
        assert material.rm_mpa == pytest.approx(3.4 * material.hardness_hb, rel=0.2)
    assert material.magnetic is (letter in ("P", "K") or material.group in (12, 13))


def test_groups_are_numbered_through() -> None:
    assert [group.number for group in material_groups()] == list(range(1, 42))
    with pytest.raises(KeyError):
        material_group(42)


def test_every_group_that_a_tool_cuts_has_its_bands() -> None:
    tools: tuple[ToolMaterial, ...] = ("hss", "carbide")
    for group in range(1, 38):
        for work in WORKS:
            hss, carbide = (cutting_speed(group, work=work, tool=tool) for tool in tools)
            assert hss is not None
            assert carbide is not None
            assert 0 < hss.low < hss.middle < hss.high < carbide.high
        rough, finish = turning_feed(group, "rough"), turning_feed(group, "finish")
        assert finish.high <= rough.low + 0.14
        assert saw_rate(group).area_cm2_min.low > 0


def test_high_speed_steel_does_not_cut_hardened_steel() -> None:
    assert cutting_speed(38, work="turn", tool="hss") is None
    with pytest.raises(KeyError):
        saw_rate(38)


@laws
@given(group=st.integers(1, 41), small=st.floats(0.1, 60), more=st.floats(0, 60))
def test_a_larger_drill_or_cutter_is_fed_no_less(group: int, small: float, more: float) -> None:
    assert drill_feed(group, small) <= drill_feed(group, small + more) + 1e-12
    less, larger = milling_feed(group, small), milling_feed(group, small + more)
    assert 0 < less.low <= larger.low + 1e-12
    assert less.low < less.high <= larger.high + 1e-12


def test_a_drill_without_diameter_is_our_own_mistake() -> None:
    with pytest.raises(ValueError, match="must be positive"):
        drill_feed(1, 0)
