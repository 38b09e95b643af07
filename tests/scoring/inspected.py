"""Guesses drawn sizes from the measured pieces of others: python -m tests.scoring.inspected FOLDER [--u 0.003].

FOLDER holds files `*_inspected.csv`: a line a characteristic with its target, then what each of up to 20 pieces was
measured to. The targets are looked at only to score. Each piece alone is one part; all pieces together are another,
each size seen at their median and as far apart as they are. Not part of the tests: the files are others'.
"""

from __future__ import annotations

import argparse
import csv
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from steadyrest.part.nominal.name import name_sizes
from steadyrest.shop.figure import because
from steadyrest.shop.part import Feature, FeatureKind, Part, Size, UnitSaid

MEASURED = {"Diameter": ("bore", "diameter_mm"), "DistanceBetween": ("slot", "length_mm")}


@dataclass(frozen=True, slots=True)
class Asked:
    """One characteristic: what it is called, the drawn size, and what each piece was measured to."""

    name: str
    kind: FeatureKind
    size: str
    target_mm: float
    pieces_mm: tuple[float, ...]


def asked(path: Path) -> Iterator[Asked]:
    """Diameters and distances of one file."""
    with path.open(encoding="utf-8") as lines:
        for row in csv.DictReader(lines):
            kind, size = MEASURED.get(row["kind"], ("", ""))
            if row["characteristic"].startswith("Distance"):  # a distance over a slot is listed as a diameter
                kind, size = MEASURED["DistanceBetween"]
            if not kind:
                continue
            pieces = tuple(float(row[f"piece_{k}"]) for k in range(1, int(row["count"]) + 1))
            known: FeatureKind = "bore" if kind == "bore" else "slot"
            yield Asked(row["characteristic"], known, size, float(row["target"]), pieces)


def part_of(rows: Sequence[Asked], values: Sequence[tuple[float, float]]) -> Part:
    """A part with these sizes: (seen, sigma) of each."""
    features = tuple(
        Feature(
            id=f"F{k + 1}", kind=row.kind, sizes=(Size(row.size, seen, seen, u),), axis=(0.0, 0.0, 1.0),
            at_mm=(10.0 * k, 0.0, 0.0), inside=True, wear_mm=0.0, area_mm2=50.0,
        )
        for k, (row, (seen, u)) in enumerate(zip(rows, values, strict=True))
    )  # fmt: skip
    return Part(
        name="measured", kind="scan", unit=UnitSaid("mm", "sure", because("read.unit_given", unit="mm")),
        size_mm=(200.0, 100.0, 20.0), volume_mm3=None, features=features, axisymmetric=False, noise_mm=0.003,
    )  # fmt: skip


def score(name: str, found: Sequence[tuple[Asked, Part, int]]) -> None:
    """Hits, sure, sure and right, Brier; wrong ones by name."""
    rows = [(one, part.features[k].sizes[0].nominal) for one, part, k in found]
    told = [(one, n, abs(n.value - one.target_mm) < 2e-3) for one, n in rows if n is not None]
    sure = [right for _, n, right in told if n.state == "sure"]
    brier = float(np.mean([(n.odds - right) ** 2 for _, n, right in told]))
    print(
        f"{name}: {len(told)} sizes, right {sum(r for *_, r in told)}, sure {len(sure)}, sure and right {sum(sure)}, "
        f"Brier {brier:.3f}"
    )
    wrong: dict[tuple[str, float], list[str]] = {}
    for one, nominal, right in told:
        if not right:
            wrong.setdefault((one.name, one.target_mm), []).append(f"{nominal.shown} {nominal.odds:.2f}")
    for (what, target), guesses in sorted(wrong.items()):
        print(f"   {what}, drawn {target:g}: {len(guesses)} wrong, such as {'; '.join(guesses[:3])}")


def main(argv: Sequence[str] | None = None) -> None:
    """Names and scores."""
    asks = argparse.ArgumentParser(description=__doc__)
    asks.add_argument("folder", type=Path)
    asks.add_argument("--u", type=float, default=0.003, help="one sigma of a measuring machine, mm")
    args = asks.parse_args(argv)
    for path in sorted(args.folder.glob("*_inspected.csv")):
        rows = list(asked(path))
        alone: list[tuple[Asked, Part, int]] = []
        for piece in range(min(len(row.pieces_mm) for row in rows)):
            part = name_sizes(part_of(rows, [(row.pieces_mm[piece], args.u) for row in rows]))
            alone += [(row, part, k) for k, row in enumerate(rows)]
        score(f"{path.stem}, piece by piece", alone)
        seen = [(float(np.median(r.pieces_mm)), float(max(args.u, np.std(r.pieces_mm)))) for r in rows]
        part = name_sizes(part_of(rows, seen))
        score(f"{path.stem}, all pieces at once", [(row, part, k) for k, row in enumerate(rows)])


if __name__ == "__main__":
    main()
