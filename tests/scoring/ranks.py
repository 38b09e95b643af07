"""Draws docs/ranks.svg: where the drawn size lies within its odds, counted over many simulated parts.

For each size the share of the odds that lies below the size that was drawn, with a random part of the odds of that size
itself (they are lumps, not a curve). Where the odds are those by which the sizes were drawn, these shares lie evenly
between 0 and 1. Heaped in the middle: the odds are too wide. At the ends: too narrow. To one side: sizes are named too
small or too large. As simulation-based calibration does it (Talts and others, 2018), for sizes that are lumps by the
randomised probability transform. Not part of the tests.

Run: python -m tests.scoring.ranks --count 200 --scans 12 --seed 5
"""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import erf, sqrt
from pathlib import Path

import numpy as np
from scipy.stats import chi2

from steadyrest.cli.answers import read_answer
from steadyrest.papers.drawing.ink import LIGHT, line, polyline, text
from steadyrest.part.nominal.judged import Judged, judge
from steadyrest.part.nominal.shared import as_scanned, seen_bare
from steadyrest.part.read import read
from tests.forward2.look import KINDS
from tests.forward2.match import match, said
from tests.forward2.scanner import scan, write_ply
from tests.part.nominal.forward import Truth, shaft_part
from tests.part.nominal.forward_sets import set_part
from tests.scoring.chart import LEFT, TOP, Axis, Frame, drawing, framed

PLOT = Path(__file__).resolve().parents[2] / "docs" / "ranks.svg"
BINS = 10
HIT_MM = 2e-3
SEEN_ENOUGH = 0.15
WIDE_MM, HIGH_MM = 90.0, 42.0


@dataclass(frozen=True, slots=True)
class Ranked:
    """One forward model: its name, the shares, and of which parts."""

    name: str
    shares: tuple[float, ...]
    parts: int

    @property
    def counts(self) -> tuple[int, ...]:
        """How many shares lie in each tenth."""
        return tuple(int(n) for n in np.histogram(self.shares, bins=BINS, range=(0.0, 1.0))[0])

    @property
    def odds_if_even(self) -> float:
        """Chance of counts at least so uneven if all shares were independent and even (chi-square)."""
        even = len(self.shares) / BINS
        return float(chi2.sf(sum((n - even) ** 2 / even for n in self.counts), BINS - 1))


def share_below(judged: Judged, k: int, drawn_mm: float, luck: float) -> float:
    """Share of the odds of size k that lies below what was drawn.

    Args:
        judged: what was weighed. k: index of the size. drawn_mm: its nominal. luck: between 0 and 1, evenly.
    Returns: between 0 and 1.
    """
    values, odds = judged.choices[k].value_mm[:-1], judged.posterior.odds[k]
    bare = seen_bare(judged, judged.rows[k])
    made_mm = float(judged.posterior.errors @ judged.errors.made_mm)
    sd = sqrt(bare.u_mm**2 + made_mm**2)
    # The free candidate stands for any size near where it was seen.
    free_below = 0.5 * (1 + erf((drawn_mm - bare.observed_mm) / (sd * sqrt(2))))
    here = np.abs(values - drawn_mm) < HIT_MM
    below = float(odds[:-1][(values < drawn_mm) & ~here].sum()) + float(odds[-1]) * free_below
    return min(1.0, below + luck * float(odds[:-1][here].sum()))


def of_drawn(draw: Callable[[np.random.Generator], Truth], name: str, *, count: int, seed: int) -> Ranked:
    """Shares of parts whose scan was drawn size by size."""
    rng = np.random.default_rng(seed)
    shares: list[float] = []
    for _ in range(count):
        truth = draw(rng)
        judged = judge(truth.part)
        for k, row in enumerate(judged.rows):
            drawn = truth.nominal.get((row.feature, row.name))
            if drawn is not None:
                shares.append(share_below(judged, k, drawn, float(rng.random())))
    return Ranked(name, tuple(shares), count)


def of_scans(kinds: Sequence[str], name: str, *, count: int, seed: int) -> Ranked:
    """Shares of diameters and widths of whole scans of the second forward model, as the reader found them."""
    shares: list[float] = []
    for i in range(count):
        rng = np.random.default_rng([seed, i])
        shares += shares_of_scan(kinds[i % len(kinds)], rng)
    return Ranked(name, tuple(shares), count)


def shares_of_scan(kind: str, rng: np.random.Generator) -> Iterator[float]:
    """The shares of one part; like sizes that the reader names as one count once."""
    drawn = KINDS[kind](rng)
    seen = scan(drawn, rng)
    with tempfile.TemporaryDirectory() as scratch:
        path = Path(scratch) / "part.ply"
        write_ply(path, seen.points, seen.triangles)
        data = path.read_bytes()
    part = read(data, "part.ply", unit="mm", progress=lambda _what, _share: None, stop=lambda: False)
    judged = judge(as_scanned(part))
    at = {member: k for k, row in enumerate(judged.rows) for member in row.members}
    answer = read_answer(part, None)
    assert isinstance(answer, dict)
    done: set[int] = set()
    for i, words in match(said(answer, seen), drawn).items():
        truth = drawn.truths[i]
        first = next(f for f in part.features if f.id == words.id).sizes[0]
        k = at.get((words.id, first.name))
        if k is not None and k not in done and truth.seen >= SEEN_ENOUGH and truth.kind != "thread":
            done.add(k)
            yield share_below(judged, k, truth.nominal_mm, float(rng.random()))


def ranks_svg(series: Sequence[Ranked]) -> str:
    """The picture: a histogram for each forward model, the band in which nineteen in twenty even counts lie."""
    body: list[str] = []
    for i, one in enumerate(series):
        counts, even = one.counts, len(one.shares) / BINS
        most = 1.15 * max(*counts, even + 2 * sqrt(even))
        frame = Frame(
            Axis(0.0, 1.0, (0.0, 0.25, 0.5, 0.75, 1.0), "share of the odds below the drawn size", lambda x: f"{x:g}"),
            Axis(0.0, most, (0.0, round(even, 1)), "sizes", lambda y: f"{y:g}"),
            LEFT, TOP + 6 + i * (HIGH_MM + 30), WIDE_MM, HIGH_MM,
        )  # fmt: skip
        body += framed(frame, f"{one.name}: {len(one.shares)} sizes of {one.parts} parts")
        spread = 1.96 * sqrt(even * (1 - 1 / BINS))
        for level in (even - spread, even + spread):
            body.append(
                line(frame.at(0.0, max(level, 0.0)), frame.at(1.0, level), LIGHT.soft, width=0.3, dash="1.5 1.5")
            )
        outline = [frame.at(0.0, 0.0)]
        for b, n in enumerate(counts):
            outline += [frame.at(b / BINS, n), frame.at((b + 1) / BINS, n)]
        body.append(polyline([*outline, frame.at(1.0, 0.0)], LIGHT.ink, width=0.5))
        body.append(
            text((LEFT + WIDE_MM + 4, frame.top_mm + 4), "  ".join(map(str, counts[:5])), size=2.8, fill=LIGHT.ink)
        )
        body.append(
            text((LEFT + WIDE_MM + 4, frame.top_mm + 9), "  ".join(map(str, counts[5:])), size=2.8, fill=LIGHT.ink)
        )
    return drawing(
        body, wide_mm=LEFT + WIDE_MM + 50, high_mm=TOP + 6 + len(series) * (HIGH_MM + 30), title="Ranks",
        description="Histograms of the share of the odds that lies below the drawn size; even where the odds are true.",
    )  # fmt: skip


def main(argv: Sequence[str] | None = None) -> None:
    """Measures, draws and prints the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--count", type=int, default=200, help="parts of each model that draws size by size")
    asked.add_argument("--scans", type=int, default=12, help="whole scans of the second forward model")
    asked.add_argument("--seed", type=int, default=1)
    args = asked.parse_args(argv)
    series = (
        of_drawn(shaft_part, "plain shafts", count=args.count, seed=args.seed),
        of_drawn(set_part, "parts with bought-in parts", count=args.count, seed=args.seed),
        *(
            (of_scans(("turned", "prismatic", "mixed"), "whole scans", count=args.scans, seed=args.seed),)
            if args.scans > 0
            else ()
        ),
    )
    PLOT.write_text(ranks_svg(series), encoding="utf-8")
    print("| model | sizes | " + " | ".join(f"{b / BINS:g}" for b in range(BINS)) + " | chance if even |")
    for one in series:
        cells = " | ".join(map(str, one.counts))
        print(f"| {one.name} | {len(one.shares)} | {cells} | {one.odds_if_even:.3f} |")


if __name__ == "__main__":
    main()
