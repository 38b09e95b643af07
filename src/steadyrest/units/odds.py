"""Odds as ten pegs."""

from __future__ import annotations

import math


def pegs(share: float) -> int:
    """How many of ten pegs are filled for these odds; rounded down, so that ten means always.

    Args:
        share: 0 to 1.
    Returns: 0 to 10.
    Raises: ValueError: outside 0 to 1.
    """
    if not 0 <= share <= 1:
        raise ValueError(f"pegs: share {share!r} must be between 0 and 1")
    return math.floor(share * 10 + 1e-12)


def show_odds(share: float) -> str:
    """Odds as a person says them, rounded down: "9 in 10"."""
    return f"{pegs(share)} in 10"
