"""Score: the reader against truths it has never seen.

`python -m tests.forward2.score --kind turned|prismatic|mixed|all --count 12 --seed 1`

Truths of which the scanner saw less than 15 % are left out and counted. "Where scan has them": sizes that a fit on
exactly the true, seen, unworn corners gives within the same tolerance; the others carry a bracket in the list.
A run is the same for the same kind and seed. PYTHONPATH may point at another copy of the reader's source.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from .drawing import Drawing
from .look import KINDS
from .match import ROUND, WIDE, false_cylinder, match, on_invented, said
from .scanner import Scan, scan, write_ply

ENOUGH_SEEN = 0.15
NAMED_WEAR_MM, DEEP_WEAR_MM = 0.05, 0.08


@dataclass(slots=True)
class Tally:
    """Counts over many parts, pairs (odds, right), and a line for each miss."""

    n: Counter = field(default_factory=Counter)
    odds: list[tuple[float, float, float]] = field(default_factory=list)
    lines: list[str] = field(default_factory=list)

    def share(self, hits: str, of: str) -> str:
        """A share as hits/of and percent."""
        a, b = self.n[hits], self.n[of]
        return f"{a}/{b} {100 * a / b:.0f} %" if b else "-"


def read(path: Path, limit_s: float = 180.0) -> tuple[dict | None, str, float]:
    """What `steadyrest read` says of a file, or why it says nothing, and how long it took."""
    command = [str(Path(sys.executable).parent / "steadyrest"), "read", str(path), "--unit", "mm", "--json"]
    began = time.perf_counter()
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=limit_s, check=False)
    except subprocess.TimeoutExpired:
        return None, f"no answer in {limit_s:.0f} s", limit_s
    took = time.perf_counter() - began
    if done.returncode:
        return None, (done.stderr.strip().splitlines() or ["no word"])[-1], took
    return json.loads(done.stdout), "", took


def judge(tally: Tally, name: str, drawing: Drawing, seen: Scan, answer: dict) -> None:
    """Add one part to the tally."""
    words = said(answer, seen)
    pairs = match(words, drawing)
    for i, t in enumerate(drawing.truths):
        s = pairs.get(i)
        label = f"{name} {t.kind} {t.nominal_mm:.4g} (made {t.made_mm:.3f}, seen {t.seen:.2f}"
        label += f", {'worn' if t.wear.depth_mm > 0 else 'welded'} {t.wear.depth_mm:.2f})" if t.wear else ")"
        if t.seen < ENOUGH_SEEN:
            tally.n["unseen"] += 1
            continue
        if t.kind == "thread":
            tally.n["threads"] += 1
            if s is not None and s.kind == "thread":
                tally.n["threads named"] += 1
            else:
                tally.lines.append(
                    f"thread    {label}: " + (f"called {s.kind} {s.size_mm:.3f}" if s else "nothing said")
                )
            continue
        group = "widths" if t.kind in WIDE else "diameters"
        worn = t.wear is not None
        off = abs(s.size_mm - t.made_mm) if s else np.inf
        found = off <= (0.08 if worn else 0.05)
        tally.n[group] += 1
        tally.n[f"{group} found"] += found
        if abs(t.carried_mm - t.made_mm) <= (0.08 if worn else 0.05):
            tally.n["carried"] += 1
            tally.n["carried found"] += found
        else:
            label += f" [scan carries {t.carried_mm:.3f}]"
        tally.n["worn"] += worn
        tally.n["worn found"] += worn and found
        if not found:
            what = (
                f"{s.id} {s.kind} {s.size_mm:.3f}, {s.size_mm - t.made_mm:+.3f}, wear {s.wear_mm:.2f}"
                if s
                else "nothing said"
            )
            tally.lines.append(f"not found {label}: {what}")
        if t.standard and not worn:
            tally.n["standard"] += 1
            tally.n["standard sure"] += bool(s and s.state == "sure")
        if t.wear and t.wear.depth_mm >= DEEP_WEAR_MM:
            tally.n["deep"] += 1
            named = bool(s and s.wear_mm > NAMED_WEAR_MM)
            tally.n["deep named"] += named
            if not named:
                tally.lines.append(f"wear      {label}: " + (f"{s.id} wear {s.wear_mm:.2f}" if s else "nothing said"))
        if s and not worn and s.wear_mm > DEEP_WEAR_MM:
            tally.n["false wear"] += 1
            tally.lines.append(f"no wear   {label}: {s.id} wear {s.wear_mm:.2f}")
        if s and s.nominal_mm is not None:
            right = abs(s.nominal_mm - t.nominal_mm) < 0.005
            kept = s.source == "as measured" and not t.standard and found
            tally.odds.append((s.odds, float(right), float(right or kept)))
            if s.state == "sure":
                tally.n["sure"] += 1
                tally.n["sure right"] += right
                if not right:
                    tally.lines.append(f"sure      {label}: {s.id} says {s.shown}, {s.odds:.3f}, {s.source}")
    spoken = {s.id for s in pairs.values()}
    for s in words:
        if on_invented(s, seen):
            tally.n["invented"] += 1
            tally.lines.append(f"invented  {name}: {s.id} {s.kind} {s.size_mm:.3f} {s.state}")
        if s.id not in spoken and s.kind in ROUND and false_cylinder(s, drawing):
            tally.n["false"] += 1
            if s.nominal_mm is not None:
                tally.odds.append((s.odds, 0.0, 0.0))
                tally.n["sure"] += s.state == "sure"
            tally.lines.append(
                f"false     {name}: {s.id} {s.kind} {s.size_mm:.3f} {s.state} {s.shown} at {s.at.round(1)}"
            )
    for count, circle, _axis in drawing.patterns:
        tally.n["patterns"] += 1
        there = answer.get("patterns", [])
        hit = any(p.get("count") == count and abs((p.get("diameter_mm") or 0) - circle) < 0.3 for p in there)
        tally.n["patterns found"] += hit
        if not hit:
            heard = [(p.get("kind"), p.get("count"), p.get("diameter_mm")) for p in there]
            tally.lines.append(f"pattern   {name}: {count} on {circle}: said {heard}")


def run(kind: str, count: int, seed: int, keep: Path | None = None) -> Tally:
    """Make, scan, read and judge so many parts of a kind."""
    tally = Tally()
    with tempfile.TemporaryDirectory() as scratch:
        for i in range(count):
            rng = np.random.default_rng([seed, i])
            drawing = KINDS[kind](rng)
            seen = scan(drawing, rng)
            path = (keep or Path(scratch)) / f"{kind}-{seed}-{i}.ply"
            write_ply(path, seen.points, seen.triangles)
            answer, why, took = read(path)
            name = f"{kind} {i} {drawing.name}"
            tally.n["parts"] += 1
            tally.n["triangles"] += len(seen.triangles)
            tally.n["read ms"] += int(1000 * took)
            if answer is None:
                tally.n["failed"] += 1
                tally.lines.append(f"failed    {name}: {why}")
                answer = {"features": [], "patterns": []}
            judge(tally, name, drawing, seen, answer)
    return tally


def table(rows: dict[str, Tally]) -> str:
    """The figures, a column for each kind."""

    def brier(t: Tally, column: int) -> str:
        return f"{np.mean([(o[0] - o[column]) ** 2 for o in t.odds]):.3f}" if t.odds else "-"

    lines = {
        "parts (failed)": lambda t: f"{t.n['parts']} ({t.n['failed']})",
        "diameters found": lambda t: t.share("diameters found", "diameters"),
        "widths found": lambda t: t.share("widths found", "widths"),
        "of these, worn ones found": lambda t: t.share("worn found", "worn"),
        "both, where scan has them": lambda t: t.share("carried found", "carried"),
        "left out, seen < 15 %": lambda t: str(t.n["unseen"]),
        "unworn standard sure": lambda t: t.share("standard sure", "standard"),
        "sure right": lambda t: t.share("sure right", "sure"),
        "worn >= 0.08 named": lambda t: t.share("deep named", "deep"),
        "wear where none is": lambda t: str(t.n["false wear"]),
        "false cylinders": lambda t: str(t.n["false"]),
        "sizes on invented surface": lambda t: str(t.n["invented"]),
        "Brier of the nominal": lambda t: brier(t, 1),
        "same, as measured granted": lambda t: brier(t, 2),
        "threads named": lambda t: t.share("threads named", "threads"),
        "patterns found": lambda t: t.share("patterns found", "patterns"),
        "mean triangles": lambda t: f"{t.n['triangles'] / max(t.n['parts'], 1):.0f}",
        "mean read, s": lambda t: f"{t.n['read ms'] / 1000 / max(t.n['parts'], 1):.1f}",
    }  # fmt: skip
    head = f"{'':28}" + "".join(f"{k:>16}" for k in rows)
    return "\n".join(
        [head, *(f"{name:28}" + "".join(f"{f(t):>16}" for t in rows.values()) for name, f in lines.items())]
    )


def main() -> None:
    """The command."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--kind", choices=(*KINDS, "all"), default="all")
    ask.add_argument("--count", type=int, default=12)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--keep", type=Path, help="a folder outside the repository for the scans")
    given = ask.parse_args()
    kinds = list(KINDS) if given.kind == "all" else [given.kind]
    rows = {k: run(k, given.count, given.seed, given.keep) for k in kinds}
    print(table(rows))
    for tally in rows.values():
        print()
        print("\n".join(tally.lines))


if __name__ == "__main__":
    main()
