"""What reading a scan costs against its size, drawn: 0.2, 0.5 and 1 million triangles of one shaft, ours and the peer.

The same readers as in read_scan.py, each in a process of its own, on its second go. What is counted is processor time,
so that other work on the machine is not. Prints a line of JSON a size and writes docs/cost-against-size.svg.
Run: python speed/cost_against_size.py
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parent)]

from _shared import peak_mb  # noqa: E402  its folder is named above
from read_scan import judged, ours, peer, step  # noqa: E402

from steadyrest.papers.drawing.ink import LIGHT, polyline, text  # noqa: E402
from tests.scoring.chart import LEFT, TOP, Axis, Frame, dots, drawing, framed  # noqa: E402

PLOT = Path(__file__).resolve().parents[1] / "docs" / "cost-against-size.svg"
SIZES = ("shaft 200k", "shaft 500k", "shaft 1M")
COLOURS = {"ours": LIGHT.ink, "peer": "#b4531a"}
WORDS = {"ours": "ours", "peer": "cut at sharp edges, fit by scipy"}
WIDE_MM, HIGH_MM = 66.0, 66.0


@dataclass(frozen=True, slots=True)
class Cost:
    """What one reader took for one scan, and how many of its sizes it found."""

    which: str
    triangles: int
    seconds: float
    peak_mb: float
    found: int
    of: int


def measured(case: str) -> tuple[Cost, ...]:
    """Both readers on one case; prints what they took and found."""
    costs: list[Cost] = []
    with tempfile.TemporaryDirectory() as folder:
        path = str(Path(folder) / "scan.ply")
        told = step("make", case, path)
        for which in ("ours", "peer"):
            done = subprocess.run(
                [sys.executable, __file__, "--", which, path], check=True, capture_output=True, text=True
            )
            got = json.loads(done.stdout)
            told_of = judged(got["found"], told)
            cost = Cost(
                which, told["triangles"], round(got["seconds"], 3), round(got["peak_mb"], 1), told_of["found"],
                told_of["of"],
            )  # fmt: skip
            costs.append(cost)
            print(json.dumps({
                "case": case, "reader": WORDS[which], "triangles": cost.triangles, "s": cost.seconds,
                "peak_mb": cost.peak_mb, **told_of,
            }), flush=True)  # fmt: skip
    return tuple(costs)


def cost_svg(costs: Sequence[Cost]) -> str:
    """The picture: time and peak memory against millions of triangles.

    Args:
        costs: of each reader and size.
    Returns: SVG.
    """
    most_s = 1.1 * max(c.seconds for c in costs)
    most_gb = 1.1 * max(c.peak_mb for c in costs) / 1000
    across = Axis(0.0, 1.1, (0.0, 0.2, 0.5, 1.0), "million triangles", lambda x: f"{x:g}")
    seconds = Axis(0.0, most_s, ticks_to(most_s), "s of a processor, second go", lambda y: f"{y:g}")
    memory = Axis(0.0, most_gb, ticks_to(most_gb), "GB, the most held", lambda y: f"{y:g}")
    frames = (
        Frame(across, seconds, LEFT, TOP + 6, WIDE_MM, HIGH_MM),
        Frame(across, memory, LEFT + WIDE_MM + 26, TOP + 6, WIDE_MM, HIGH_MM),
    )
    body = [*framed(frames[0], "Time to read a scan"), *framed(frames[1], "Memory to read a scan")]
    for k, which in enumerate(("ours", "peer")):
        mine = sorted((c for c in costs if c.which == which), key=lambda c: c.triangles)
        rows = (
            (frames[0], [(c.triangles / 1e6, c.seconds) for c in mine], [f"{c.seconds:.1f}" for c in mine]),
            (
                frames[1],
                [(c.triangles / 1e6, c.peak_mb / 1000) for c in mine],
                [f"{c.peak_mb / 1000:.1f}" for c in mine],
            ),
        )
        for frame, points, said in rows:
            body.append(polyline([frame.at(x, y) for x, y in points], COLOURS[which], width=0.4))
            body += dots(frame, points, fill=COLOURS[which], said=said)
        said = f"{WORDS[which]}: {sum(c.found for c in mine)} of {sum(c.of for c in mine)} sizes found"
        body.append(text((LEFT, TOP + HIGH_MM + 23 + 5 * k), said, size=3.0, fill=COLOURS[which]))
    return drawing(
        body, wide_mm=2 * (LEFT + WIDE_MM) + 24, high_mm=TOP + HIGH_MM + 34, title="Cost against size",
        description="Time and peak memory of reading one shaft scanned at three finenesses, by two readers.",
    )  # fmt: skip


def ticks_to(most: float) -> tuple[float, ...]:
    """Round ticks from nought to just under the most."""
    step_ = next(s for s in (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0) if most / s <= 6)
    return tuple(round(k * step_, 6) for k in range(int(most / step_) + 1))


def measure(which: str, path: str) -> None:
    """Reads twice, counts the second, tells what came out."""
    work = {"ours": ours, "peer": peer}[which]
    work(path)
    began = time.process_time()
    _, found = work(path)
    spent = time.process_time() - began
    print(json.dumps({"seconds": spent, "peak_mb": peak_mb(), "found": [asdict(c) for c in found]}))


def main() -> None:
    """Measures and draws."""
    if sys.argv[1:2] == ["--"]:
        measure(sys.argv[2], sys.argv[3])
        return
    costs = [cost for case in SIZES for cost in measured(case)]
    PLOT.write_text(cost_svg(costs), encoding="utf-8")


if __name__ == "__main__":
    main()
