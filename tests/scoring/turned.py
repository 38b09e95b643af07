"""Prints how well turned scans are read: python -m tests.scoring.turned --count 40 --seed 1 [--keep FOLDER]."""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

from steadyrest.demo.scan import scan, write_ply
from steadyrest.part.files.meshes import read_mesh
from steadyrest.part.read import read
from tests.scoring.drawn import drawn
from tests.scoring.matched import SEEN_ENOUGH, Matched, Row, matched

SURE = 0.95
CLASSES: tuple[tuple[str, Callable[[Row], bool]], ...] = (
    ("unworn diameters", lambda r: r.name == "diameter" and not r.worn_mm),
    ("  standard", lambda r: r.name == "diameter" and not r.worn_mm and not r.odd),
    ("  odd", lambda r: r.name == "diameter" and not r.worn_mm and r.odd),
    ("worn diameters", lambda r: r.name == "diameter" and r.worn_mm > 0),
    ("bores, holes", lambda r: r.kind in ("bore", "hole")),
    ("keyway widths", lambda r: r.kind == "keyway"),
    ("groove widths", lambda r: r.kind == "groove" and r.name == "width"),
    ("groove floors", lambda r: r.name == "floor"),
    ("diameters, widths", lambda r: r.name in ("diameter", "width")),
    ("lengths", lambda r: r.name == "length"),
)


def case_of(seed: int, keep: Path) -> Matched:
    """One part drawn, scanned (kept for the next time), read and matched."""
    case = drawn(seed)
    path = keep / f"turned-{seed}.ply"
    if not path.exists():
        vertices, faces = scan(case.part, case.settings, seed)
        write_ply(path, vertices, faces)
    data = path.read_bytes()
    begin = time.perf_counter()
    part = read(data, path.name, unit="mm", progress=lambda *_: None, stop=lambda: False)
    took = time.perf_counter() - begin
    mesh = read_mesh(data, path.name)
    print(f"  {seed}: {len(mesh.faces) // 1000}k triangles, {took:.1f} s", file=sys.stderr, flush=True)
    return matched(seed, case, part, mesh.vertices)


def share(rows: Sequence[Row], yes: Callable[[Row], bool]) -> str:
    return (
        f"{sum(map(yes, rows)):3d}/{len(rows):3d} {sum(map(yes, rows)) / len(rows):6.1%}" if rows else "      -       "
    )


def brier(rows: Sequence[Row]) -> float:
    return float(np.mean([(r.nominal.odds - r.right) ** 2 for r in rows if r.nominal])) if rows else float("nan")


def table(rows: Sequence[Row]) -> None:
    """Scores by class; what the scanner hardly saw is left out."""
    print(f"{'':20s}{'found':>16s}{'named right':>16s}{'sure':>16s}{'sure right':>16s}{'Brier':>8s}{'z rms':>7s}")
    for name, belongs in CLASSES:
        some = [r for r in rows if belongs(r)]
        named = [r for r in some if r.nominal is not None]
        sure = [r for r in named if r.nominal is not None and r.nominal.odds >= SURE]
        z = [r.off_mm / r.u_mm for r in some if r.off_mm is not None and r.u_mm > 0 and abs(r.off_mm) < 0.3]
        print(
            f"{name:20s}{share(some, lambda r: r.found):>16s}{share(some, lambda r: r.right):>16s}"
            f"{share(some, lambda r: r.nominal is not None and r.nominal.odds >= SURE):>16s}"
            f"{share(sure, lambda r: r.right):>16s}{brier(named):8.3f}"
            f"{np.sqrt(np.mean(np.square(np.clip(z, -5, 5)))) if z else float('nan'):7.2f}"
        )


def calibration(rows: Sequence[Row]) -> None:
    """Stated odds against how often they were right, over diameters and widths."""
    named = [r for r in rows if r.nominal is not None and r.name in ("diameter", "width")]
    print("odds        count  stated   right")
    for low, high in ((0, 0.3), (0.3, 0.5), (0.5, 0.7), (0.7, 0.85), (0.85, 0.95), (0.95, 0.99), (0.99, 1.01)):
        some = [r for r in named if r.nominal is not None and low <= r.nominal.odds < high]
        if some:
            stated = float(np.mean([r.nominal.odds for r in some if r.nominal]))
            print(
                f"{low:.2f}..{min(high, 1):.2f}  {len(some):5d}  {stated:6.2f}  {np.mean([r.right for r in some]):6.2f}"
            )


def failures(rows: Sequence[Row], false: Sequence[tuple[int, str]]) -> None:
    """Every size not found, wrong though sure, or not there at all, with the seed to look at it."""
    for r in rows:
        wrong = r.nominal is not None and r.nominal.odds >= SURE and not r.right
        unsure = r.nominal is None or (abs(r.nominal.odds - r.right) > 0.5)
        if (r.name == "length" and not wrong) or (r.found and not wrong and not unsure):
            continue
        said = f"{r.nominal.shown} {r.nominal.odds:.2f} {r.nominal.source}" if r.nominal else "-"
        verdict = "WRONG " if wrong else "unsure " if r.found else ""
        off = "not found" if r.off_mm is None else f"{r.off_mm:+.3f} (u {r.u_mm:.3f})"
        print(
            f"{r.seed:5d} {verdict}{r.kind} {r.name} drawn {r.drawn_mm:.3f} made {r.made_mm:.3f} "
            f"worn {r.worn_mm:.2f} seen {r.seen:.2f}: {off}; {said}"
        )
    for seed, text in false:
        print(f"{seed:5d} FALSE {text}")


def main(argv: Sequence[str] | None = None) -> None:
    """Draws, scans, reads and scores."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--count", type=int, default=40)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--keep", type=Path, help="folder in which scans are kept for the next run")
    args = asked.parse_args(argv)
    with tempfile.TemporaryDirectory() as scratch:
        keep = args.keep or Path(scratch)
        keep.mkdir(parents=True, exist_ok=True)
        cases = [case_of(seed, keep) for seed in range(1000 * args.seed, 1000 * args.seed + args.count)]
    every = [row for case in cases for row in case.rows]
    rows = [row for row in every if row.seen >= SEEN_ENOUGH]
    false = [one for case in cases for one in case.false]
    unseen = len(every) - len(rows)
    print(f"{len(cases)} parts, {len(rows)} sizes seen, {unseen} hardly seen, {len(false)} false cylinders")
    table(rows)
    calibration(rows)
    failures(rows, false)


if __name__ == "__main__":
    main()
