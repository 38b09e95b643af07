"""The plots of docs/promise.md: how often each stated odds was kept, shop by shop, and where jobs fell in their odds.

    python -m tests.scoring.lessons_chart FILE.jsonl docs/hours-kept.svg docs/hours-odds.svg

FILE has a line a shop, `{"shop": 300, "pit": [..]}`: where each new job's hours fell in the odds that were stated for
it. `python -m tests.scoring.lessons_chart run FIRST LAST >> FILE.jsonl` makes the lines, some 3 s of a processor each.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

import numpy as np

from steadyrest.papers.drawing.ink import LIGHT, line, polygon
from tests.scoring.chart import LEFT, RIGHT, TOP, Axis, Frame, dots, drawing, framed
from tests.scoring.lessons import LEVELS, score

PAST, NEW = 200, 100
WIDE, HIGH = 100.0, 70.0


def read(file: Path) -> list[np.ndarray]:
    """Each shop's jobs, where they fell."""
    return [np.array(json.loads(row)["pit"]) for row in file.read_text(encoding="utf-8").splitlines() if row.strip()]


def kept(pits: list[np.ndarray]) -> np.ndarray:
    """(shops, levels) shares of jobs that took no more than each level's hours."""
    return np.array([[np.mean(pit <= level) for level in LEVELS] for pit in pits])


def kept_chart(pits: list[np.ndarray]) -> str:
    """A point a shop and level, and the mean over shops."""
    share = Axis(0.0, 1.0, (0.0, 0.25, 0.5, 0.75, 1.0), "stated odds that the job takes no more", lambda v: f"{v:g}")
    up = Axis(0.0, 1.0, (0.0, 0.25, 0.5, 0.75, 1.0), "share of a shop's new jobs that took no more", lambda v: f"{v:g}")
    frame = Frame(share, up, LEFT, TOP, WIDE, HIGH)
    found = kept(pits)
    body = framed(frame, f"Hours of new jobs in {len(pits)} invented shops")
    body.append(line(frame.at(0, 0), frame.at(1, 1), LIGHT.soft, width=0.25))
    for k, level in enumerate(LEVELS):
        body += dots(frame, [(level, float(one)) for one in found[:, k]], fill=LIGHT.cut)
    body += dots(frame, [(level, float(found[:, k].mean())) for k, level in enumerate(LEVELS)], fill=LIGHT.ink)
    says = "; ".join(f"{level:g}: {found[:, k].mean():.3f}" for k, level in enumerate(LEVELS))
    return drawing(body, wide_mm=LEFT + WIDE + RIGHT, high_mm=TOP + HIGH + 16.0, title="Kept against stated",
                   description=f"Mean over shops of the share kept at each stated odds: {says}.")  # fmt: skip


def odds_chart(pits: list[np.ndarray]) -> str:
    """How many of all jobs fell into each tenth of their odds."""
    counts = np.histogram(np.concatenate(pits), bins=10, range=(0, 1))[0] / sum(len(pit) for pit in pits)
    across = Axis(0.0, 1.0, (0.0, 0.2, 0.4, 0.6, 0.8, 1.0), "where the job fell in its odds", lambda v: f"{v:g}")
    up = Axis(0.0, 0.2, (0.0, 0.05, 0.1, 0.15, 0.2), "share of all jobs; one tenth each where the odds are true",
              lambda v: f"{v:g}")  # fmt: skip
    frame = Frame(across, up, LEFT, TOP, WIDE, HIGH)
    body = framed(frame, f"Where {sum(len(pit) for pit in pits)} new jobs fell in their odds")
    for k, one in enumerate(counts):
        a, b = k / 10 + 0.01, (k + 1) / 10 - 0.01
        corners = [frame.at(a, 0.0), frame.at(a, float(one)), frame.at(b, float(one)), frame.at(b, 0.0)]
        body.append(polygon(corners, fill=LIGHT.cut))
    body.append(line(frame.at(0, 0.1), frame.at(1, 0.1), LIGHT.ink, width=0.35))
    says = ", ".join(f"{one:.3f}" for one in counts)
    return drawing(body, wide_mm=LEFT + WIDE + RIGHT, high_mm=TOP + HIGH + 16.0, title="Jobs by tenth of their odds",
                   description=f"Shares by tenth, the quickest first: {says}.")  # fmt: skip


if __name__ == "__main__":
    if sys.argv[1] == "run":
        from tests.forward.past_jobs import floor

        for seed in range(int(sys.argv[2]), int(sys.argv[3])):
            print(json.dumps({"shop": seed, "pit": score(floor(seed), PAST, NEW)["pit"].round(4).tolist()}), flush=True)
    else:
        found = read(Path(sys.argv[1]))
        Path(sys.argv[2]).write_text(kept_chart(found), encoding="utf-8")
        Path(sys.argv[3]).write_text(odds_chart(found), encoding="utf-8")
