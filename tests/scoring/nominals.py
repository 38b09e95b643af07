"""Prints how the odds of the nominal finder are kept: python -m tests.scoring.nominals --count 400 --seed 1."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence

import numpy as np

from steadyrest.part.nominal.judged import judge
from steadyrest.part.nominal.name import with_nominals
from tests.part.nominal.forward import Score, Truth, scores, shaft_part
from tests.part.nominal.forward_sets import set_part

SURE = 0.95
BANDS = ((0, 0.4), (0.4, 0.6), (0.6, 0.8), (0.8, 0.95), (0.95, 0.99), (0.99, 1.001))
CLASSES: tuple[tuple[str, Callable[[Score], bool]], ...] = (
    ("all", lambda _: True),
    ("standard, unworn", lambda s: not s.odd and not s.worn),
    ("worn", lambda s: s.worn),
    ("diameters", lambda s: s.name == "diameter_mm"),
    ("widths, depths", lambda s: s.name in ("width_mm", "depth_mm")),
    ("lengths", lambda s: s.name == "length_mm"),
)


def judged_scores(draw: Callable[[np.random.Generator], Truth], *, count: int, seed: int) -> list[Score]:
    """Scores of many parts drawn, scanned and named."""
    rng = np.random.default_rng(seed)
    found: list[Score] = []
    for _ in range(count):
        truth = draw(rng)
        found.extend(scores(truth, with_nominals(truth.part, judge(truth.part))))
    return found


def table(found: Sequence[Score]) -> None:
    """Right, sure, sure and right, Brier, and stated odds against kept ones."""
    print(f"{'':18s}{'sizes':>7s}{'right':>8s}{'sure':>8s}{'kept':>8s}{'Brier':>8s}")
    for name, belongs in CLASSES:
        some = [s for s in found if belongs(s)]
        sure = [s for s in some if s.odds >= SURE]
        if some and sure:
            brier = float(np.mean([(s.odds - s.right) ** 2 for s in some]))
            right, kept = np.mean([s.right for s in some]), np.mean([s.right for s in sure])
            print(f"{name:18s}{len(some):7d}{right:8.3f}{len(sure) / len(some):8.3f}{kept:8.3f}{brier:8.4f}")
    for low, high in BANDS:
        band = [s for s in found if low <= s.odds < high]
        if band:
            stated, kept = np.mean([s.odds for s in band]), np.mean([s.right for s in band])
            print(f"stated {low:.2f}..{min(high, 1):.2f}: {len(band):5d} sizes, stated {stated:.3f}, kept {kept:.3f}")


def main(argv: Sequence[str] | None = None) -> None:
    """Draws, names and scores."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--count", type=int, default=400)
    asked.add_argument("--seed", type=int, default=1)
    args = asked.parse_args(argv)
    for name, draw in (("plain shafts", shaft_part), ("parts with bought-in parts", set_part)):
        print(name)
        table(judged_scores(draw, count=args.count, seed=args.seed))


if __name__ == "__main__":
    main()
