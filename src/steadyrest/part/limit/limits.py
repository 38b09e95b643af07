"""Limits of each size: by what it is for, where that is known; else the general tolerance.

A hand-held scan picks the candidate, function picks the limits, the micrometer decides. Limits are absolute sizes.
Shafts and bores: function_limits.py. What is cut into them: cut_limits.py. Threads: threads/on_part.py.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from steadyrest.part.limit import cut_limits as cuts
from steadyrest.part.limit import function_limits as function
from steadyrest.shop.figure import because
from steadyrest.shop.part import Feature, Limits, Nominal, Part, Size
from steadyrest.tables import general_tolerances

Rule = Callable[[Part, Feature, Size, Nominal], Limits | None]


def with_limits(part: Part) -> Part:
    """The part with limits on every named size.

    Args:
        part: named.
    Returns: the part; a size keeps limits None only where no table has any (below 0.5 mm).
    Source: ISO 286-1, DIN 6885-1, DIN 471, ISO 273, ISO 2768-1 and others, by the tables' own readers.
    """
    return replace(part, features=tuple(limited(part, feature) for feature in part.features))


def limited(part: Part, feature: Feature) -> Feature:
    """One feature with limits on its sizes."""
    sizes: list[Size] = []
    for size in feature.sizes:
        nominal = size.nominal
        if nominal is None or size.name == "angle_deg":
            sizes.append(size)
            continue
        found = next((f for rule in RULES if (f := rule(part, feature, size, nominal)) is not None), None)
        sizes.append(replace(size, nominal=replace(nominal, limits=found)))
    return replace(feature, sizes=tuple(sizes))


def general(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """What nothing else rules: ISO 2768-1, class m."""
    del part, size
    broken_edge = feature.kind in ("chamfer", "fillet")
    rule = general_tolerances.broken_edge_mm if broken_edge else general_tolerances.general_tolerance_mm
    off = rule(nominal.value, "m")
    if off is None:
        return None
    why = because("limits.general", source="iso-2768-1", off_mm=off)
    return Limits(max(0.0, nominal.value - off), nominal.value + off, (why,))


RULES: tuple[Rule, ...] = (
    function.bearing_seat, function.bearing_housing, function.seal_seat, function.seal_housing, function.keyed_bore,
    function.keyed_shaft, cuts.keyway_width, cuts.inch_keyway_width, cuts.keyway_depth, cuts.ring_groove,
    cuts.o_ring_groove, cuts.relief, cuts.bolt_hole, cuts.counterbore, cuts.tap_drill, function.worn_surface,
    function.twin_of_worn, function.stock, general,
)  # fmt: skip
