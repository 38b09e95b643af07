"""What a remnant is worth, by plain value iteration: no steps of length, no clever order."""

from __future__ import annotations

from functools import cache


def slow_worth(wanted, length_mm: float, sweeps: int = 4000) -> float:
    """V(L) by iterating its own equation until it stands still."""

    @cache
    def value(length: float) -> float:
        scrap = wanted.scrap_per_mm * length
        cuts = [
            (d.share, wanted.new_per_mm * d.length_mm + wanted.saved_each
             + value(round(max(length - d.length_mm - wanted.kerf_mm, 0.0), 6)))
            if d.length_mm <= length else (d.share, None)
            for d in wanted.demands
        ]  # fmt: skip
        v = scrap
        for _ in range(sweeps):
            kept = sum(share * (v if cut is None else max(v, cut)) for share, cut in cuts)
            new = max(
                scrap,
                (wanted.demands_per_year * kept - wanted.hold_per_year)
                / (wanted.demands_per_year + wanted.discount_per_year),
            )
            if abs(new - v) < 1e-13 * max(1.0, abs(v)):
                break
            v = new
        return v

    return value(round(length_mm, 6))
