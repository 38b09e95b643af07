"""How often a part that comes back is found among ten thousand: `python -m tests.scoring.likeness [N] [SEED]`.

Parts at random: a box, and sizes of the preferred numbers that parts share (so that many are somewhat alike). Copies as
they come back: read again from a scan (each size off by 0.05 mm, a fifth of the features lost, one in ten new), and
altered (another length, one size another).
"""

from __future__ import annotations

import sys
import time

import numpy as np

from steadyrest.part.compared.likeness import KINDS, histogram, laid_out, likeness

PREFERRED = (
    *(
        3,
        4,
        5,
        6,
        8,
        10,
        12,
        14,
        15,
        16,
        18,
        20,
        22,
        25,
        28,
        30,
        32,
        35,
        36,
        40,
        42,
        45,
        47,
        50,
        52,
        55,
        60,
        62,
        65,
        70,
    ),
    *(72, 75, 80, 85, 90, 100, 110, 120, 140, 160, 180, 200),
)


def part(rng: np.random.Generator) -> dict[str, list[float]]:
    turned = rng.random() < 0.5
    long = float(rng.choice(PREFERRED[14:])) * rng.choice((1.0, 1.5, 2.0))
    wide = float(rng.choice(PREFERRED[10:]))
    box = [long, wide, wide if turned else float(rng.choice(PREFERRED[6:20]))]
    below = [one for one in PREFERRED if one <= wide]
    outside = [wide, *map(float, rng.choice(below, rng.integers(0, 5)))] if turned else []
    inside = [float(one) for one in rng.choice(below[: max(3, len(below) // 2)], rng.integers(0, 6))]
    width = [float(one) for one in rng.choice(below[:8], rng.integers(0, 3))]
    volume = [(box[0] * box[1] * box[2] * rng.uniform(0.4, 0.9)) ** (1 / 3)]
    return {"box": box, "volume": volume, "outside": outside, "inside": inside, "width": width}


def scanned(one: dict[str, list[float]], rng: np.random.Generator) -> dict[str, list[float]]:
    again = {kind: [mm + rng.normal(0, 0.05) for mm in sizes] for kind, sizes in one.items()}
    for kind in ("outside", "inside", "width"):
        again[kind] = [mm for mm in again[kind] if rng.random() > 0.2]
        again[kind] += [float(rng.choice(PREFERRED[:12]))] if rng.random() < 0.1 else []
    return again


def altered(one: dict[str, list[float]], rng: np.random.Generator) -> dict[str, list[float]]:
    again = {kind: list(sizes) for kind, sizes in one.items()}
    times = rng.uniform(1.1, 1.4)
    again["box"][0] *= times
    again["volume"][0] *= times ** (1 / 3)
    kinds = [kind for kind in ("outside", "inside", "width") if again[kind]]
    if kinds:
        kind = kinds[rng.integers(len(kinds))]
        again[kind][rng.integers(len(again[kind]))] = float(rng.choice(PREFERRED[:20]))
    return again


def sketched(one: dict[str, list[float]]) -> np.ndarray:
    return np.concatenate([histogram(one[kind]) for kind in KINDS])


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    rng = np.random.default_rng(int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    parts = [part(rng) for _ in range(count)]
    many = laid_out([sketched(one) for one in parts])
    for name, copy in (("scanned again", scanned), ("altered", altered)):
        first = five = 0
        took: list[float] = []
        tried = rng.choice(count, 400, replace=False)
        for k in tried:
            asked = sketched(copy(parts[k], rng))
            begun = time.perf_counter()
            score = likeness(many, asked)
            best = np.argsort(-score)[:5]
            took.append(time.perf_counter() - begun)
            first += best[0] == k
            five += k in best
        found = f"found first {first / len(tried):.3f}, among five {five / len(tried):.3f}"
        middle, most = 1e3 * np.median(took), 1e3 * np.quantile(took, 0.95)
        print(f"{name}: {found}; median {middle:.1f} ms, 95 in 100 below {most:.1f} ms")


if __name__ == "__main__":
    main()
