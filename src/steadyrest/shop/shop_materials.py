"""The tables' materials as the shop's: the same metals, with a price per kg."""

from __future__ import annotations

from functools import cache

from steadyrest.shop.floor import Material
from steadyrest.tables.materials import materials


@cache
def table_materials() -> tuple[Material, ...]:
    """Every material of the tables, with the invented price that stands in for the shop's own.

    Returns: in the table's order.
    """
    return tuple(
        Material(
            id=row.id,
            name=row.name,
            other_names=row.other_names,
            group=row.group,
            density_kg_m3=row.density_kg_m3,
            kc11_mpa=row.kc11_mpa,
            mc=row.mc,
            hardness_hb=row.hardness_hb,
            rm_mpa=row.rm_mpa,
            e_mpa=row.e_mpa,
            expansion_per_k=row.expansion_per_k,
            vc_hss_m_min=row.vc_hss_m_min,
            vc_carbide_m_min=row.vc_carbide_m_min,
            price_per_kg=row.invented_price_per_kg,
            stringy=row.stringy,
            magnetic=row.magnetic,
            sources=row.sources,
        )
        for row in materials()
    )
