"""Draws docs/calibration.svg: stated odds against the share of them that was kept, one row of points a forward model.

Run: python -m tests.scoring.calibration --count 30 --seed 77
"""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from steadyrest.papers.drawing.ink import LIGHT, line, text
from tests.forward2 import score
from tests.scoring import turned
from tests.scoring.chart import LEFT, TOP, Axis, Frame, dots, drawing, framed
from tests.scoring.matched import SEEN_ENOUGH

PLOT = Path(__file__).resolve().parents[2] / "docs" / "calibration.svg"
BANDS = ((0.0, 0.3), (0.3, 0.5), (0.5, 0.7), (0.7, 0.85), (0.85, 0.95), (0.95, 0.99), (0.99, 1.0001))
FEWEST = 5
COLOURS = (LIGHT.ink, "#b4531a", "#1f6f78")
SIDE_MM = 96.0


@dataclass(frozen=True, slots=True)
class Kept:
    """Of the odds within one band: their mean, the share that was right, how many."""

    stated: float
    right: float
    count: int


def kept(pairs: Sequence[tuple[float, bool]]) -> tuple[Kept, ...]:
    """Stated odds against kept ones, by bands.

    Args:
        pairs: (odds, whether it was right) of each named size.
    Returns: one row for each band that holds enough of them.
    """
    rows: list[Kept] = []
    for low, high in BANDS:
        some = [(odds, right) for odds, right in pairs if low <= odds < high]
        if len(some) >= FEWEST:
            rows.append(Kept(sum(odds for odds, _ in some) / len(some), sum(r for _, r in some) / len(some), len(some)))
    return tuple(rows)


def brier(pairs: Sequence[tuple[float, bool]]) -> float:
    """Mean squared distance of the odds from what was so."""
    return sum((odds - right) ** 2 for odds, right in pairs) / len(pairs)


@dataclass(frozen=True, slots=True)
class Series:
    """What one forward model says: its name, its rows, how many sizes, their mean squared error."""

    name: str
    rows: tuple[Kept, ...]
    count: int
    error: float


def series_of(name: str, pairs: Sequence[tuple[float, bool]]) -> Series:
    """The pairs of one model put together."""
    return Series(name, kept(pairs), len(pairs), brier(pairs))


def calibration_svg(series: Sequence[Series]) -> str:
    """The picture: a point a band of odds, and beside it the counts as a table.

    Args:
        series: one for each forward model.
    Returns: SVG.
    """
    ticks = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)

    def percent(share: float) -> str:
        return f"{100 * share:.0f} %"

    frame = Frame(
        Axis(0.0, 1.0, ticks, "odds that were stated", percent), Axis(0.0, 1.0, ticks, "share that was right", percent),
        LEFT, TOP + 6, SIDE_MM, SIDE_MM,
    )  # fmt: skip
    body = framed(frame, "Stated odds and kept odds of diameters and widths")
    body.append(line(frame.at(0, 0), frame.at(1, 1), LIGHT.soft, width=0.3, dash="1.5 1.5"))
    x, y = LEFT + SIDE_MM + 10, frame.top_mm + 3
    for k, one in enumerate(series):
        colour = COLOURS[k % len(COLOURS)]
        body += dots(frame, [(r.stated, r.right) for r in one.rows], fill=colour)
        body.append(text((x, y), f"{one.name}: {one.count} sizes", size=3.0, fill=colour, bold=True))
        body.append(text((x, y + 5), f"mean squared error {one.error:.3f}", size=3.0, fill=colour))
        for j, row in enumerate(one.rows):
            said = f"{100 * row.stated:.1f} % stated, {100 * row.right:.0f} % right of {row.count}"
            body.append(text((x, y + 10 + 4.5 * j), said, size=2.8, fill=colour))
        y += 18 + 4.5 * len(one.rows)
    return drawing(
        body, wide_mm=LEFT + SIDE_MM + 70, high_mm=frame.top_mm + SIDE_MM + 14, title="Calibration of the odds",
        description="Stated odds against the share that was right, by bands of odds, with the number of sizes in each.",
    )  # fmt: skip


def of_the_first(count: int, seed: int) -> list[tuple[float, bool]]:
    """Pairs of turned parts that the demo's scanner scanned, as tests.scoring.turned judges them."""
    with tempfile.TemporaryDirectory() as scratch:
        cases = [turned.case_of(one, Path(scratch)) for one in range(1000 * seed, 1000 * seed + count)]
    rows = [r for case in cases for r in case.rows if r.seen >= SEEN_ENOUGH and r.name in ("diameter", "width")]
    return [(r.nominal.odds, r.right) for r in rows if r.nominal is not None]


def of_the_second(count: int, seed: int) -> list[tuple[float, bool]]:
    """Pairs of turned parts of the second forward model, which shares nothing with the first, as it judges them."""
    return [(odds, right > 0) for odds, _, right in score.run("turned", count, seed).odds]


def main(argv: Sequence[str] | None = None) -> None:
    """Measures and draws."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--count", type=int, default=30, help="parts of each model")
    asked.add_argument("--seed", type=int, default=1)
    args = asked.parse_args(argv)
    series = (
        series_of("first model", of_the_first(args.count, args.seed)),
        series_of("second model", of_the_second(args.count, args.seed)),
    )
    PLOT.write_text(calibration_svg(series), encoding="utf-8")
    for one in series:
        print(one.name, f"{one.count} sizes, mean squared error {one.error:.4f}")
        for row in one.rows:
            print(f"  stated {row.stated:.3f}  right {row.right:.3f}  of {row.count}")


if __name__ == "__main__":
    main()
