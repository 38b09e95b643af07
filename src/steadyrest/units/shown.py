"""Numbers as people read them."""

from __future__ import annotations

import math


def trimmed(value: float, *, most: int, least: int = 0) -> str:
    """A number with `most` decimals, its trailing zeros cut down to `least` decimals; never "-0"."""
    whole, _, decimals = f"{value:.{most}f}".partition(".")
    decimals = decimals.rstrip("0").ljust(least, "0")
    text = f"{whole}.{decimals}" if decimals else whole
    return text.lstrip("-") if not text.strip("-0.") else text


def three_figures(value: float) -> str:
    if value == 0:
        return "0"
    decimals = max(0, 2 - math.floor(math.log10(abs(value))))
    return trimmed(value, most=decimals)
