"""Which gauge reads a size, and how well a practised hand reads it. Common practice, no source."""

from __future__ import annotations

from steadyrest.part.nominal.unknowns import Unknown

# One sigma of a reading.
OUTSIDE_MICROMETER_MM = 0.004
BORE_GAUGE_MM = 0.006
SLOT_GAUGE_MM = 0.005
CALIPER_MM = 0.02
SMALLEST_BORE_GAUGE_MM = 6.0
PITCH_GAUGE = "pitch gauge"
MATE = "its mate's number or bore"


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
