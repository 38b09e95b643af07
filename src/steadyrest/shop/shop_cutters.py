"""The plate cutters of the shop file: kind = "cutter" (or "jet", one that cuts by water), and [[machine.NAME.cut]]."""

from __future__ import annotations

from typing import cast

from steadyrest.shop.floor import CutterLimits, CutWay
from steadyrest.shop.shop_fields import Fields
from steadyrest.tables.plate_cutting import WAYS, CutRow, figures

CUT_KEYS = ("metal", "strength", "thickness_mm", "feed_mm_min", "kerf_mm", "pierce_s")
METALS = ("steel", "stainless", "cast iron", "aluminium", "copper", "titanium", "plastic")
NO_LIMIT = 1e9


def cutter(fields: Fields) -> CutterLimits:
    """A plate cutter; what the file leaves out is what such a machine usually has.

    Args:
        fields: the machine's table.
    Returns: its limits.
    Raises: BadInput: a key with something wrong.
    """
    way = cast(CutWay, "water" if fields.table.get("kind") == "jet" else fields.text("way", among=WAYS))
    usual = figures(way)
    rapid = usual["usual_rapid_mm_min"]
    rounded = fields.text("corner", "rounded", among=("stop", "rounded")) == "rounded"
    return CutterLimits(
        way=way,
        table_mm=cast(tuple[float, float], fields.numbers("table_mm", count=2)),
        max_thickness_mm=fields.number("max_thickness_mm", above=True),
        max_load_kg=fields.number("max_load_kg", above=True),
        strength=fields.number("strength", usual["usual_strength"], above=True, high=1e5),
        max_feed_mm_min=fields.number("max_feed_mm_min", usual["usual_feed_mm_min"], above=True),
        rapid_mm_min=cast(tuple[float, float], fields.axes("rapid_mm_min", "xy"))
        if "rapid_mm_min" in fields.table
        else (rapid, rapid),
        accel_mm_s2=fields.number("accel_mm_s2", usual["usual_accel_mm_s2"], above=True),
        repeat_mm=fields.number("repeat_mm", usual["usual_repeat_mm"], above=True, high=10),
        corner_mm=fields.number("corner_mm", 0.1, above=True, high=10) if rounded else None,
        slat_gap_mm=fields.number("slat_gap_mm", usual["usual_slat_gap_mm"], high=5000),
        water_table=fields.flag("water_table", way == "water"),
        extraction=fields.flag("extraction", way == "water"),
        supply_w=fields.number("supply_w", NO_LIMIT, above=True),
        air_l_min=fields.number("air_l_min", NO_LIMIT),
        nozzle_price=fields.money("nozzle_price", "0"),
        nozzle_starts=fields.number("nozzle_starts", usual["nozzle_starts"], above=True),
        nozzle_h=fields.number("nozzle_h", usual["nozzle_h"], above=True),
        gas_per_hour=fields.money("gas_per_hour", "0"),
        chart=tuple(_row(row) for row in fields.each("cut")),
    )


def _row(fields: Fields) -> CutRow:
    """One row of the machine's own chart."""
    fields.only(CUT_KEYS)
    return CutRow(
        metal=fields.text("metal", among=METALS),
        strength=fields.number("strength", above=True, high=1e5),
        thickness_mm=fields.number("thickness_mm", above=True, high=1000),
        feed_mm_min=fields.number("feed_mm_min", above=True, high=1e6),
        kerf_mm=fields.number("kerf_mm", above=True, high=50),
        pierce_s=fields.number("pierce_s", high=3600),
    )
