"""How near the least cost a cutting list comes, in how long: instances with known optima, and lists of a shop's size.

Every plan passes tests/oracles/cut_checker.py before its time counts. Gaps are to our own bound, which the same checker
can recompute from its prices. Run: python speed/cut.py [--seconds S] [--known DIR] [--peers DIR] [--lists N].
--known: a folder with optima.csv and instances as JSON. --peers: a folder with cutgen.py and a peer_scipy.py that
prints one line; ours runs on the same lists of one bar length. One JSON line a case.
"""

from __future__ import annotations

import argparse
import csv
import importlib
import json
import subprocess
import sys
import time
from decimal import Decimal
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from steadyrest.stock.cutting.by_hand import by_hand
from steadyrest.stock.cutting.plan import CutPlan, cut
from steadyrest.stock.cutting.problem import plan_cost, posed
from steadyrest.stock.cutting.wanted import BarPart, BarPiece, CutWanted
from tests.oracles.cut_checker import faults
from tests.stock.cutting.lists import cuts, left_out, plainly

BARS = (("u", 120, 1), ("u", 250, 1), ("t", 60, 1), ("t", 120, 1))


def timed(wanted: CutWanted, seconds: float) -> tuple[CutPlan, float]:
    """The plan, judged, and how long it took, s."""
    begun = time.perf_counter()
    plan = cut(wanted, lambda: seconds - (time.perf_counter() - begun))
    took = time.perf_counter() - begun
    wrong = list(faults(plainly(wanted), cuts(plan), left_out(plan)))
    assert not wrong, wrong
    return plan, took


def told(case: str, plan: CutPlan, took: float, **more: object) -> None:
    """One case as one line of JSON."""
    cost, bound = float(plan.cost), float(plan.bound)
    share = round(100 * (cost - bound) / abs(cost), 4) if cost else 0.0
    line = {"case": case, "ours_s": round(took, 2), "cost": cost, "bound": bound, "gap_percent": share,
            "proven": plan.proven, **more}  # fmt: skip
    print(json.dumps(line), flush=True)


def known(folder: Path, seconds: float) -> None:
    """Instances with known optima, as pieces of equal cost."""
    with (folder / "optima.csv").open(encoding="utf-8") as file:
        optima = {row["instance"]: int(row["optimum_bars"]) for row in csv.DictReader(file)}
    for name, optimum in sorted(optima.items()):
        data = json.loads((folder / f"{name}.json").read_text(encoding="utf-8"))
        many = sum(part["count"] for part in data["pieces"])
        nothing = Decimal(0)
        wanted = CutWanted(
            nothing, nothing, nothing, Decimal(10**6), nothing,
            tuple(BarPiece(f"R{k}", Decimal(data["stock_length"]), Decimal(1)) for k in range(many)),
            tuple(BarPart(f"P{k}", Decimal(p["length"]), p["count"]) for k, p in enumerate(data["pieces"])),
            "",
        )  # fmt: skip
        plan, took = timed(wanted, seconds)
        told(name, plan, took, optimum=optimum, reached=int(plan.cost) == optimum)


def generated(seed: int) -> CutWanted:
    """A list of a shop's size: 5 to 40 part rows, 5 to 60 pieces, new bars and remnants worth less."""
    dice = np.random.default_rng(seed)
    rows, many, places = int(dice.integers(5, 41)), int(dice.integers(5, 61)), int(dice.integers(0, 2))
    new_mm = int(dice.choice([3000, 4000, 6000]))
    per_mm = Decimal(str(round(float(dice.uniform(0.004, 0.03)), 4)))
    pieces = list[BarPiece]()
    for k in range(many):
        new = bool(dice.random() < 0.4)
        length = Decimal(new_mm) if new else Decimal(str(round(float(dice.uniform(400, new_mm)), places)))
        share = Decimal(1) if new else Decimal(str(round(float(dice.uniform(0.5, 0.95)), 3)))
        pieces.append(BarPiece(f"R{k}", length, (length * per_mm * share).quantize(Decimal("0.01"))))
    longest = float(dice.choice([900, 1500, 2500]))
    lengths = sorted({round(float(dice.uniform(60, longest)), places) for _ in range(rows)})
    counts = [1] * len(lengths)
    target = float(sum(piece.length_mm for piece in pieces)) * float(dice.uniform(0.3, 0.7))
    while sum(length * count for length, count in zip(lengths, counts, strict=True)) < target:
        counts[int(dice.integers(len(lengths)))] += 1
    return CutWanted(
        kerf_mm=Decimal(str(dice.choice(["2", "2.5", "1.6"]))),
        end_trim_mm=Decimal(int(dice.choice([0, 5]))),
        grip_mm=Decimal(int(dice.choice([0, 30, 60]))),
        rest_keep_mm=Decimal(int(dice.choice([300, 500, 800]))),
        rest_value_per_mm=(per_mm * Decimal("0.5")).quantize(Decimal("0.0001")),
        pieces=tuple(pieces),
        parts=tuple(
            BarPart(f"P{k}", Decimal(str(mm)), n) for k, (mm, n) in enumerate(zip(lengths, counts, strict=True))
        ),
        currency="EUR",
    )


def lists(count: int, seconds: float) -> None:
    """Generated lists: ours beside cutting by hand, and our own bound."""
    for seed in range(count):
        wanted = generated(seed)
        put = posed(wanted)
        plain, left = by_hand(put.problem)
        hand = None if left.any() else plan_cost(put.problem, plain) / put.money
        plan, took = timed(wanted, seconds)
        parts = sum(part.count for part in wanted.parts)
        told(f"list {seed}: {parts} parts, {len(wanted.pieces)} pieces", plan, took, by_hand=hand)


def peers(folder: Path, seconds: float) -> None:
    """One bar length, as few bars as possible, as the peers make such lists: ours and a peer on the same one."""
    sys.path.insert(0, str(folder))
    made = importlib.import_module("cutgen")
    for kind, parts, seed in BARS:
        theirs = (made.uniform if kind == "u" else made.triplets)(parts, seed)
        nothing, length = Decimal(0), Decimal(theirs.stock[0][0])
        wanted = CutWanted(
            nothing, nothing, nothing, Decimal(10**6), nothing,
            tuple(BarPiece(f"R{k}", length, Decimal(1)) for k in range(parts)),
            tuple(BarPart(f"P{k}", Decimal(mm), many) for k, (mm, many) in enumerate(theirs.parts)), "",
        )  # fmt: skip
        plan, took = timed(wanted, seconds)
        command = [sys.executable, str(folder / "peer_scipy.py"), "--kind", kind, "--parts", str(parts)]
        command += ["--seed", str(seed), "--seconds", str(seconds)]
        ran = subprocess.run(command, capture_output=True, text=True, check=False)
        peer = json.loads(ran.stdout) if ran.returncode == 0 else {"objective": None, "seconds": None}
        told(theirs.name, plan, took, peer=folder.name, peer_cost=peer["objective"], peer_s=peer["seconds"])


if __name__ == "__main__":
    said = argparse.ArgumentParser(description=__doc__)
    said.add_argument("--seconds", type=float, default=40.0)
    said.add_argument("--known", type=Path)
    said.add_argument("--peers", type=Path)
    said.add_argument("--lists", type=int, default=12)
    asked = said.parse_args()
    lists(asked.lists, asked.seconds)
    if asked.known:
        known(asked.known, asked.seconds)
    if asked.peers:
        peers(asked.peers, asked.seconds)
