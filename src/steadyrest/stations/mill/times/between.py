"""What lies between the cuts of one set-up: tool changes, and the ways to the work and from feature to feature."""

from __future__ import annotations

from steadyrest.stations.mill.spindles import Place
from steadyrest.stations.mill.times.motion import drive_of
from steadyrest.tables.practice import rule


def between(place: Place, *, tools: int, features: int, span_mm: float) -> float:
    """Changing tools and going from feature to feature in one set-up.

    Args:
        place: the machine.
        tools: different tools used.
        features: how many places are gone to, in all tools together.
        span_mm: how far apart the outermost lie.
    Returns: s.
    """
    drive, clear_mm = drive_of(place.limits), rule("mill_clear_mm")
    # Places spread evenly over a span lie a third of it apart, taken two at a time.
    hop_s = drive.across_s(span_mm / 3.0)
    change_s = place.limits.tool_change_s + drive.across_s(rule("home_mm")) + 2.0 * drive.upward_s(clear_mm)
    return tools * change_s + max(features - tools, 0) * hop_s
