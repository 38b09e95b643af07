"""How the odds of a week grow with its size, drawn: 60 to 5,000 phases, a thousand draws, beside the plain twin.

The weeks are those of promise.py; ours and the twin must agree on every finish of the draws that both make. Of large
weeks fewer draws are made and their time is scaled to a thousand, and the twin makes two. Processor time is counted.
Prints a line of JSON a size and writes docs/odds-growth.svg. Run: python speed/odds_growth.py
"""

from __future__ import annotations

import json
import math
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parent)]

from promise import DRAWS, generated, peak_mb  # noqa: E402  its folder is named above

from steadyrest.papers.drawing.ink import LIGHT, polyline, text  # noqa: E402
from steadyrest.promise.dispatch import dispatch  # noqa: E402
from steadyrest.promise.durations import Spreads, draw  # noqa: E402
from steadyrest.promise.week import arrays  # noqa: E402
from steadyrest.shop.draws import Luck  # noqa: E402
from tests.oracles.slow_dispatch import simulate  # noqa: E402
from tests.promise.weeks import plainly  # noqa: E402
from tests.scoring.chart import LEFT, TOP, Axis, Frame, dots, drawing, framed  # noqa: E402

PLOT = Path(__file__).resolve().parents[1] / "docs" / "odds-growth.svg"
SIZES = {60: 1000, 120: 1000, 300: 1000, 1000: 500, 2000: 200, 5000: 100}  # phases: draws made
TWIN = 2
WIDE_MM, HIGH_MM = 110.0, 80.0
COLOURS = {"ours": LIGHT.ink, "plain twin": "#b4531a"}


@dataclass(frozen=True, slots=True)
class Cost:
    """Processor seconds of a thousand draws of one week."""

    phases: int
    seconds: dict[str, float]


def cost(size: int) -> Cost:
    """Ours and the twin on one week; they agree, or it ends here."""
    week = generated(size, 1)
    flat, order = arrays(week), np.argsort([job.due_s for job in week.jobs]).astype(np.int64)
    draws = draw(week, Luck(SIZES[size], 1), Spreads(shop=0.1, job=0.2, person_else=0.1))
    dispatch(flat, draws.some(2), order)
    began = time.process_time()
    ours = dispatch(flat, draws, order)
    seconds = {"ours": (time.process_time() - began) * DRAWS / SIZES[size]}
    began = time.process_time()
    for d in range(TWIN):
        people, jobs, factors = plainly(week, draws, d)
        done = simulate(people, jobs, [int(j) for j in order], factors)
        assert [job.ended[-1] for job in done] == ours.finish_s[d].tolist()
    seconds["plain twin"] = (time.process_time() - began) * DRAWS / TWIN
    said = {name: round(s, 3) for name, s in seconds.items()}
    print(json.dumps({"phases": len(week.phases()), "jobs": len(week.jobs), "s": said, "peak_mb": round(peak_mb())}),
          flush=True)  # fmt: skip
    return Cost(len(week.phases()), seconds)


def growth_svg(costs: Sequence[Cost]) -> str:
    """The picture: both axes by tens.

    Args:
        costs: of each size.
    Returns: SVG.
    """
    tens = [math.log10(s) for one in costs for s in one.seconds.values()]
    low, high = math.floor(min(tens)), math.ceil(max(tens))
    across = Axis(1.7, 3.8, tuple(math.log10(n) for n in SIZES), "phases", lambda x: f"{10**x:,.0f}")
    up = Axis(
        low,
        high,
        tuple(map(float, range(low, high + 1))),
        "s of a processor, 1,000 draws",
        lambda y: f"{10**y:,g}" if y < 0 else f"{10**y:,.0f}",
    )
    frame = Frame(across, up, LEFT, TOP + 6, WIDE_MM, HIGH_MM)
    body = framed(frame, "Odds of a week against its size")
    for k, name in enumerate(("ours", "plain twin")):
        points = [(math.log10(one.phases), math.log10(one.seconds[name])) for one in costs]
        body.append(polyline([frame.at(x, y) for x, y in points], COLOURS[name], width=0.4))
        body += dots(frame, points, fill=COLOURS[name], said=[shown(one.seconds[name]) for one in costs])
        x, y = frame.at(*points[0])
        body.append(text((x, y - 7), name, size=3.4, fill=COLOURS[name], bold=k == 0))
    return drawing(
        body, wide_mm=LEFT + WIDE_MM + 16, high_mm=TOP + HIGH_MM + 20, title="Odds of a week against its size",
        description="Time of a thousand draws of weeks of 60 to 5,000 phases, ours and a plain twin.",
    )  # fmt: skip


def shown(seconds: float) -> str:
    """Seconds in few figures, never as a power of ten."""
    return f"{seconds:,.0f} s" if seconds >= 10 else f"{seconds:.2g} s"


def main() -> None:
    """Measures and draws."""
    PLOT.write_text(growth_svg([cost(size) for size in SIZES]), encoding="utf-8")


if __name__ == "__main__":
    main()
