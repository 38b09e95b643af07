"""Which gauge for which size: what it has to be able to take, and the finest one that reaches it."""

from __future__ import annotations

from collections.abc import Mapping

from steadyrest.measure.decision import GUARD
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Gauge, Shop
from steadyrest.shop.part import Feature
from steadyrest.tables.practice import rule

# What a size is taken with, by the feature's kind and the size's name. Two flat walls are no bore: gauge blocks go
# between them and into no bore, and a gauge with three points the other way round.
BY_KIND: Mapping[str, str] = {
    "shaft": "outside", "boss": "outside", "hexagon": "outside", "sphere": "outside", "bore": "inside",
    "keyway": "slot", "slot": "slot", "pocket": "slot", "groove": "outside", "flat": "outside",
}  # fmt: skip
BY_NAME: Mapping[str, str] = {"depth_mm": "depth", "length_mm": "length"}
SERVED_BY: Mapping[str, tuple[str, ...]] = {"inside": ("inside", "bore"), "slot": ("inside", "slot")}


def taken_with(feature: Feature, size: str) -> str | None:
    """What a size of a feature is measured with.

    Args:
        feature: any.
        size: its name, such as "diameter_mm".
    Returns: "outside", "inside" (a bore), "slot" (between two walls), "depth" or "length"; None: no gauge takes it.
    """
    if size in BY_NAME:
        return BY_NAME[size]
    if size in ("diameter_mm", "width_mm"):
        if feature.kind == "groove" and size == "width_mm":
            return "slot"
        inside = feature.inside and feature.kind in ("cone", "groove", "sphere")
        return "inside" if inside else BY_KIND.get(feature.kind)
    return None


def reaches(gauge: Gauge, measures: str, size_mm: float) -> bool:
    """Whether a gauge takes such a size, as large as it is: as a caliper does, or made for bores or walls alone."""
    able = not set(gauge.measures).isdisjoint(SERVED_BY.get(measures, (measures,)))
    return able and gauge.range_mm[0] <= size_mm <= gauge.range_mm[1]


def fitting_gauges(shop: Shop, measures: str, size_mm: float) -> tuple[Gauge, ...]:
    """Gauges that reach a size, the finest first.

    Args:
        shop: its gauges.
        measures: "outside", "inside", "slot", "depth", "length", "angle" or "thread".
        size_mm: to be measured.
    Returns: gauges by uncertainty, then by the file's order; empty if none reaches.
    """
    reach = [gauge for gauge in shop.gauges if reaches(gauge, measures, size_mm)]
    return tuple(sorted(reach, key=lambda gauge: gauge.u_mm))


def best_gauge(shop: Shop, measures: str, size_mm: float) -> Gauge | None:
    """The finest gauge that reaches a size, or None."""
    found = fitting_gauges(shop, measures, size_mm)
    return found[0] if found else None


def gauge_of(shop: Shop, feature: Feature, size_mm: float) -> Gauge | None:
    """The finest gauge for a feature's first size, for a stop to measure before the last cut; or None.

    Args:
        shop: its gauges.
        feature: with a size.
        size_mm: to be measured.
    """
    taken = taken_with(feature, feature.sizes[0].name) if feature.sizes else None
    return best_gauge(shop, taken or ("inside" if feature.inside else "outside"), size_mm)


def wanted_u_mm(limits_mm: tuple[float, float]) -> float:
    """How fine a gauge has to be for such limits: so fine that the guard bands leave a fair share of them.

    Args:
        limits_mm: smallest and largest size allowed.
    Returns: the largest standard uncertainty, mm.
    """
    return (1.0 - rule("gauge_leaves_share")) * (limits_mm[1] - limits_mm[0]) / (2.0 * GUARD)


def to_borrow(taken: str, size_mm: float, limits_mm: tuple[float, float]) -> Reason:
    """Which gauge to buy or borrow for a size that none of the shop's decides.

    Args:
        taken: what it must take, as in `fitting_gauges`.
        size_mm: how large.
        limits_mm: smallest and largest size allowed.
    Returns: the sentence: what it is called, how far it reaches, how fine it is.
    """
    return because(f"measure.buy_{taken}", size_mm=size_mm, u=round(1000.0 * wanted_u_mm(limits_mm), 1))
