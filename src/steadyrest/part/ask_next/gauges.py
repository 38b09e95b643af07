"""Which gauge reads a size, and how well a practised hand reads it. Common practice, no source."""

from __future__ import annotations

from steadyrest.part.nominal.unknowns import Unknown

# One sigma of a reading.
OUTSIDE_MICROMETER_MM = 0.004
BORE_GAUGE_MM = 0.006
SLOT_GAUGE_MM = 0.005
CALIPER_MM = 0.02
SMALLEST_BORE_GAUGE_MM = 6.0
DEPTH_MICROMETER_MM = 0.01
RULE_MM = 0.25
PITCH_GAUGE = "pitch gauge"
MATE = "its mate's number or bore"


# What a hand may have read with, the closest first, and one sigma of its reading.
BY_HAND = {
    "micrometer": OUTSIDE_MICROMETER_MM, "gauge blocks": SLOT_GAUGE_MM, "bore gauge": BORE_GAUGE_MM,
    "plug gauge": BORE_GAUGE_MM, "depth micrometer": DEPTH_MICROMETER_MM, "caliper": CALIPER_MM, "rule": RULE_MM,
}  # fmt: skip


def usual(gauge_said: str) -> str:
    """Which of the gauges that a hand reads with is meant by a longer name, such as "blade micrometer 25-50 mm"."""
    return next((name for name in sorted(BY_HAND, key=len, reverse=True) if name in gauge_said), "caliper")


def gauge(row: Unknown) -> tuple[str, float]:
    """The gauge for a size, and the sigma of its reading in mm.

    Args:
        row: the size.
    Returns: what to measure with, and one sigma.
    """
    size = row.observed_mm
    match row.role:
        case "groove diameter" if not row.inside:
            step = int(size // 25) * 25
            return f"blade micrometer {step}-{step + 25} mm", OUTSIDE_MICROMETER_MM
        case "diameter" | "thread" if not row.inside:
            step = int(size // 25) * 25
            return f"outside micrometer {step}-{step + 25} mm", OUTSIDE_MICROMETER_MM
        case "diameter" if size < SMALLEST_BORE_GAUGE_MM:
            return "plug gauges", BORE_GAUGE_MM
        case "diameter":
            return "three-point bore gauge", BORE_GAUGE_MM
        case "groove diameter":
            return "groove caliper", CALIPER_MM
        case "keyway width" | "groove width":
            return "gauge blocks", SLOT_GAUGE_MM
        case "keyway depth":
            return "depth micrometer", CALIPER_MM
        case _:
            return "caliper", CALIPER_MM
