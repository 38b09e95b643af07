"""Whether the largest outside diameter is bar as it is bought: then nothing has to be turned there."""

from __future__ import annotations

from steadyrest.part.nominal.unknowns import modelled, outside_diameter
from steadyrest.shop.part import LIKELY, Feature, Part, Size
from steadyrest.tables import bar_stock

BRIGHT = ("bright drawn", "peeled", "turned and ground")
WORN_MM = 0.03
SCAN_MM = 0.02


def stock_size(part: Part, film_mm: float = 0.0) -> str | None:
    """The name of the bar whose own limits hold the part's largest outside diameter.

    Args:
        part: named.
        film_mm: how much too thick the whole part was scanned, as all its sizes together say.
    Returns: such as "bright drawn round 40 mm"; None where it is no stock size, is worn, or not sure.
    Source: bar sizes and their tolerance, tables/data/bar_stock.csv.
    """
    found = [(d.estimate, f, d) for f in part.features if (d := outside_diameter(f)) is not None and f.kind == "shaft"]
    if not found or part.profile is None:
        return None
    largest, feature, size = max(found, key=lambda row: row[0])
    # Another surface as large or larger (a taper, a hexagon's corners, a sphere) would need a larger bar.
    if part.profile.largest_mm > largest * 1.002 + SCAN_MM:
        return None
    return bar_for(part, feature, size, film_mm)


def bar_for(part: Part, feature: Feature, size: Size, film_mm: float) -> str | None:
    """The bar for one diameter, or None."""
    nominal = size.nominal
    if nominal is None or (part.kind == "scan" and nominal.odds < LIKELY) or (feature.wear_mm or 0.0) > WORN_MM:
        return None
    slack = 2 * size.uncertainty + (1e-3 if modelled(part) else SCAN_MM + 2e-4 * size.estimate)
    seen = size.reading[0] if size.reading is not None else size.estimate - film_mm
    slack = 2 * size.reading[1] if size.reading is not None else slack
    for condition in BRIGHT:
        for bar in bar_stock.bar_sizes("round", condition=condition):
            low, high = bar.limits_mm
            if abs(bar.size_mm[0] - nominal.value) < 1e-3 and low - slack <= seen <= high + slack:
                return f"{condition} round {bar.shown}"
    return None
